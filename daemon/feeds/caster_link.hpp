#pragma once
/// Brings corrections from a caster: asks, reads, says why none come, and asks again with care.
///
/// Waits:   5 s for the connection, 10 s for the proof of a name, 10 s for the answer; 30 s without a byte after it and
///          the link is made anew, for a half-open one looks just like that. Between two tries those of `ntrip/retry.hpp`.
/// Version: where either will do, one that fails without a clear answer is followed by the other.
/// Position: sent with the request and then every five seconds, if the configuration consents and there is a fresh one.
/// Trust:   the login is read from its file for each request and kept no longer.
/// Threads: the I/O thread; events come from there and never from inside `start`.
/// Errors:  told as the state of the link.

#include <boost/asio/io_context.hpp>
#include <functional>
#include <memory>
#include <string>
#include <string_view>

#include "base/result.hpp"
#include "config/settings.hpp"
#include "record/command.hpp"

namespace stillpoint::daemon {

/// Whether the files that a caster is asked with can be used; a sentence if not.
Result<void> check_caster_files(const config::Corrections& settings);

struct CasterEvents {
  std::function<void(std::string_view bytes)> bytes;            ///< of corrections, untouched
  std::function<void(const record::Delivery& delivery)> state;  ///< told on every change
  std::function<std::string()> position;  ///< a GGA sentence that may be sent; empty: there is none
};

class CasterLink {
 public:
  CasterLink(boost::asio::io_context& io, config::Corrections settings);
  ~CasterLink();
  CasterLink(const CasterLink&) = delete;
  CasterLink& operator=(const CasterLink&) = delete;

  void start(CasterEvents events);
  /// No event comes after it.
  void stop();

  struct State;  ///< of its file

 private:
  std::shared_ptr<State> state_;
};

}  // namespace stillpoint::daemon
