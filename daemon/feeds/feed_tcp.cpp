/// A receiver, or a caster of its bytes, behind a TCP port.

#include <netinet/tcp.h>
#include <spdlog/spdlog.h>
#include <sys/socket.h>

#include <array>
#include <boost/asio/awaitable.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/connect.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/redirect_error.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <exception>
#include <utility>

#include "feeds/live_link.hpp"
#include "feeds/spawn.hpp"

namespace stillpoint::daemon {
namespace {

using asio::ip::tcp;
using boost::system::error_code;

constexpr std::chrono::milliseconds kConnectTimeout{5000};

std::string name_of(const config::Feed& settings) {
  const bool v6 = settings.host.find(':') != std::string::npos;
  return "tcp " + (v6 ? "[" + settings.host + "]" : settings.host) + ":" + std::to_string(settings.port);
}

struct Link {
  Link(asio::io_context& io, const config::Feed& settings)
      : host(settings.host),
        port(settings.port),
        events(name_of(settings), settings),
        resolver(io),
        socket(io),
        pause(io),
        lost(io),
        watchdog(io, [this] { close(); }) {}

  void close() {
    error_code ignored;
    resolver.cancel();
    socket.close(ignored);
  }

  std::string host;
  std::uint16_t port;
  LinkEvents events;
  tcp::resolver resolver;
  tcp::socket socket;
  asio::steady_timer pause;
  asio::steady_timer lost;  ///< cancelled when it is
  std::string why_lost;
  std::exception_ptr failure;
  std::array<char, 16384> buffer{};
  Watchdog watchdog;
  LinkWriter<tcp::socket> writer{socket};
};

using LinkPtr = std::shared_ptr<Link>;

asio::awaitable<std::vector<tcp::endpoint>> find_host(LinkPtr link, error_code& error) {
  std::vector<tcp::endpoint> found;
  error_code not_an_address;
  const auto address = asio::ip::make_address(link->host, not_an_address);
  if (!not_an_address) {
    found.emplace_back(address, link->port);
    co_return found;
  }
  const auto results = co_await link->resolver.async_resolve(link->host, std::to_string(link->port),
                                                             asio::redirect_error(asio::use_awaitable, error));
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

/// Empty: connected. Else why not.
asio::awaitable<std::string> connect(LinkPtr link) {
  error_code error;
  link->watchdog.expect_within(scaled(kConnectTimeout), link);
  const auto endpoints = co_await find_host(link, error);
  if (error && !link->watchdog.has_expired()) {
    co_return "the host name cannot be found (" + error.message() + "); trying again";
  }
  if (!error) {
    co_await asio::async_connect(link->socket, endpoints, asio::redirect_error(asio::use_awaitable, error));
  }
  if (link->watchdog.has_expired()) co_return "no answer within 5 s; trying again";
  if (error == asio::error::connection_refused) co_return "connection refused; is its sender running? Trying again";
  if (error) co_return error.message() + "; trying again";
  keep_alive(link->socket);
  co_return std::string();
}

/// Why the link is lost, as it is.
std::string loss_of(const Link& link, const error_code& error) {
  if (link.watchdog.has_expired()) {
    return link.events.silence("bytes", "is this the port the receiver sends NMEA to?") + "; connecting again";
  }
  if (error == asio::error::eof) return "the other side closed the connection; connecting again";
  return "the connection broke (" + error.message() + "); connecting again";
}

void on_read(const LinkPtr& link, const error_code& error, std::size_t size) {
  if (link->events.bytes({link->buffer.data(), size})) link->watchdog.expect_within(link->events.patience(), link);
  if (error || link->watchdog.has_expired()) link->why_lost = loss_of(*link, error);
}

/// Reads until the link is lost. It is no coroutine, because code that runs with every burst must be fetched anew after
/// each pause in the stream, and a coroutine is twice as much to fetch.
void read_on(const LinkPtr& link) {
  link->socket.async_read_some(asio::buffer(link->buffer), [link](const error_code& error, std::size_t size) {
    try {
      on_read(link, error, size);
      if (link->why_lost.empty()) return read_on(link);
    } catch (...) {
      link->failure = std::current_exception();
    }
    link->lost.cancel();
  });
}

/// Reads until the link is lost; says why it was.
asio::awaitable<std::string> read(LinkPtr link) {
  link->events.connected();
  link->watchdog.expect_within(link->events.patience(), link);
  link->why_lost.clear();
  link->lost.expires_at(asio::steady_timer::time_point::max());
  read_on(link);
  error_code ignored;
  co_await link->lost.async_wait(asio::redirect_error(asio::use_awaitable, ignored));
  if (link->failure) std::rethrow_exception(std::exchange(link->failure, nullptr));
  co_return std::move(link->why_lost);
}

asio::awaitable<void> serve(LinkPtr link) {
  while (!link->events.stopped()) {
    std::string why = co_await connect(link);
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

class TcpFeed final : public Feed {
 public:
  TcpFeed(asio::io_context& io, const config::Feed& settings) : io_(io), link_(std::make_shared<Link>(io, settings)) {}
  ~TcpFeed() override { stop(); }

  void start(FeedEvents events) override {
    link_->events.start(std::move(events));
    spawn(io_, "tcp feed", serve(link_));
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

std::unique_ptr<Feed> make_tcp_feed(asio::io_context& io, const config::Feed& settings) {
  return std::make_unique<TcpFeed>(io, settings);
}

}  // namespace stillpoint::daemon
