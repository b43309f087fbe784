#pragma once
/// Two clocks that the compiler keeps apart: in a replay they differ by its pace.
///
/// Units:   milliseconds. Threads: plain values. Errors: none.

#include <compare>
#include <cstdint>

#include "base/time.hpp"

namespace stillpoint::daemon {

/// When bytes came, as their feed stamps it: what drives session and record. In the library it is the caller's clock.
using FeedTime = SteadyTime;

/// An instant of the machine's own steady clock: patience, looks at the disk, tries.
struct MachineTime {
  std::int64_t ms = 0;
  auto operator<=>(const MachineTime&) const = default;
};

constexpr std::int64_t ms_between(MachineTime from, MachineTime to) noexcept {
  return to.ms - from.ms;
}

/// A live feed stamps its bytes by the machine's clock. Nothing else may take the one for the other.
constexpr FeedTime stamped(MachineTime now) noexcept {
  return FeedTime{now.ms};
}

}  // namespace stillpoint::daemon
