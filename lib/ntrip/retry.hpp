#pragma once
/// How long to wait before a caster is asked again.
///
/// A link that broke is tried at once a second later, then after 2, 4, … 60 s. A caster that refused the login or does
/// not know the stream is asked once a minute at most: providers shut out who asks faster. A stretch of each wait is
/// left to chance, so that a hundred crews do not come back in the same second.
///
/// Time:    milliseconds; nothing reads a clock.
/// Threads: one object, one thread. Errors: none.

#include <cstdint>

namespace stillpoint::ntrip {

class Retry {
 public:
  static constexpr std::int64_t kFirstMs = 1000;
  static constexpr std::int64_t kLongestMs = 60'000;

  /// Corrections came: the next break begins anew.
  void came() noexcept { next_ms_ = kFirstMs; }
  /// The wait after a failure. `refused`: the caster has answered and will not serve as asked. `chance`: 0 to 1.
  std::int64_t wait_ms(bool refused, double chance) noexcept;

 private:
  std::int64_t next_ms_ = kFirstMs;
};

}  // namespace stillpoint::ntrip
