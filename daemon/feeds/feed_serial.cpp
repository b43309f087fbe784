/// A receiver on a serial port, a Bluetooth node or a pseudo-terminal.

#include <array>
#include <boost/asio/awaitable.hpp>
#include <boost/asio/posix/stream_descriptor.hpp>
#include <boost/asio/redirect_error.hpp>
#include <boost/asio/use_awaitable.hpp>

#include "feeds/live_link.hpp"
#include "feeds/serial_port.hpp"
#include "feeds/spawn.hpp"

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
        watchdog(io, [this] { close(); }) {
    if (!baud) events.require(2);
  }

  void close() {
    error_code ignored;
    port.close(ignored);
  }
  int rate() const { return baud.value_or(kAutoBauds[trial]); }
  /// A rate on trial is the right one at its second valid sentence.
  bool finding_rate() const { return !baud && events.backoff().sentences() < 2; }

  std::string device;
  std::optional<int> baud;
  std::size_t trial = 0;
  std::size_t tried = 0;     ///< rates that brought nothing since the port was opened
  bool heard_bytes = false;  ///< at any rate
  bool is_bridge = false;
  LinkEvents events;
  asio::posix::stream_descriptor port;
  asio::steady_timer pause;
  Watchdog watchdog;
  LinkWriter<asio::posix::stream_descriptor> writer{port};
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

/// While the rates are being tried, no sentence can be expected within the usual time.
void watch(const LinkPtr& link) {
  const auto trials =
      link->baud ? std::chrono::milliseconds(0) : scaled(kAutoTrial) * static_cast<int>(kAutoBauds.size());
  link->watchdog.expect_within(link->events.patience() + trials, link);
}

/// Steps to the next rate when the one on trial brought nothing in its time. True: the trial began anew.
bool next_rate(Link& link, Clock::time_point& trial_began) {
  if (!link.finding_rate() || Clock::now() - trial_began < scaled(kAutoTrial)) return false;
  link.trial = (link.trial + 1) % kAutoBauds.size();
  ++link.tried;
  set_baud(link.port.native_handle(), link.rate());
  link.heard_bytes = link.heard_bytes || link.events.heard_any();
  link.events.discard();
  trial_began = Clock::now();
  return true;
}

/// While a rate is on trial the read must not wait for ever: it is cancelled when the trial is over.
asio::awaitable<std::size_t> read_some(LinkPtr link, asio::mutable_buffer buffer, error_code& error) {
  if (link->finding_rate()) {
    link->pause.expires_after(scaled(kAutoTrial));
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

std::string rate_hint(const Link& link) {
  return "is " + std::to_string(link.rate()) + " baud the receiver's rate, and does it send NMEA?";
}

std::string no_rate(const Link& link) {
  return link.heard_bytes
             ? "bytes come, but no NMEA sentence at any usual rate; does the receiver send NMEA? Trying again"
             : "no bytes at any rate; is the receiver on and set to send here? Trying again";
}

std::string hang_up(const Link& link) {
  return link.is_bridge ? "the Bluetooth link dropped; is the receiver on and near? Opening it again"
                        : "the port hung up; is the cable in and the receiver on? Opening it again";
}

/// Reads until the port is lost; says why it was.
asio::awaitable<std::string> read(LinkPtr link) {
  std::array<char, 4096> buffer{};
  EmptyReads empty;
  link->events.connected();
  link->tried = 0;
  link->heard_bytes = false;
  watch(link);
  auto trial_began = Clock::now();
  for (;;) {
    error_code error;
    const std::size_t n = co_await read_some(link, asio::buffer(buffer), error);
    if (link->events.bytes({buffer.data(), n})) watch(link);
    if (link->events.stopped()) co_return "";
    if (link->watchdog.has_expired()) co_return link->events.silence("bytes", rate_hint(*link)) + "; opening it again";
    const bool stepped = next_rate(*link, trial_began);
    if (link->tried >= kAutoBauds.size()) co_return no_rate(*link);
    if (stepped || error == asio::error::operation_aborted) continue;
    // A bridged node lingers, dead, for as long as anyone holds it: never look at it twice.
    if (error == asio::error::eof && !link->is_bridge && !is_gone(link->port.native_handle()) &&
        !empty.too_many(Clock::now())) {
      co_await rest(link, kRearm);
      continue;
    }
    if (error) co_return hang_up(*link);
  }
}

/// Empty: open. Else why not.
std::string open(Link& link) {
  link.is_bridge = is_bluetooth_node(link.device);
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
    co_await rest(link, scaled(link->events.backoff().next()));
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
  bool write(std::string_view bytes) override { return link_->writer.write(bytes, link_); }
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
