#pragma once
/// What helps now: stay, come back later, or move; with the figures it rests on, in sentences for the person on the
/// pole.
///
/// Staying helps while the effective epochs still grow fast enough: at the rate so far, what is missing must come
/// within five minutes, and nothing below a twentieth of one epoch's variance can be reached in one stay. If the
/// scatter refutes the receiver's claim the place is suspect (reflections, canopy) and the answer is to move. While the
/// claim is not proven no waiting lowers the error, and that is said at once.
///
/// Units:   metres, milliseconds in names.
/// Time:    UTC handed in; clock times are said in the crew's time where its offset is given, else in UTC by name.
/// Threads: plain functions.
/// Errors:  none.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/time.hpp"
#include "estimate/stay.hpp"

namespace stillpoint::estimate {

enum class Help : std::uint8_t { enough, stay, come_back, move };
/// `enough` `stay` `come-back` `move`
std::string_view to_word(Help help) noexcept;

struct StaySoFar {
  Conclusion conclusion;                                         ///< its segment must not be -1
  std::uint64_t other_level_epochs = 0;                          ///< of the largest disagreeing segment
  std::int64_t counted_ms = 0;                                   ///< stream time averaged so far
  std::optional<double> wanted_horizontal_m, wanted_vertical_m;  ///< 95 %
  UtcTime now;
  std::optional<UtcTime> next_counts_from;  ///< of `visits.hpp`; empty: 45 min from now
  double error_scale = 1.0;
  bool error_scale_verified = false;
  bool assumed_sigma = false;           ///< the receiver gives no error of its own
  std::optional<int> checks_to_prove;   ///< how many more checks on marks verify the scale; empty: not known
  std::optional<int> clock_offset_min;  ///< local time minus UTC; empty: clock times are told in UTC, and say so
};

struct Guidance {
  Help help = Help::stay;
  std::optional<std::int64_t> stay_ms;  ///< how much longer, when that can be told
  std::optional<UtcTime> come_back_at;  ///< when another visit would count
  std::string advice;                   ///< what to do, one sentence
  std::vector<std::string> facts;       ///< what is so, one sentence each; none over 80 characters
};

Guidance guide(const StaySoFar& stay);

/// "The position drifts: 0.25 m in 300 s, the receiver claims 8 mm", of a stay that must be held for it; else empty.
std::string drift_text(const Estimate& estimate);

/// Why averaging gains nothing yet, and what would change it, in one or two sentences.
std::vector<std::string> unproven_texts(std::optional<int> checks_to_prove, bool assumed_sigma = false);

/// `14:32`, or `14:32 UTC` without an offset. Rounded up to the minute: a minute early does not count.
std::string clock_minute(UtcTime time, std::optional<int> offset_min);

/// `12 mm`, `0.52 m`: millimetres below 0.1 m.
std::string length_text(double length_m);

}  // namespace stillpoint::estimate
