#pragma once
/// How often one kind of sentence comes in a stream, where it comes more slowly than the positions.
///
/// A receiver may print positions at 20 Hz beside DOPs at 1 Hz, or its error figures every five seconds. What such a
/// sentence says holds until the next one is due, and no longer: one that stays out is missed.
///
/// Units:   milliseconds of stream time.
/// Threads: one object, one thread.
/// Errors:  none.

#include <algorithm>
#include <array>
#include <cstdint>
#include <optional>

namespace stillpoint::epoch {

class Period {
 public:
  static constexpr std::int64_t kLongestMs = 30'000;

  /// The kind came at this instant.
  void came(std::int64_t stream_ms) noexcept {
    if (last_ms_ && stream_ms > *last_ms_) {
      steps_ms_[next_] = stream_ms - *last_ms_;
      next_ = (next_ + 1) % steps_ms_.size();
    }
    last_ms_ = stream_ms;
  }

  /// The shortest of the last steps, so that a lost sentence does not make a kind look slow. 0: not known yet, or too
  /// long.
  std::int64_t usual_ms() const noexcept {
    const std::int64_t shortest_ms = *std::min_element(steps_ms_.begin(), steps_ms_.end());
    return shortest_ms > kLongestMs ? 0 : shortest_ms;
  }

  /// False once the kind is known to come with every position.
  bool may_be_slower_than(std::int64_t interval_ms) const noexcept { return steps_ms_[next_] != interval_ms; }

  /// True while the last sentence of the kind still holds, that is, until the next one is due.
  bool holds_at(std::int64_t stream_ms) const noexcept {
    return last_ms_ && stream_ms >= *last_ms_ && stream_ms - *last_ms_ < usual_ms();
  }

 private:
  std::optional<std::int64_t> last_ms_;
  std::array<std::int64_t, 4> steps_ms_{};
  std::size_t next_ = 0;
};

}  // namespace stillpoint::epoch
