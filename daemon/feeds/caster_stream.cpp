#include "feeds/caster_stream.hpp"

#include <netinet/tcp.h>
#include <sys/socket.h>

#include <array>
#include <boost/asio/connect.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/redirect_error.hpp>
#include <boost/asio/ssl.hpp>
#include <boost/asio/ssl/host_name_verification.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <boost/asio/write.hpp>
#include <optional>
#include <vector>

#include "feeds/sentences.hpp"

namespace stillpoint::daemon {
namespace {

using asio::ip::tcp;
using boost::system::error_code;
using corrections::Stop;

constexpr unsigned kUserTimeoutMs = 10'000;

/// What was sent and is never acknowledged shows that the other end has gone.
void watch_over(tcp::socket& socket) {
  error_code ignored;
  socket.set_option(tcp::no_delay(true), ignored);
  socket.set_option(asio::socket_base::keep_alive(true), ignored);
  const unsigned timeout_ms = kUserTimeoutMs;
  ::setsockopt(socket.native_handle(), IPPROTO_TCP, TCP_USER_TIMEOUT, &timeout_ms, sizeof timeout_ms);
}

Failed failure_of(const error_code& error) {
  if (!error) return {};
  if (error == asio::error::eof || error == asio::ssl::error::stream_truncated) return {Stop::closed};
  return {Stop::reset, error.message()};
}

void set_up(asio::ssl::context& context, const std::string& authority, error_code& error) {
  context.set_options(asio::ssl::context::default_workarounds | asio::ssl::context::no_sslv2 |
                          asio::ssl::context::no_sslv3 | asio::ssl::context::no_tlsv1 | asio::ssl::context::no_tlsv1_1,
                      error);
  if (!error) context.set_verify_mode(asio::ssl::verify_peer, error);
  if (error) return;
  if (authority.empty()) {
    context.set_default_verify_paths(error);
  } else {
    context.load_verify_file(authority, error);
  }
}

}  // namespace

struct CasterStream::State {
  State(asio::io_context& io, const config::Corrections& given) : settings(given), resolver(io), socket(io) {}

  const config::Corrections& settings;
  tcp::resolver resolver;
  tcp::socket socket;
  std::optional<asio::ssl::context> context;
  std::optional<asio::ssl::stream<tcp::socket&>> tls;
  std::array<char, 8192> buffer{};
};

CasterStream::CasterStream(asio::io_context& io, const config::Corrections& settings)
    : state_(std::make_unique<State>(io, settings)) {}
CasterStream::~CasterStream() = default;

void CasterStream::close() {
  error_code ignored;
  state_->resolver.cancel();
  state_->socket.close(ignored);
}

asio::awaitable<Failed> CasterStream::connect() {
  State& s = *state_;
  error_code error;
  std::vector<tcp::endpoint> found;
  error_code not_an_address;
  const auto address = asio::ip::make_address(s.settings.host, not_an_address);
  if (!not_an_address) {
    found.emplace_back(address, s.settings.port);
  } else {
    const auto results = co_await s.resolver.async_resolve(s.settings.host, std::to_string(s.settings.port),
                                                           asio::redirect_error(asio::use_awaitable, error));
    if (error) co_return Failed{Stop::no_name, error.message()};
    for (const auto& result : results) found.push_back(result.endpoint());
  }
  co_await asio::async_connect(s.socket, found, asio::redirect_error(asio::use_awaitable, error));
  if (error == asio::error::connection_refused) co_return Failed{Stop::refused};
  if (error) co_return Failed{Stop::timed_out, error.message()};
  watch_over(s.socket);
  co_return Failed{};
}

asio::awaitable<Failed> CasterStream::shake_hands() {
  State& s = *state_;
  if (!s.settings.tls) co_return Failed{};
  error_code error;
  s.context.emplace(asio::ssl::context::tls_client);
  set_up(*s.context, s.settings.authority, error);
  if (error) co_return Failed{Stop::tls, error.message()};
  s.tls.emplace(s.socket, *s.context);
  error_code no_address;
  (void)asio::ip::make_address(s.settings.host, no_address);
  // A caster of many names shows the certificate of the one that is asked for; an address has none.
  std::string name = s.settings.host;
  if (no_address) {
    SSL_ctrl(s.tls->native_handle(), SSL_CTRL_SET_TLSEXT_HOSTNAME, TLSEXT_NAMETYPE_host_name, name.data());
  }
  s.tls->set_verify_callback(asio::ssl::host_name_verification(s.settings.host), error);
  if (error) co_return Failed{Stop::tls, error.message()};
  co_await s.tls->async_handshake(asio::ssl::stream_base::client, asio::redirect_error(asio::use_awaitable, error));
  if (!error) co_return Failed{};
  if (error == asio::error::eof || error == asio::error::connection_reset) co_return failure_of(error);
  const long why = SSL_get_verify_result(s.tls->native_handle());
  co_return Failed{Stop::tls, why == X509_V_OK ? error.message() : X509_verify_cert_error_string(why)};
}

asio::awaitable<Failed> CasterStream::read(std::string& bytes) {
  State& s = *state_;
  error_code error;
  std::size_t size = 0;
  const auto buffer = asio::buffer(s.buffer);
  if (s.tls) {
    size = co_await s.tls->async_read_some(buffer, asio::redirect_error(asio::use_awaitable, error));
  } else {
    size = co_await s.socket.async_read_some(buffer, asio::redirect_error(asio::use_awaitable, error));
  }
  bytes.append(s.buffer.data(), size);
  co_return failure_of(error);
}

asio::awaitable<Failed> CasterStream::write(std::string bytes) {
  State& s = *state_;
  error_code error;
  if (s.tls) {
    co_await asio::async_write(*s.tls, asio::buffer(bytes), asio::redirect_error(asio::use_awaitable, error));
  } else {
    co_await asio::async_write(s.socket, asio::buffer(bytes), asio::redirect_error(asio::use_awaitable, error));
  }
  co_return failure_of(error);
}

Result<void> check_authority(const std::string& path) {
  if (path.empty()) return {};
  asio::ssl::context context(asio::ssl::context::tls_client);
  error_code error;
  context.load_verify_file(path, error);
  return error ? fail(kSayOfFeeds.authority_unusable(path, error.message())) : Result<void>{};
}

}  // namespace stillpoint::daemon
