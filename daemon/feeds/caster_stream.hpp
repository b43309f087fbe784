#pragma once
/// One connection to a caster: TCP, and TLS over it where the configuration wants that.
///
/// TLS:     1.2 and up; the certificate must be good, not expired and made for the caster's name before a byte of ours is
///          sent.
/// Threads: the I/O thread. Time: none: who waits closes it when that takes too long, and what is waited for then fails.
/// Errors:  Boost's; `Failed` tells which step it was.

#include <boost/asio/awaitable.hpp>
#include <boost/asio/io_context.hpp>
#include <memory>
#include <string>
#include <string_view>

#include "base/result.hpp"
#include "config/settings.hpp"
#include "corrections/delivery.hpp"

namespace stillpoint::daemon {

namespace asio = boost::asio;

struct Failed {
  corrections::Stop stop = corrections::Stop::none;
  std::string detail{};
};

class CasterStream {
 public:
  CasterStream(asio::io_context& io, const config::Corrections& settings);
  ~CasterStream();
  CasterStream(const CasterStream&) = delete;
  CasterStream& operator=(const CasterStream&) = delete;

  /// Finds the host and connects to it.
  asio::awaitable<Failed> connect();
  /// Proves who answers; at once without TLS.
  asio::awaitable<Failed> shake_hands();
  /// Appends what came to `bytes`.
  asio::awaitable<Failed> read(std::string& bytes);
  asio::awaitable<Failed> write(std::string bytes);
  void close();

 private:
  struct State;
  std::unique_ptr<State> state_;
};

/// Whether the certificates that vouch for a caster can be read; a sentence if not.
Result<void> check_authority(const std::string& path);

}  // namespace stillpoint::daemon
