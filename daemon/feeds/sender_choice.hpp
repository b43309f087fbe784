#pragma once
/// Whose datagrams are the receiver's: anybody can send to a port, and two streams mixed give no place at all.
///
/// Rule:    the first sender heard is the one. Another takes over when that one has been silent for more than
///          `silence_ms`, and is told. Until then its datagrams are left out; when both go on sending, that is told
///          too.
/// Time:    arrival, steady. Threads: plain values. Errors: none.

#include <cstdint>
#include <string>

#include "common/times.hpp"

namespace stillpoint::daemon {

class SenderChoice {
 public:
  enum class Verdict : std::uint8_t {
    taken,
    taken_over,  ///< by this sender from the one before: nothing may be averaged over it
    left_out
  };

  explicit SenderChoice(std::int64_t silence_ms) noexcept : silence_ms_(silence_ms) {}
  Verdict hear(const std::string& sender, MachineTime now);
  /// What is to be told of the last datagram; empty: nothing.
  const std::string& news() const noexcept { return news_; }
  /// A new link begins: nobody has been heard.
  void forget() noexcept { *this = SenderChoice(silence_ms_); }

 private:
  std::int64_t silence_ms_;
  std::string sender_, other_, news_;
  MachineTime heard_, other_heard_;
};

}  // namespace stillpoint::daemon
