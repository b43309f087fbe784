/// A receiver on a serial port, a Bluetooth node or a pseudo-terminal.

#include <array>
#include <boost/asio/awaitable.hpp>
#include <boost/asio/posix/stream_descriptor.hpp>
#include <boost/asio/redirect_error.hpp>
#include <boost/asio/use_awaitable.hpp>

#include "feeds/live_feed.hpp"
#include "feeds/sentences.hpp"
#include "feeds/serial_port.hpp"

namespace stillpoint::daemon {
namespace {

using boost::system::error_code;

// The usual rates of receivers, the likely ones first; each gets 1.2 s to show two valid sentences.
constexpr std::array kAutoBauds{115200, 9600, 38400, 57600, 4800, 19200, 230400, 460800, 921600};
constexpr std::chrono::milliseconds kAutoTrial{1200};
constexpr std::chrono::milliseconds kRearm{50};
constexpr int kEmptyReadsInASecond = 5;

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

class SerialPort final : public Port {
 public:
  SerialPort(asio::io_context& io, const config::Feed& settings)
      : device_(settings.device), baud_(settings.baud), port_(io) {}

  asio::awaitable<std::string> open(LiveLinkPtr) override { co_return open_now(); }
  asio::awaitable<std::string> read(LiveLinkPtr link) override;
  void close() override {
    error_code ignored;
    port_.close(ignored);
  }
  bool write(std::string_view bytes, const LiveLinkPtr& link) override { return writer_.write(bytes, link); }

 private:
  std::string open_now();
  int rate() const { return baud_.value_or(kAutoBauds[trial_]); }
  /// A rate on trial is the right one at its second valid sentence.
  bool is_finding_rate(const LiveLink& link) const { return !baud_ && link.events.backoff().sentences() < 2; }
  void watch(const LiveLinkPtr& link) const;
  bool next_rate(LiveLink& link, Clock::time_point& trial_began);
  asio::awaitable<std::size_t> read_some(LiveLinkPtr link, asio::mutable_buffer buffer, error_code& error);
  bool is_idle(const error_code& error, EmptyReads& empty);
  std::string why_silent(const LiveLink& link) const;
  std::string why_no_rate() const;
  std::string why_hung_up() const;

  std::string device_;
  std::optional<int> baud_;
  std::size_t trial_ = 0;
  std::size_t tried_ = 0;     ///< rates that brought nothing since the port was opened
  bool heard_bytes_ = false;  ///< at any rate
  bool is_bridge_ = false;
  asio::posix::stream_descriptor port_;
  LinkWriter<asio::posix::stream_descriptor> writer_{port_};
};

/// While the rates are being tried, no sentence can be expected within the usual time.
void SerialPort::watch(const LiveLinkPtr& link) const {
  const auto trials = baud_ ? std::chrono::milliseconds(0) : scaled(kAutoTrial) * static_cast<int>(kAutoBauds.size());
  link->watchdog.expect_within(link->events.patience() + trials, link);
}

/// Steps to the next rate when the one on trial brought nothing in its time. True: the trial began anew.
bool SerialPort::next_rate(LiveLink& link, Clock::time_point& trial_began) {
  if (!is_finding_rate(link) || Clock::now() - trial_began < scaled(kAutoTrial)) return false;
  trial_ = (trial_ + 1) % kAutoBauds.size();
  ++tried_;
  set_baud(port_.native_handle(), rate());
  heard_bytes_ = heard_bytes_ || link.events.heard_any();
  link.events.discard();
  trial_began = Clock::now();
  return true;
}

/// While a rate is on trial the read must not wait for ever: it is cancelled when the trial is over.
asio::awaitable<std::size_t> SerialPort::read_some(LiveLinkPtr link, asio::mutable_buffer buffer, error_code& error) {
  if (is_finding_rate(*link)) {
    link->pause.expires_after(scaled(kAutoTrial));
    link->pause.async_wait([this, link](const error_code& cancelled) {
      if (!cancelled) port_.cancel();
    });
  }
  const std::size_t n = co_await port_.async_read_some(buffer, asio::redirect_error(asio::use_awaitable, error));
  link->pause.cancel();
  co_return n;
}

std::string SerialPort::why_silent(const LiveLink& link) const {
  return kSayOfFeeds.opens_again(link.events.silence("bytes", kSayOfFeeds.is_rate_right(std::to_string(rate()))));
}

std::string SerialPort::why_no_rate() const {
  return heard_bytes_ ? kSayOfFeeds.no_usual_rate() : kSayOfFeeds.no_bytes_at_any_rate();
}

std::string SerialPort::why_hung_up() const {
  return is_bridge_ ? kSayOfFeeds.bluetooth_dropped() : kSayOfFeeds.port_hung_up();
}

/// A bridged node lingers, dead, for as long as anyone holds it: never look at it twice.
bool SerialPort::is_idle(const error_code& error, EmptyReads& empty) {
  return error == asio::error::eof && !is_bridge_ && !is_gone(port_.native_handle()) && !empty.too_many(Clock::now());
}

asio::awaitable<std::string> SerialPort::read(LiveLinkPtr link) {
  std::array<char, 4096> buffer{};
  EmptyReads empty;
  link->events.connected();
  tried_ = 0;
  heard_bytes_ = false;
  watch(link);
  auto trial_began = Clock::now();
  for (;;) {
    error_code error;
    const std::size_t n = co_await read_some(link, asio::buffer(buffer), error);
    if (link->events.bytes({buffer.data(), n})) watch(link);
    if (link->events.stopped()) co_return "";
    if (link->watchdog.has_expired()) co_return why_silent(*link);
    const bool stepped = next_rate(*link, trial_began);
    if (tried_ >= kAutoBauds.size()) co_return why_no_rate();
    if (stepped || error == asio::error::operation_aborted) continue;
    if (is_idle(error, empty)) {
      co_await rest(link, kRearm);
      continue;
    }
    if (error) co_return why_hung_up();
  }
}

/// Empty: open. Else why not.
std::string SerialPort::open_now() {
  is_bridge_ = is_bluetooth_node(device_);
  auto fd = open_serial_port(device_, rate());
  if (!fd) return kSayOfFeeds.tries_again(fd.error().text);
  error_code error;
  port_.assign(fd->get(), error);
  if (error) return kSayOfFeeds.not_watched(error.message());
  fd->release();
  return "";
}

}  // namespace

std::unique_ptr<Feed> make_serial_feed(asio::io_context& io, const config::Feed& settings) {
  auto link =
      std::make_shared<LiveLink>(io, "serial " + settings.device, settings, std::make_unique<SerialPort>(io, settings));
  if (!settings.baud) link->events.require(2);
  return make_live_feed(io, "serial", std::move(link));
}

}  // namespace stillpoint::daemon
