/// Datagrams of NMEA bytes sent to an address and port of this machine, from one sender at a time.

#include <array>
#include <boost/asio/awaitable.hpp>
#include <boost/asio/ip/udp.hpp>
#include <boost/asio/redirect_error.hpp>
#include <boost/asio/use_awaitable.hpp>

#include "feeds/live_link.hpp"
#include "feeds/sender_choice.hpp"
#include "feeds/spawn.hpp"

namespace stillpoint::daemon {
namespace {

using asio::ip::udp;
using boost::system::error_code;

/// The same text for the same machine, on a socket for one family or both, and whatever its interface.
std::string text_of(const asio::ip::address& address) {
  if (!address.is_v6()) return address.to_string();
  auto six = address.to_v6();
  if (six.is_v4_mapped()) return asio::ip::make_address_v4(asio::ip::v4_mapped, six).to_string();
  six.scope_id(0);
  return six.to_string();
}

std::string in_one_form(const std::string& address) {
  error_code error;
  const auto parsed = asio::ip::make_address(address, error);
  return error ? address : text_of(parsed);
}

struct Link {
  Link(asio::io_context& io, const config::Feed& settings)
      : address(settings.address),
        from(in_one_form(settings.from)),
        port(settings.port),
        senders(static_cast<std::int64_t>(settings.silence_s * 1000)),
        events("udp " + settings.address + ":" + std::to_string(settings.port), settings),
        socket(io),
        pause(io),
        watchdog(io, [this] { close(); }) {}

  void close() {
    error_code ignored;
    socket.close(ignored);
  }

  std::string address, from;
  std::uint16_t port;
  SenderChoice senders;
  std::string stranger;  ///< last heard of those that are not `from`
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

/// Whether a datagram of this sender is to be used; a change of sender is told, and cuts the stream.
bool is_taken(Link& link, const udp::endpoint& sender) {
  const std::string address = text_of(sender.address());
  const std::string name = address + " port " + std::to_string(sender.port());
  if (!link.from.empty() && address != link.from) {
    if (std::exchange(link.stranger, address) != address)
      link.events.sender_changed("datagrams of " + name + " are left out; from = \"" + link.from + "\"");
    return false;
  }
  const auto verdict = link.senders.hear(name, steady_now());
  if (verdict == SenderChoice::Verdict::taken_over) link.events.taken_over();
  if (!link.senders.news().empty()) link.events.sender_changed(link.senders.news());
  return verdict != SenderChoice::Verdict::left_out;
}

std::string silence_of(const Link& link) {
  if (link.stranger.empty()) return link.events.silence("datagrams", "is this the port the receiver sends NMEA to?");
  return "no datagrams from " + link.from + ", but some from " + link.stranger + "; is from right?";
}

asio::awaitable<std::string> read(LinkPtr link) {
  std::array<char, 65536> buffer{};
  udp::endpoint sender;
  link->senders.forget();
  link->events.connected();
  link->watchdog.expect_within(link->events.patience(), link);
  for (;;) {
    error_code error;
    const std::size_t n = co_await link->socket.async_receive_from(asio::buffer(buffer), sender,
                                                                   asio::redirect_error(asio::use_awaitable, error));
    if (link->watchdog.has_expired()) co_return silence_of(*link) + "; still listening";
    if (error) co_return "receiving failed (" + error.message() + "); trying again";
    if (!is_taken(*link, sender)) continue;
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
