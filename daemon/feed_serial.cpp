/// A receiver on a serial port, a Bluetooth node or a pseudo-terminal.

#include <array>
#include <boost/asio/awaitable.hpp>
#include <boost/asio/posix/stream_descriptor.hpp>
#include <boost/asio/redirect_error.hpp>
#include <boost/asio/use_awaitable.hpp>

#include "live_link.hpp"
#include "serial_port.hpp"
#include "spawn.hpp"

namespace stillpoint::daemon {
namespace {

using boost::system::error_code;

// The usual rates of receivers, the likely ones first; each gets 1.2 s to show two valid sentences.
constexpr std::array kAutoBauds{115200, 9600, 38400, 57600, 4800, 19200, 230400, 460800, 921600};
constexpr std::chrono::milliseconds kAutoTrial{1200};
constexpr std::chrono::milliseconds kRearm{50};
constexpr int kEmptyReadsInASecond = 5;

struct Link {
  Link(asio::io_context& io, const config::Feed& settings)
      : device(settings.device),
        baud(settings.baud),
        events("serial " + settings.device, settings),
        port(io),
        pause(io),
        watchdog(io, [this] { close(); }) {}

  void close() {
    error_code ignored;
    port.close(ignored);
  }
  int rate() const { return baud.value_or(kAutoBauds[trial]); }
  bool finding_rate() const { return !baud && events_found < 2; }

  std::string device;
  std::optional<int> baud;
  std::size_t trial = 0;
  int events_found = 0;
  LinkEvents events;
  asio::posix::stream_descriptor port;
  asio::steady_timer pause;
  Watchdog watchdog;
};

using LinkPtr = std::shared_ptr<Link>;
using Clock = std::chrono::steady_clock;

/// Empty reads tell an idle line from one that was pulled out: several in a second mean gone.
class EmptyReads {
 public:
  bool too_many(Clock::time_point now) noexcept {
    if (now - since_ > std::chrono::seconds(1)) {
      since_ = now;
      count_ = 0;
    }
    return ++count_ >= kEmptyReadsInASecond;
  }

 private:
  Clock::time_point since_{};
  int count_ = 0;
};

void watch(const LinkPtr& link) {
  link->events_found = link->events.backoff().sentences();
  link->watchdog.expect_within(link->events.patience(), link);
}

/// Steps to the next rate when the one on trial brought nothing in its time. True: the trial began anew.
bool next_rate(Link& link, Clock::time_point& trial_began) {
  if (!link.finding_rate() || Clock::now() - trial_began < kAutoTrial) return false;
  link.trial = (link.trial + 1) % kAutoBauds.size();
  set_baud(link.port.native_handle(), link.rate());
  link.events.backoff().opened();
  trial_began = Clock::now();
  return true;
}

/// While a rate is on trial the read must not wait for ever: it is cancelled when the trial is over.
asio::awaitable<std::size_t> read_some(LinkPtr link, asio::mutable_buffer buffer, error_code& error) {
  if (link->finding_rate()) {
    link->pause.expires_after(kAutoTrial);
    link->pause.async_wait([link](const error_code& cancelled) {
      if (!cancelled) link->port.cancel();
    });
  }
  const std::size_t n = co_await link->port.async_read_some(buffer, asio::redirect_error(asio::use_awaitable, error));
  link->pause.cancel();
  co_return n;
}

asio::awaitable<void> rest(LinkPtr link, std::chrono::milliseconds time) {
  error_code ignored;
  link->pause.expires_after(time);
  co_await link->pause.async_wait(asio::redirect_error(asio::use_awaitable, ignored));
}

/// Reads until the port is lost; says why it was.
asio::awaitable<std::string> read(LinkPtr link) {
  std::array<char, 4096> buffer{};
  EmptyReads empty;
  link->events.connected();
  watch(link);
  auto trial_began = Clock::now();
  for (;;) {
    error_code error;
    const std::size_t n = co_await read_some(link, asio::buffer(buffer), error);
    if (n > 0) {
      link->events.bytes({buffer.data(), n});
      watch(link);
    }
    if (link->events.stopped()) co_return "";
    if (link->watchdog.has_expired()) {
      co_return "no bytes for " + std::to_string(link->events.patience().count() / 1000) + " s; opening it again";
    }
    if (next_rate(*link, trial_began) || error == asio::error::operation_aborted) continue;
    if (error == asio::error::eof && !is_gone(link->port.native_handle()) && !empty.too_many(Clock::now())) {
      co_await rest(link, kRearm);
      continue;
    }
    if (error) co_return "the port hung up; is the cable in and the receiver on? Opening it again";
  }
}

/// Empty: open. Else why not.
std::string open(Link& link) {
  auto fd = open_serial_port(link.device, link.rate());
  if (!fd) return fd.error().text + "; trying again";
  error_code error;
  link.port.assign(fd->get(), error);
  if (error) return "the port cannot be watched (" + error.message() + "); trying again";
  fd->release();
  return "";
}

asio::awaitable<void> serve(LinkPtr link) {
  while (!link->events.stopped()) {
    std::string why = open(*link);
    if (why.empty()) why = co_await read(link);
    link->watchdog.stop();
    link->close();
    if (link->events.stopped()) co_return;
    link->events.lost(why);
    co_await rest(link, link->events.backoff().next());
  }
}

class SerialFeed final : public Feed {
 public:
  SerialFeed(asio::io_context& io, const config::Feed& settings)
      : io_(io), link_(std::make_shared<Link>(io, settings)) {}
  ~SerialFeed() override { stop(); }

  void start(FeedEvents events) override {
    link_->events.start(std::move(events));
    spawn(io_, "serial feed", serve(link_));
  }
  void stop() override {
    link_->events.stop();
    link_->watchdog.stop();
    link_->pause.cancel();
    link_->close();
  }
  SteadyTime now() const override { return steady_now(); }
  record::JournalHead anchor() const override { return clock_anchor(); }

 private:
  asio::io_context& io_;
  LinkPtr link_;
};

}  // namespace

std::unique_ptr<Feed> make_serial_feed(asio::io_context& io, const config::Feed& settings) {
  return std::make_unique<SerialFeed>(io, settings);
}

}  // namespace stillpoint::daemon
