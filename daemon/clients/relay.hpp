#pragma once
/// Shares the receiver's link: other programs read the same bytes, and one of them may write, which goes to the
/// receiver untouched. The link itself is locked, so a program that sends corrections has no other way in.
///
/// Where:   a TCP port of this machine and, if wanted, a pseudo-terminal under a name of its own.
/// Who may write: a program of the daemon's own user, of root or of a user in `writers` (found for TCP through the
///          kernel's table of connections), one whose first line is `token SECRET`, and whoever may open the
///          pseudo-terminal. The first that writes is the writer until it goes; what others send is dropped and
///          counted.
/// Slow:    a TCP reader that lets more than 256 KiB wait is dropped. For the pseudo-terminal, which cannot be dropped,
///          the unread bytes are thrown away.
/// Time:    steady; silence of the writer counts from its last byte.
/// Threads: the I/O thread.
/// Errors:  `open` says in a sentence what cannot be had; clients' faults are logged.

#include <boost/asio/io_context.hpp>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "base/result.hpp"
#include "common/times.hpp"
#include "config/settings.hpp"

namespace stillpoint::daemon {

struct RelayCounters {
  std::uint64_t readers = 0;  ///< now
  std::uint64_t readers_dropped = 0;
  std::uint64_t bytes_to_receiver = 0;
  std::uint64_t bytes_refused = 0;  ///< from programs that may not write, or that the link did not take
  std::optional<MachineTime> last_write;
  bool has_writer = false;
};

class Relay {
 public:
  /// `to_receiver` returns false when the link takes nothing now.
  Relay(boost::asio::io_context& io, config::Relay settings, std::function<bool(std::string_view)> to_receiver);
  ~Relay();
  Relay(const Relay&) = delete;
  Relay& operator=(const Relay&) = delete;

  Result<void> open();
  /// Bytes from the receiver, to all readers.
  void bytes(std::string_view bytes);
  void stop();
  RelayCounters counters() const;

 private:
  struct State;
  std::shared_ptr<State> state_;
};

}  // namespace stillpoint::daemon
