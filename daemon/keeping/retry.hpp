#pragma once
/// When to try again what went wrong: after 0.1 s, doubled up to 2 s.
///
/// Time:    the machine's steady clock. Threads: one. Units: none. Errors: none.

#include <algorithm>
#include <chrono>
#include <optional>

#include "common/timers.hpp"

namespace stillpoint::daemon {

class Retry {
 public:
  using Clock = std::chrono::steady_clock;
  static constexpr std::chrono::milliseconds kFirst{100};
  static constexpr std::chrono::milliseconds kLongest{2000};

  bool is_due() const { return Clock::now() >= next_; }
  Clock::time_point next() const noexcept { return next_; }
  bool is_wrong() const noexcept { return wrong_since_.has_value(); }
  /// How long it has been going wrong.
  Clock::duration wrong_for() const { return wrong_since_ ? Clock::now() - *wrong_since_ : Clock::duration{0}; }
  /// True: it went well until now.
  bool went_wrong() {
    const auto now = Clock::now();
    const bool is_first = !wrong_since_;
    if (is_first) {
      wrong_since_ = now;
      backoff_ = scaled(kFirst);
    }
    next_ = now + backoff_;
    backoff_ = std::min(backoff_ * 2, scaled(kLongest));
    return is_first;
  }
  void went_well() { *this = {}; }
  void try_at_once() noexcept { next_ = {}; }

 private:
  std::optional<Clock::time_point> wrong_since_{};
  Clock::time_point next_{};
  std::chrono::milliseconds backoff_{0};
};

}  // namespace stillpoint::daemon
