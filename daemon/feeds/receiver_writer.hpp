#pragma once
/// Which of two may write to the receiver: the stream of our caster, or the program on the relay. Never both, for a frame
/// of the one in the middle of a frame of the other spoils both.
///
/// Rule:    the caster writes whenever something comes from it; the program only while nothing has come for ten seconds.
/// Time:    the machine's, handed in. Threads: one. Errors: none.

#include <optional>

#include "common/times.hpp"

namespace stillpoint::daemon {

class ReceiverWriter {
 public:
  static constexpr std::int64_t kSilentMs = 10'000;

  void caster_writes(MachineTime now) noexcept { caster_ = now; }
  bool may_program_write(MachineTime now) const noexcept { return !caster_ || ms_between(*caster_, now) >= kSilentMs; }

 private:
  std::optional<MachineTime> caster_;  ///< when it wrote last
};

}  // namespace stillpoint::daemon
