/// A receiver, or a caster of its bytes, behind a TCP port.

#include <netinet/tcp.h>
#include <sys/socket.h>

#include <array>
#include <boost/asio/awaitable.hpp>
#include <boost/asio/connect.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/redirect_error.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <exception>
#include <utility>

#include "feeds/live_feed.hpp"

#include "feeds/sentences.hpp"

namespace stillpoint::daemon {
namespace {

using asio::ip::tcp;
using boost::system::error_code;

constexpr std::chrono::milliseconds kConnectTimeout{5000};

std::string name_of(const config::Feed& settings) {
  const bool v6 = settings.host.find(':') != std::string::npos;
  return "tcp " + (v6 ? "[" + settings.host + "]" : settings.host) + ":" + std::to_string(settings.port);
}

class TcpPort final : public Port {
 public:
  TcpPort(asio::io_context& io, const config::Feed& settings)
      : host_(settings.host), port_(settings.port), resolver_(io), socket_(io), lost_(io) {}

  asio::awaitable<std::string> open(LiveLinkPtr link) override;
  asio::awaitable<std::string> read(LiveLinkPtr link) override;
  void close() override {
    error_code ignored;
    resolver_.cancel();
    socket_.close(ignored);
  }
  bool write(std::string_view bytes, const LiveLinkPtr& link) override { return writer_.write(bytes, link); }

 private:
  asio::awaitable<std::vector<tcp::endpoint>> find_host(LiveLinkPtr link, error_code& error);
  void read_on(const LiveLinkPtr& link);
  void on_read(const LiveLinkPtr& link, const error_code& error, std::size_t size);

  std::string host_;
  std::uint16_t port_;
  tcp::resolver resolver_;
  tcp::socket socket_;
  asio::steady_timer lost_;  ///< cancelled when it is
  std::string why_lost_;
  std::exception_ptr failure_;
  std::array<char, 16384> buffer_{};
  LinkWriter<tcp::socket> writer_{socket_};
};

/// `link` keeps the port alive meanwhile.
asio::awaitable<std::vector<tcp::endpoint>> TcpPort::find_host([[maybe_unused]] LiveLinkPtr link, error_code& error) {
  std::vector<tcp::endpoint> found;
  error_code not_an_address;
  const auto address = asio::ip::make_address(host_, not_an_address);
  if (!not_an_address) {
    found.emplace_back(address, port_);
    co_return found;
  }
  const auto results =
      co_await resolver_.async_resolve(host_, std::to_string(port_), asio::redirect_error(asio::use_awaitable, error));
  for (const auto& result : results) found.push_back(result.endpoint());
  co_return found;
}

// A link whose other end has lost its power says nothing; the system then finds out within half a minute.
void keep_alive(tcp::socket& socket) {
  error_code ignored;
  socket.set_option(asio::socket_base::keep_alive(true), ignored);
  const int fd = socket.native_handle();
  const int idle_s = 10, interval_s = 5, probes = 3;
  ::setsockopt(fd, IPPROTO_TCP, TCP_KEEPIDLE, &idle_s, sizeof idle_s);
  ::setsockopt(fd, IPPROTO_TCP, TCP_KEEPINTVL, &interval_s, sizeof interval_s);
  ::setsockopt(fd, IPPROTO_TCP, TCP_KEEPCNT, &probes, sizeof probes);
}

asio::awaitable<std::string> TcpPort::open(LiveLinkPtr link) {
  error_code error;
  link->watchdog.expect_within(scaled(kConnectTimeout), link);
  const auto endpoints = co_await find_host(link, error);
  if (error && !link->watchdog.has_expired()) co_return kSayOfFeeds.no_host(error.message());
  if (!error) co_await asio::async_connect(socket_, endpoints, asio::redirect_error(asio::use_awaitable, error));
  if (link->watchdog.has_expired()) co_return kSayOfFeeds.no_answer();
  if (error == asio::error::connection_refused) co_return kSayOfFeeds.connection_refused();
  if (error) co_return kSayOfFeeds.tries_again(error.message());
  keep_alive(socket_);
  co_return std::string();
}

/// Why the link is lost, as it is.
std::string loss_of(const LiveLink& link, const error_code& error) {
  if (link.watchdog.has_expired()) {
    return kSayOfFeeds.connects_again(link.events.silence("bytes", kSayOfFeeds.is_port_right()));
  }
  if (error == asio::error::eof) return kSayOfFeeds.connection_closed();
  return kSayOfFeeds.connection_broke(error.message());
}

void TcpPort::on_read(const LiveLinkPtr& link, const error_code& error, std::size_t size) {
  if (link->events.bytes({buffer_.data(), size})) link->watchdog.expect_within(link->events.patience(), link);
  if (error || link->watchdog.has_expired()) why_lost_ = loss_of(*link, error);
}

/// Reads until the link is lost. It is no coroutine, because code that runs with every burst must be fetched anew after
/// each pause in the stream, and a coroutine is twice as much to fetch.
void TcpPort::read_on(const LiveLinkPtr& link) {
  socket_.async_read_some(asio::buffer(buffer_), [this, link](const error_code& error, std::size_t size) {
    try {
      on_read(link, error, size);
      if (why_lost_.empty()) return read_on(link);
    } catch (...) {
      failure_ = std::current_exception();
    }
    lost_.cancel();
  });
}

asio::awaitable<std::string> TcpPort::read(LiveLinkPtr link) {
  link->events.connected();
  link->watchdog.expect_within(link->events.patience(), link);
  why_lost_.clear();
  lost_.expires_at(asio::steady_timer::time_point::max());
  read_on(link);
  error_code ignored;
  co_await lost_.async_wait(asio::redirect_error(asio::use_awaitable, ignored));
  if (failure_) std::rethrow_exception(std::exchange(failure_, nullptr));
  co_return std::move(why_lost_);
}

}  // namespace

std::unique_ptr<Feed> make_tcp_feed(asio::io_context& io, const config::Feed& settings) {
  auto port = std::make_unique<TcpPort>(io, settings);
  return make_live_feed(io, "tcp", std::make_shared<LiveLink>(io, name_of(settings), settings, std::move(port)));
}

}  // namespace stillpoint::daemon
