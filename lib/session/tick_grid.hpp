#pragma once
/// The session's time: it runs in ticks on a fixed grid of steady time, so that the same calls bring the same looks.
/// Not for other rooms.
///
/// Threads: the session's. Errors: none; a time that lies back is taken for now.

#include <algorithm>
#include <cstdint>

#include "base/time.hpp"

namespace stillpoint::session {

class TickGrid {
 public:
  explicit TickGrid(std::int64_t step_ms) noexcept : step_ms_(step_ms) {}

  /// Calls `tick()` at every point of the grid up to and including `to`; the first call only begins the grid.
  template <class Tick>
  void run(SteadyTime to, const Tick& tick) {
    if (!started_) {
      started_ = true;
      now_ = to;
      ticks_ = to.ms / step_ms_;
      return;
    }
    while ((ticks_ + 1) * step_ms_ <= to.ms) {
      now_ = SteadyTime{++ticks_ * step_ms_};
      tick();
    }
    now_ = std::max(now_, to);
  }
  SteadyTime now() const noexcept { return now_; }

 private:
  std::int64_t step_ms_;
  SteadyTime now_;
  std::int64_t ticks_ = 0;  ///< points of the grid already run
  bool started_ = false;
};

}  // namespace stillpoint::session
