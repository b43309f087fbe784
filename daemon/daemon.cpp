#include "daemon.hpp"

#include <spdlog/spdlog.h>

#include <boost/asio/post.hpp>
#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <iostream>
#include <memory>
#include <optional>

#include "base/number.hpp"
#include "clients/alert_runner.hpp"
#include "clients/control_socket.hpp"
#include "clients/guard.hpp"
#include "clients/methods.hpp"
#include "clients/page.hpp"
#include "clients/relay.hpp"
#include "clients/status_pace.hpp"
#include "common/clock.hpp"
#include "common/exit.hpp"
#include "common/file.hpp"
#include "common/sentences.hpp"
#include "day/day.hpp"
#include "day/marks.hpp"
#include "feeds/feed.hpp"
#include "keeping/recorder.hpp"
#include "keeping/store.hpp"
#include "pointbook/lock_file.hpp"
#include "signals.hpp"
#include "wire/json.hpp"

namespace stillpoint::daemon {
namespace {

using boost::system::error_code;
using Clock = std::chrono::steady_clock;
using std::chrono::milliseconds;

constexpr milliseconds kPublishEvery{20};     // at most, and sooner than the next epoch of 20 Hz
constexpr milliseconds kTick{250};            // the session catches up with its own, which are finer
constexpr milliseconds kTickEarly{60};        // with bytes that come then, of 20 Hz
constexpr milliseconds kHeartbeat{1000};      // at least, so that clients notice a daemon that is gone
constexpr milliseconds kSenderShown{60'000};  // like other things of the feed that come and pass
constexpr milliseconds kDrainTime{1300};
constexpr milliseconds kClientTime{200};
constexpr long kLastResortMs = 1900;

class Daemon {
 public:
  Daemon(asio::io_context& io, const config::Settings& settings, Purpose purpose)
      : io_(io),
        settings_(settings),
        purpose_(purpose),
        pairs_(settings.project.record),
        runner_(io, settings.alerts.run),
        control_(io, settings.control.socket),
        tick_(io),
        publish_(io),
        leave_(io) {}

  /// Takes everything that only one daemon can have.
  Result<void> take(geodesy::Frames frames, const std::string& version);
  void start(const std::string& version);
  void stop();
  /// Returns the exit status.
  int join();

 private:
  Result<void> take_record();
  Result<void> take_store(const geodesy::Frames& frames);
  Result<void> take_relay();
  Result<void> take_page();
  void start_feed();
  void watch_relay();
  void hear(std::string_view bytes, SteadyTime arrived);
  void hear_guarded(std::string_view bytes, SteadyTime arrived);
  void tick();
  void wait_for_tick();
  void status_changed();
  void publish_soon();
  void publish_waiting();
  void publish();
  void drained();
  void leave();

  asio::io_context& io_;
  const config::Settings& settings_;
  Purpose purpose_;
  std::optional<pointbook::LockFile> record_lock_;
  PairCatalogue pairs_;
  AlertRunner runner_;
  ControlSocket control_;
  std::unique_ptr<Feed> feed_;
  std::unique_ptr<Relay> relay_;
  std::unique_ptr<Page> page_;
  std::unique_ptr<Store> store_;
  std::unique_ptr<Day> day_;
  std::unique_ptr<Methods> methods_;
  std::unique_ptr<Signals> signals_;
  asio::steady_timer tick_, publish_, leave_;
  StatusPace pace_{kPublishEvery};
  std::optional<SteadyTime> sender_told_;
  bool hearing_ = false;  ///< bytes are being taken in
  bool stopping_ = false;
  bool leaving_ = false;
  bool record_whole_ = true;
};

Result<void> Daemon::take_store(const geodesy::Frames& frames) {
  pointbook::Identity identity;
  identity.project = settings_.project.name;
  identity.frame = frames.project_frame();
  identity.frame_wkt = frames.project_frame_wkt();
  identity.frame_is_projected = frames.project_frame_is_projected();
  identity.created_at = utc_now();
  identity.training = purpose_ == Purpose::training;
  pointbook::OpenOptions options;
  options.may_be_held = true;
  auto book = pointbook::Book::open(settings_.project.pointbook, identity, options);
  if (!book) return tl::unexpected(book.error());
  if (const std::string note = book->height_note(); !note.empty()) spdlog::info("{}", note);
  auto spool = pointbook::Spool::open(settings_.project.pointbook);
  if (!spool) return tl::unexpected(spool.error());
  store_ =
      std::make_unique<Store>(std::move(*book), std::move(*spool), pointbook::real_path(settings_.project.pointbook));
  return {};
}

/// Two daemons in one folder would seal each other's pairs. The lock lies inside, so that it is one under any name.
Result<void> Daemon::take_record() {
  const std::string& folder = settings_.project.record;
  if (auto done = ensure_folder(folder, kSay.record_folder.words()); !done) return done;
  auto lock = pointbook::LockFile::take(folder + "/.lock", kSay.the_record_folder(folder));
  if (!lock) return tl::unexpected(lock.error());
  record_lock_ = std::move(*lock);
  return pairs_.open();
}

Result<void> Daemon::take(geodesy::Frames frames, const std::string& version) {
  if (auto done = ensure_folder(folder_of(settings_.control.socket), kSay.socket_folder.words()); !done) return done;
  if (auto done = control_.listen(); !done) return done;
  if (auto done = take_record(); !done) return done;
  if (auto done = take_store(frames); !done) return done;
  auto feed = open_feeds(io_, settings_.feeds, [this] { return day_->session().open_stand() != nullptr; });
  if (!feed) return tl::unexpected(feed.error());
  feed_ = std::move(*feed);
  if (auto done = take_relay(); !done) return done;
  session::Options options;
  options.program_version = version;
  options.training = purpose_ == Purpose::training;
  const auto checks = store_->checks();
  if (!checks) return tl::unexpected(checks.error());
  for (const pointbook::CheckShot& check : *checks) {
    // What does not say what was claimed proves nothing.
    if (check.passed && check.claim_plan_m2) options.earlier_checks.push_back({check.source, check.utc});
  }
  auto recorder = std::make_unique<Recorder>(settings_.project.record, [this] { return feed_->anchor(); });
  session::Session session(settings_, std::move(frames), options);
  if (auto done = load_marks(session, settings_); !done) return done;
  day_ = std::make_unique<Day>(io_, settings_, std::move(session), std::move(recorder), pairs_, *store_);
  auto points = store_->current();
  if (!points) return tl::unexpected(points.error());
  const auto events = store_->events();
  if (!events) return tl::unexpected(events.error());
  day_->know(std::move(*points), *events);
  methods_ = std::make_unique<Methods>(*day_, settings_, [this] { return feed_->now(); });
  return take_page();
}

Result<void> Daemon::take_relay() {
  if (!settings_.relay.is_on()) return {};
  relay_ =
      std::make_unique<Relay>(io_, settings_.relay, [this](std::string_view bytes) { return feed_->write(bytes); });
  return relay_->open();
}

Result<void> Daemon::take_page() {
  if (settings_.page.listen.empty()) return {};
  PageSource source;
  source.status = [this] { return wire::to_json(day_->status()); };
  source.stay = [this] { return day_->session().open_stay(); };
  source.handle = [this](const Call& call) { methods_->handle(call); };
  page_ = std::make_unique<Page>(io_, settings_.page, settings_.control.socket + ".page-key", std::move(source));
  return page_->listen();
}

void Daemon::start(const std::string& version) {
  signals_ = std::make_unique<Signals>(io_, [this] { stop(); });
  DayHooks hooks;
  hooks.status_changed = [this] { status_changed(); };
  hooks.alert = [this](const session::Alert& alert) {
    if (alert.active) runner_.run(alert);
    if (control_.has_followers()) control_.publish_alert(Methods::alert_notification(alert));
  };
  day_->start(std::move(hooks), version);
  control_.start([this](const Call& call) { methods_->handle(call); });
  start_feed();
  wait_for_tick();
  std::cout << "ready control=" << settings_.control.socket << std::endl;
}

void Daemon::start_feed() {
  FeedEvents events;
  events.bytes = [this](std::string_view bytes, SteadyTime arrived) { hear_guarded(bytes, arrived); };
  events.state = [this](session::FeedState state, const std::string& what, SteadyTime at) {
    guarded("the news of the feed", [&] { day_->feed(state, what, at); });
  };
  events.cut = [this](SteadyTime at) { guarded("a cut of the feed", [&] { day_->cut(at); }); };
  events.sender_changed = [this](const std::string& text) {
    sender_told_ = steady_now();
    guarded("news of the sender", [&] { day_->own_alert("sender-changed", session::Severity::warning, text); });
  };
  events.clock = [this](const record::Clock& clock, SteadyTime at) { day_->clock(clock, at); };
  feed_->start(std::move(events));
}

/// A writer that fell silent is told apart from a receiver that did.
void Daemon::watch_relay() {
  const RelayCounters c = relay_->counters();
  day_->count("relay_readers", c.readers);
  day_->count("relay_readers_dropped", c.readers_dropped);
  day_->count("relay_bytes_to_receiver", c.bytes_to_receiver);
  day_->count("relay_bytes_refused", c.bytes_refused);
  if (!c.last_write) return;
  const std::int64_t silent_s = (steady_now().ms - c.last_write->ms) / 1000;
  if (static_cast<double>(silent_s) <= settings_.relay.silence_s) return day_->own_alert_over("relay-silent");
  day_->own_alert("relay-silent", session::Severity::warning,
                  (c.has_writer ? kSay.relay_silent : kSay.relay_gone)(std::to_string(silent_s)));
}

/// Publishes the status and runs a tick that is nearly due together with the bytes, which saves waking up for them. The
/// session's own tick then comes with the next bytes or the next tick.
void Daemon::hear(std::string_view bytes, SteadyTime arrived) {
  if (relay_) relay_->bytes(bytes);
  const bool awaited = pace_.waits();
  hearing_ = true;
  day_->bytes(bytes, arrived);
  hearing_ = false;
  if (pace_.is_due(Clock::now())) {
    publish_waiting();
  } else if (pace_.waits() && !awaited) {
    publish_soon();
  }
  if (tick_.expiry() - Clock::now() > kTickEarly) return;
  tick();
  wait_for_tick();
}

/// When a step throws, its bytes are lost to the session: that is a break in the stream, and nothing is averaged over
/// it.
void Daemon::hear_guarded(std::string_view bytes, SteadyTime arrived) {
  if (guarded("what came from the receiver", [&] { hear(bytes, arrived); })) return;
  hearing_ = false;
  guarded("the break after it", [&] { day_->cut(arrived); });
}

void Daemon::tick() {
  day_->tick(feed_->now());
  if (relay_) watch_relay();
  if (sender_told_ && steady_now().ms - sender_told_->ms > kSenderShown.count()) {
    sender_told_.reset();
    day_->own_alert_over("sender-changed");
  }
  if (pace_.since_last(Clock::now()) >= kHeartbeat) publish();
}

/// Sets the timer for the next tick of the grid that is not nearly due.
void Daemon::wait_for_tick() {
  const milliseconds left = kTick - milliseconds(steady_now().ms) % kTick;
  tick_.expires_after(left > kTickEarly ? left : left + kTick);
  tick_.async_wait([this](const error_code& error) {
    if (error || stopping_) return;
    guarded("a tick", [this] { tick(); });
    wait_for_tick();
  });
}

// Many changes in a short time are one frame: only the latest status is of use.
void Daemon::status_changed() {
  if (pace_.waits() || stopping_) return;
  pace_.changed();
  if (!hearing_) publish_soon();
}

void Daemon::publish_soon() {
  if (pace_.is_due(Clock::now())) {  // the usual case, and a timer costs more than the rest
    asio::post(io_, [this] { publish_waiting(); });
    return;
  }
  publish_.expires_at(pace_.next());
  publish_.async_wait([this](const error_code& error) {
    if (!error) publish_waiting();
  });
}

/// An expired timer or a posted call may run late: bytes may have published meanwhile, and the change that waits may be
/// newer.
void Daemon::publish_waiting() {
  if (!pace_.waits() || stopping_) return;
  if (!pace_.is_due(Clock::now())) return publish_soon();
  publish();
}

void Daemon::publish() {
  pace_.published(Clock::now());
  const bool page_looks = page_ && page_->has_viewers();
  if (!page_looks && !control_.has_followers()) return;
  std::string status = wire::to_json(day_->status());
  if (page_looks) page_->publish(status);
  if (control_.has_followers()) control_.publish_status(Methods::status_notification(std::move(status)));
}

void Daemon::stop() {
  if (std::exchange(stopping_, true)) return;
  spdlog::info("stopping");
  Signals::end_after_ms(kLastResortMs, kExitCannotStart);
  control_.stop_accepting();
  const SteadyTime at = feed_->now();
  if (relay_) relay_->stop();
  if (page_) page_->stop();
  feed_->stop();
  tick_.cancel();
  publish_.cancel();
  runner_.stop();
  record_whole_ = day_->finish(at);
  store_->drain([this] { asio::post(io_, [this] { drained(); }); });
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
  if (std::exchange(leaving_, true)) return;
  control_.finish_clients();
  leave_.expires_after(control_.has_clients() ? kClientTime : milliseconds(0));
  leave_.async_wait([this](const error_code&) {
    control_.close_now();
    signals_->release();
  });
}

/// Names what could be written nowhere; its bytes are in the record.
int Daemon::join() {
  store_->stop();
  const Store::Lost lost = store_->lost();
  for (const std::string& title : lost.titles) {
    spdlog::error("LOST: {} could not be written ({}); recompute it from the record with stillpoint-reduce", title,
                  lost.why);
  }
  if (lost.rows > 0) {
    spdlog::warn("the pointbook could not be written in time: it lacks {}{}",
                 counted(lost.rows, "event or antenna set-up", "events or antenna set-ups"),
                 lost.titles.empty() ? kSay.points_are_safe.words() : "");
  }
  return lost.titles.empty() && record_whole_ ? kExitClean : kExitLost;
}

}  // namespace

int run_daemon(const config::Settings& settings, geodesy::Frames frames, const std::string& version, Purpose purpose) {
  if (const auto fault = socket_path_fault(settings.control.socket)) {
    std::cerr << *fault << '\n';
    return kExitConfiguration;
  }
  asio::io_context io(1);
  Daemon daemon(io, settings, purpose);
  if (auto done = daemon.take(std::move(frames), version); !done) {
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
