#pragma once
/// The patience of the daemon's links, its looks at the disk and its tries, scaled down in tests: a fault that a day
/// brings once in ten seconds comes there once in a tenth of one. Nothing that is judged or recorded depends on it.
///
/// Threads: set once before anything runs.

#include <chrono>

namespace stillpoint::daemon {

inline double timer_speed = 1.0;  ///< how many times shorter every wait is

inline std::chrono::milliseconds scaled(std::chrono::milliseconds wait) noexcept {
  const auto ms = static_cast<double>(wait.count()) / timer_speed;
  return std::chrono::milliseconds(ms < 1.0 ? 1 : static_cast<std::int64_t>(ms));
}

}  // namespace stillpoint::daemon
