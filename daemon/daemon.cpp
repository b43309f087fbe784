#include "daemon.hpp"

#include <spdlog/spdlog.h>

#include <boost/asio/post.hpp>
#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <iostream>
#include <memory>

#include "clients/alert_runner.hpp"
#include "clients/control_socket.hpp"
#include "clients/guard.hpp"
#include "clients/methods.hpp"
#include "clients/page.hpp"
#include "clients/publisher.hpp"
#include "common/clock.hpp"
#include "common/exit.hpp"
#include "common/file.hpp"
#include "common/sentences.hpp"
#include "day/day.hpp"
#include "day/marks.hpp"
#include "day/plan.hpp"
#include "holdings.hpp"
#include "inlet.hpp"
#include "signals.hpp"

namespace stillpoint::daemon {
namespace {

using boost::system::error_code;
using Clock = std::chrono::steady_clock;
using std::chrono::milliseconds;

constexpr milliseconds kTick{250};      // the session catches up with its own, which are finer
constexpr milliseconds kTickEarly{60};  // with bytes that come then, of 20 Hz
constexpr milliseconds kDrainTime{1300};
constexpr milliseconds kClientTime{200};
constexpr long kLastResortMs = 1900;

class Daemon {
 public:
  Daemon(asio::io_context& io, const config::Settings& settings)
      : io_(io),
        settings_(settings),
        holdings_(settings.project),
        runner_(io, settings.alerts.run),
        control_(io, settings.control.socket),
        publisher_(io, [this] { return day_->status(); }),
        tick_(io),
        leave_(io) {}

  /// Takes everything that only one daemon can have.
  Result<void> take(geodesy::Frames frames, const session::Options& options, std::optional<PageKeys> keys);
  void start(const std::string& version);
  void stop();
  /// Returns the exit status.
  int join();

 private:
  enum class Stage : std::uint8_t { running, stopping, leaving };

  Result<void> make_day(geodesy::Frames frames, session::Options options);
  Result<void> take_page(std::optional<PageKeys> keys);
  void hear(std::string_view bytes, FeedTime arrived);
  void hear_guarded(std::string_view bytes, FeedTime arrived);
  void tick();
  void wait_for_tick();
  void drained();
  void leave();

  asio::io_context& io_;
  const config::Settings& settings_;
  Holdings holdings_;
  AlertRunner runner_;
  ControlSocket control_;
  Inlet inlet_;
  std::unique_ptr<Page> page_;
  std::unique_ptr<Day> day_;
  std::unique_ptr<Methods> methods_;
  Publisher publisher_;
  std::unique_ptr<Signals> signals_;
  asio::steady_timer tick_, leave_;
  Stage stage_ = Stage::running;
  bool record_whole_ = true;
};

Result<void> Daemon::take(geodesy::Frames frames, const session::Options& options, std::optional<PageKeys> keys) {
  if (auto done = ensure_folder(folder_of(settings_.control.socket), kSay.socket_folder.words()); !done) return done;
  if (auto done = control_.listen(); !done) return done;
  if (auto done = holdings_.take(frames, options.training); !done) return done;
  if (auto done = inlet_.open(io_, settings_, [this] { return day_->session().open_stand() != nullptr; }); !done) {
    return done;
  }
  if (auto done = make_day(std::move(frames), options); !done) return done;
  auto plan = plan_of(settings_, utc_now());
  if (!plan) return tl::unexpected(plan.error());
  log_faults(*plan);
  methods_ = std::make_unique<Methods>(*day_, settings_, std::move(*plan), [this] { return inlet_.now(); });
  return take_page(std::move(keys));
}

Result<void> Daemon::make_day(geodesy::Frames frames, session::Options options) {
  auto passed = holdings_.passed_checks();
  if (!passed) return tl::unexpected(passed.error());
  options.earlier_checks = std::move(*passed);
  auto recorder = std::make_unique<Recorder>(settings_.project.record, [this] { return inlet_.anchor(); });
  session::Session session(settings_, std::move(frames), options);
  if (auto done = load_marks(session, settings_); !done) return done;
  Store& store = holdings_.store();
  day_ = std::make_unique<Day>(io_, settings_, std::move(session), std::move(recorder), holdings_.pairs(), store);
  auto points = store.before().versions();
  if (!points) return tl::unexpected(points.error());
  const auto events = store.before().events();
  if (!events) return tl::unexpected(events.error());
  day_->know(std::move(*points), *events);
  return {};
}

Result<void> Daemon::take_page(std::optional<PageKeys> keys) {
  if (settings_.page.listen.empty()) return {};
  PageSource source;
  source.status = [this] { return day_->status(); };
  source.stay = [this] { return day_->session().open_stay(); };
  source.handle = [this](const Call& call) { methods_->handle(call); };
  page_ = std::make_unique<Page>(io_, settings_.page, settings_.control.socket + ".page-key", std::move(source),
                                 std::move(keys));
  return page_->listen();
}

void Daemon::start(const std::string& version) {
  signals_ = std::make_unique<Signals>(io_, [this] { stop(); });
  publisher_.add(runner_);
  if (page_) publisher_.add(*page_);
  publisher_.add(control_);
  day_->start(
      {[this](const session::Alert& alert) { publisher_.alert(alert); }, [this] { publisher_.status_changed(); },
       [this](const occupation::StoredPoint& point) { publisher_.point(point); }},
      version);
  control_.start([this](const Call& call) { methods_->handle(call); });
  inlet_.start(*day_, [this](std::string_view bytes, FeedTime arrived) { hear_guarded(bytes, arrived); });
  wait_for_tick();
  std::cout << "ready control=" << settings_.control.socket << std::endl;
}

/// Publishes the status and runs a tick that is nearly due together with the bytes, which saves waking up for them. The
/// session's own tick then comes with the next bytes or the next tick.
void Daemon::hear(std::string_view bytes, FeedTime arrived) {
  inlet_.share(bytes);
  publisher_.begin_bytes();
  day_->bytes(bytes, arrived);
  publisher_.end_bytes();
  if (tick_.expiry() - Clock::now() > kTickEarly) return;
  tick();
  wait_for_tick();
}

/// When a step throws, its bytes are lost to the session: that is a break in the stream, and nothing is averaged over
/// it.
void Daemon::hear_guarded(std::string_view bytes, FeedTime arrived) {
  if (guarded("what came from the receiver", [&] { hear(bytes, arrived); })) return;
  publisher_.drop_bytes();
  guarded("the break after it", [&] { day_->cut(arrived); });
}

void Daemon::tick() {
  day_->tick(inlet_.now());
  inlet_.look(*day_);
  publisher_.look();
}

/// Sets the timer for the next tick of the grid that is not nearly due.
void Daemon::wait_for_tick() {
  const milliseconds left = kTick - milliseconds(machine_now().ms) % kTick;
  tick_.expires_after(left > kTickEarly ? left : left + kTick);
  tick_.async_wait([this](const error_code& error) {
    if (error || stage_ != Stage::running) return;
    guarded("a tick", [this] { tick(); });
    wait_for_tick();
  });
}

void Daemon::stop() {
  if (stage_ != Stage::running) return;
  stage_ = Stage::stopping;
  spdlog::info("stopping");
  Signals::end_after_ms(kLastResortMs, kExitCannotStart);
  publisher_.stop();
  control_.stop_accepting();
  const FeedTime at = inlet_.now();
  if (page_) page_->stop();
  inlet_.stop();
  tick_.cancel();
  runner_.stop();
  record_whole_ = day_->finish(at);
  holdings_.store().drain([this] { asio::post(io_, [this] { drained(); }); });
  leave_.expires_after(kDrainTime);
  leave_.async_wait([this](const error_code& error) {
    if (error) return;
    leave();
  });
}

void Daemon::drained() {
  Signals::end_after_ms(kLastResortMs, record_whole_ ? kExitClean : kExitLost);
  leave();
}

// The last answers are in the clients' queues; who does not read them in time does not get them.
void Daemon::leave() {
  if (std::exchange(stage_, Stage::leaving) == Stage::leaving) return;
  control_.finish_clients();
  leave_.expires_after(control_.has_clients() ? kClientTime : milliseconds(0));
  leave_.async_wait([this](const error_code&) {
    control_.close_now();
    signals_->release();
  });
}

int Daemon::join() {
  const bool points_whole = holdings_.leave();
  return points_whole && record_whole_ ? kExitClean : kExitLost;
}

}  // namespace

int run_daemon(const config::Settings& settings, geodesy::Frames frames, const std::string& version, Purpose purpose,
               std::optional<PageKeys> keys) {
  if (const auto fault = socket_path_fault(settings.control.socket)) {
    std::cerr << *fault << '\n';
    return kExitConfiguration;
  }
  asio::io_context io(1);
  Daemon daemon(io, settings);
  session::Options options;
  options.program_version = version;
  options.training = purpose == Purpose::training;
  if (auto done = daemon.take(std::move(frames), options, std::move(keys)); !done) {
    std::cerr << done.error().text << '\n';
    return kExitCannotStart;
  }
  daemon.start(version);
  run_guarded(io);
  const int status = daemon.join();
  spdlog::info("stopped");
  return status;
}

}  // namespace stillpoint::daemon
