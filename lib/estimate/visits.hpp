#pragma once
/// Which repeat visits to one point count as independent, and what they come to together.
///
/// Two visits count as independent when they lie 45 min or more apart and the receiver was initialized anew between
/// them: before that the sky, the corrections and a false fix may be the same. The longest visits are chosen first, of
/// equals the earliest, never the one whose error is printed smallest; one that depends on a chosen one adds nothing.
/// What is left of one visit's error after the time between them is common to two (17 min in plan and 36 min in height,
/// Odolinski 2012; a tenth at least). The combined variance is that of the weighted mean with this, or what the visits'
/// own disagreement shows, whichever is larger, plus the floor that all of them share.
///
/// Units:   as `average.hpp`; all visits relative to one origin.
/// Time:    UTC of the epochs; no clock.
/// Threads: plain functions.
/// Errors:  none; no visits give an empty answer.

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "base/time.hpp"
#include "estimate/average.hpp"

namespace stillpoint::estimate {

inline constexpr std::int64_t kIndependentAfter_ms = 45 * 60 * 1000;
/// Two visits disagree when they lie farther apart than so many times what their 95 % errors, added as squares, allow.
inline constexpr double kDisagreement = 1.5;

struct Visit {
  Estimate estimate;
  UtcTime first, last;     ///< of its epochs
  int initialization = 0;  ///< equal numbers: not initialized anew between them
  double counted_s = 0;    ///< how much of it counted
};

/// In either order.
bool independent(const Visit& a, const Visit& b) noexcept;

/// When the next visit will count, if the receiver is initialized anew; empty without visits.
std::optional<UtcTime> next_counts_from(std::span<const Visit> visits) noexcept;

struct CommonFloor {
  double horizontal_m = 0, vertical_m = 0;  ///< the source's `error_floor_m`; each visit's covariance holds it already
};

struct Combined {
  std::vector<std::size_t> counted;  ///< positions of the visits that count, the longest first
  double east_m = 0, north_m = 0, up_m = 0;
  double ee_m2 = 0, en_m2 = 0, nn_m2 = 0, uu_m2 = 0;
  double error95_horizontal_m = 0;
  double error95_vertical_m = 0;
  double separation_m = 0;     ///< largest horizontal distance between two that count
  double separation_up_m = 0;  ///< largest difference in height
  /// Two of them lie farther apart than 1.5 times what their 95 % errors allow: one is wrong, and the mean is no
  /// answer.
  bool disagree = false;
};

/// Nothing when there are no visits.
std::optional<Combined> combine(std::span<const Visit> visits, const CommonFloor& floor);

}  // namespace stillpoint::estimate
