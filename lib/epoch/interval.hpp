#pragma once
/// How often positions come in a stream: the shortest of the last steps between epochs.
///
/// Known once all the steps are, or the first three are equal: one lost epoch is no rate.
///
/// Units:   milliseconds of stream time. Threads: one object, one thread. Errors: none.

#include <array>
#include <cstdint>
#include <utility>

namespace stillpoint::epoch {

class Interval {
 public:
  static constexpr std::int64_t kLongestMs = 10'000;

  /// Another epoch came so much later than the one before. Longer steps are outages and teach nothing.
  void step(std::int64_t ms) noexcept {
    if (ms > kLongestMs) return;
    const std::int64_t replaced_ms = std::exchange(steps_ms_[next_], ms);
    next_ = (next_ + 1) % steps_ms_.size();
    if (replaced_ms == ms) return;
    const bool first_three = next_ == 3 && steps_ms_[0] == steps_ms_[1] && steps_ms_[1] == steps_ms_[2];
    if (usual_ms_ > 0 || first_three || steps_ms_.back() > 0) usual_ms_ = shortest_ms();
  }

  /// 0: not known yet.
  std::int64_t usual_ms() const noexcept { return usual_ms_; }

  /// Of the steps so far, be they usual or not; 0 before the first one.
  std::int64_t shortest_ms() const noexcept {
    std::int64_t shortest_ms = 0;
    for (const std::int64_t step_ms : steps_ms_) {
      if (step_ms > 0 && (shortest_ms == 0 || step_ms < shortest_ms)) shortest_ms = step_ms;
    }
    return shortest_ms;
  }

 private:
  std::array<std::int64_t, 8> steps_ms_{};
  std::size_t next_ = 0;
  std::int64_t usual_ms_ = 0;
};

}  // namespace stillpoint::epoch
