#pragma once
/// With how many decimals numbers are told, and when a correction's origin is.
///
/// Units: those of the values. Time: none. Threads: pure. Errors: none.

#include "corrections/freshness.hpp"

namespace stillpoint::wire {

inline constexpr int kMetreDecimals = 4;
inline constexpr int kAgeDecimals = 3;

inline bool is_told_from(const corrections::Freshness& correction) noexcept {
  return correction.age_s || correction.from == corrections::AgeFrom::quality;
}

}  // namespace stillpoint::wire
