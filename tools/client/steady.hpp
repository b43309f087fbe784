#pragma once
/// The clock of the terminal's waits. It goes on while the machine sleeps: what was shown before is old afterwards.
///
/// Units: milliseconds. Threads: safe from all. Errors: none.

#include <time.h>

#include <cstdint>

namespace stillpoint::client {

inline std::int64_t now_ms() noexcept {
  timespec now{};
  ::clock_gettime(CLOCK_BOOTTIME, &now);
  return static_cast<std::int64_t>(now.tv_sec) * 1000 + now.tv_nsec / 1'000'000;
}

}  // namespace stillpoint::client
