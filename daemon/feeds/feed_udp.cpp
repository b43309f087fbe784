/// Datagrams of NMEA bytes sent to an address and port of this machine, from one sender at a time.

#include <array>
#include <boost/asio/awaitable.hpp>
#include <boost/asio/ip/udp.hpp>
#include <boost/asio/redirect_error.hpp>
#include <boost/asio/use_awaitable.hpp>

#include "feeds/live_feed.hpp"
#include "feeds/sender_choice.hpp"
#include "feeds/sentences.hpp"

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

class UdpPort final : public Port {
 public:
  UdpPort(asio::io_context& io, const config::Feed& settings)
      : address_(settings.address),
        from_(in_one_form(settings.from)),
        port_(settings.port),
        senders_(static_cast<std::int64_t>(settings.silence_s * 1000)),
        socket_(io) {}

  asio::awaitable<std::string> open(LiveLinkPtr) override { co_return bind(); }
  asio::awaitable<std::string> read(LiveLinkPtr link) override;
  void close() override {
    error_code ignored;
    socket_.close(ignored);
  }

 private:
  std::string bind();
  bool is_taken(LinkEvents& events, const udp::endpoint& sender);
  std::string silence(const LinkEvents& events) const;

  std::string address_, from_;
  std::uint16_t port_;
  SenderChoice senders_;
  std::string stranger_;  ///< last heard of those that are not `from`
  udp::socket socket_;
};

/// Empty: bound. Else why not.
std::string UdpPort::bind() {
  error_code error;
  const auto address = asio::ip::make_address(address_, error);
  if (error) return kSayOfFeeds.no_address(address_);
  const udp::endpoint here(address, port_);
  socket_.open(here.protocol(), error);
  if (!error) socket_.bind(here, error);
  if (!error) return "";
  socket_.close(error);
  return kSayOfFeeds.address_taken();
}

/// Whether a datagram of this sender is to be used; a change of sender is told, and cuts the stream.
bool UdpPort::is_taken(LinkEvents& events, const udp::endpoint& sender) {
  const std::string address = text_of(sender.address());
  const std::string name = address + " port " + std::to_string(sender.port());
  if (!from_.empty() && address != from_) {
    if (std::exchange(stranger_, address) != address) events.sender_changed(kSayOfFeeds.left_out(name, from_));
    return false;
  }
  const auto verdict = senders_.hear(name, machine_now());
  if (verdict == SenderChoice::Verdict::taken_over) events.taken_over();
  if (!senders_.news().empty()) events.sender_changed(senders_.news());
  return verdict != SenderChoice::Verdict::left_out;
}

std::string UdpPort::silence(const LinkEvents& events) const {
  if (stranger_.empty()) return events.silence("datagrams", kSayOfFeeds.is_port_right());
  return kSayOfFeeds.others_send(from_, stranger_);
}

asio::awaitable<std::string> UdpPort::read(LiveLinkPtr link) {
  std::array<char, 65536> buffer{};
  udp::endpoint sender;
  senders_.forget();
  link->events.connected();
  link->watchdog.expect_within(link->events.patience(), link);
  for (;;) {
    error_code error;
    const std::size_t n = co_await socket_.async_receive_from(asio::buffer(buffer), sender,
                                                              asio::redirect_error(asio::use_awaitable, error));
    if (link->watchdog.has_expired()) co_return kSayOfFeeds.still_listening(silence(link->events));
    if (error) co_return kSayOfFeeds.receiving_failed(error.message());
    if (!is_taken(link->events, sender)) continue;
    if (link->events.bytes({buffer.data(), n})) link->watchdog.expect_within(link->events.patience(), link);
  }
}

}  // namespace

std::unique_ptr<Feed> make_udp_feed(asio::io_context& io, const config::Feed& settings) {
  const std::string what = "udp " + settings.address + ":" + std::to_string(settings.port);
  auto port = std::make_unique<UdpPort>(io, settings);
  return make_live_feed(io, "udp", std::make_shared<LiveLink>(io, what, settings, std::move(port)));
}

}  // namespace stillpoint::daemon
