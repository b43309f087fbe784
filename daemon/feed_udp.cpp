/// Datagrams of NMEA bytes sent to an address and port of this machine.

#include <array>
#include <boost/asio/awaitable.hpp>
#include <boost/asio/ip/udp.hpp>
#include <boost/asio/redirect_error.hpp>
#include <boost/asio/use_awaitable.hpp>

#include "live_link.hpp"
#include "spawn.hpp"

namespace stillpoint::daemon {
namespace {

using asio::ip::udp;
using boost::system::error_code;

struct Link {
  Link(asio::io_context& io, const config::Feed& settings)
      : address(settings.address),
        port(settings.port),
        events("udp " + settings.address + ":" + std::to_string(settings.port), settings),
        socket(io),
        pause(io),
        watchdog(io, [this] { close(); }) {}

  void close() {
    error_code ignored;
    socket.close(ignored);
  }

  std::string address;
  std::uint16_t port;
  LinkEvents events;
  udp::socket socket;
  asio::steady_timer pause;
  Watchdog watchdog;
};

using LinkPtr = std::shared_ptr<Link>;

/// Empty: bound. Else why not.
std::string bind(Link& link) {
  error_code error;
  const auto address = asio::ip::make_address(link.address, error);
  if (error) return "\"" + link.address + "\" is not an address; write numbers such as 127.0.0.1";
  const udp::endpoint here(address, link.port);
  link.socket.open(here.protocol(), error);
  if (!error) link.socket.bind(here, error);
  if (!error) return "";
  link.socket.close(error);
  return "this address and port cannot be taken; another program may have them; trying again";
}

asio::awaitable<std::string> read(LinkPtr link) {
  std::array<char, 65536> buffer{};
  link->events.connected();
  link->watchdog.expect_within(link->events.patience(), link);
  for (;;) {
    error_code error;
    const std::size_t n =
        co_await link->socket.async_receive(asio::buffer(buffer), asio::redirect_error(asio::use_awaitable, error));
    if (link->watchdog.has_expired()) {
      co_return link->events.silence("datagrams", "is this the port the receiver sends NMEA to?") + "; still listening";
    }
    if (error) co_return "receiving failed (" + error.message() + "); trying again";
    if (link->events.bytes({buffer.data(), n})) link->watchdog.expect_within(link->events.patience(), link);
  }
}

asio::awaitable<void> serve(LinkPtr link) {
  while (!link->events.stopped()) {
    std::string why = bind(*link);
    if (why.empty()) why = co_await read(link);
    link->watchdog.stop();
    link->close();
    if (link->events.stopped()) co_return;
    link->events.lost(why);
    error_code ignored;
    link->pause.expires_after(scaled(link->events.backoff().next()));
    co_await link->pause.async_wait(asio::redirect_error(asio::use_awaitable, ignored));
  }
}

class UdpFeed final : public Feed {
 public:
  UdpFeed(asio::io_context& io, const config::Feed& settings) : io_(io), link_(std::make_shared<Link>(io, settings)) {}
  ~UdpFeed() override { stop(); }

  void start(FeedEvents events) override {
    link_->events.start(std::move(events));
    spawn(io_, "udp feed", serve(link_));
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

std::unique_ptr<Feed> make_udp_feed(asio::io_context& io, const config::Feed& settings) {
  return std::make_unique<UdpFeed>(io, settings);
}

}  // namespace stillpoint::daemon
