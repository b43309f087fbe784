#pragma once
/// When the next status may go out: many changes in a short time are one frame, and whoever wakes up late asks again.
///
/// Time:    the caller's steady clock, handed in.
/// Threads: one object, one thread.
/// Errors:  none.

#include <chrono>

namespace stillpoint::daemon {

class StatusPace {
 public:
  using Time = std::chrono::steady_clock::time_point;

  /// `every` is the least time between two.
  explicit StatusPace(std::chrono::milliseconds every) noexcept : every_(every) {}

  /// Something has changed that is not published yet.
  void changed() noexcept { waits_ = true; }
  bool waits() const noexcept { return waits_; }
  /// True when a change waits and the last status is old enough.
  bool is_due(Time now) const noexcept { return waits_ && now >= next(); }
  /// The first moment at which one may go out.
  Time next() const noexcept { return published_ + every_; }
  void published(Time now) noexcept {
    published_ = now;
    waits_ = false;
  }
  std::chrono::steady_clock::duration since_last(Time now) const noexcept { return now - published_; }

 private:
  std::chrono::milliseconds every_;
  Time published_{};
  bool waits_ = false;
};

}  // namespace stillpoint::daemon
