#pragma once
/// How much a source's own error figure must be multiplied to be true: its `error_scale`, with its uncertainty.
///
/// Of every epoch the receiver claims a variance. What it was wrong by is its scatter about the visit's mean plus the
/// mean's distance from the truth: E|x̄ − truth|² + E[scatter] is the claimed variance if the claim is right, whatever
/// the correlation between epochs. So kG² = mean over visits of (|x̄ − truth|² + scatter² − digits) / claimed variance
/// of an epoch; what the last digits add is no part of the claim. (Comparing the means' distances with the means' own
/// errors instead would measure the caution of the averaging as well: for independent epochs it is cautious by a factor
/// of two to ten.)
///
/// Without a known mark the visits' own mean stands for the truth: ten visits or more, hours apart, and an offset
/// common to all of them stays invisible.
///
/// The interval takes each visit as one independent draw an axis (the worst case, errors that last through a visit), by
/// the chi-square distribution. With visits of a few minutes it is about right; with near-independent epochs too wide.
/// What should be configured is the value that the true scale stays below in 80 of 100: with few visits a best guess
/// claims too little as often as too much.
///
/// Units:   metres relative to one origin a mark; scales are plain factors.
/// Time:    none. Threads: plain functions.
/// Errors:  too few visits, or a visit without a claim, in one sentence.

#include <span>
#include <string>

#include "base/result.hpp"
#include "base/time.hpp"
#include "estimate/average.hpp"

namespace stillpoint::estimate {

/// One visit of one source to a mark.
struct MarkVisit {
  int mark = 0;  ///< equal numbers: the same mark
  Estimate estimate;
  double truth_east_m = 0, truth_north_m = 0, truth_up_m = 0;  ///< not used without truth
  bool has_height = true;                                      ///< the mark has a known height
};

/// A factor with its 95 % interval.
struct Factor {
  double value = 0;
  double low = 0, high = 0;
  double upper80 = 0;  ///< the true one is below it in 80 of 100
};

struct Calibration {
  int visits = 0;
  int marks = 0;
  bool against_truth = true;
  Factor horizontal;
  Factor vertical;         ///< value 0: no mark had a height
  int within95 = 0;        ///< visits whose mean lay within its own 95 % radius, at the scale that was in use
  double error_scale = 0;  ///< to be configured: the larger of the two upper limits, so that neither claims too little
};

inline constexpr int kFewestRepeats = 10;
/// From so many visits on a scale is verified.
inline constexpr int kFewestToVerify = 10;

/// `in_use`: the scale and floor with which the visits were computed.
Result<Calibration> calibrate_on_marks(std::span<const MarkVisit> visits, const Scale& in_use);
/// At least two visits a mark and ten in all; marks with one visit are left out.
Result<Calibration> calibrate_on_repeats(std::span<const MarkVisit> visits, const Scale& in_use);

/// The lines to paste below the source, with a line end between them:
/// `error_scale = 1.48  # best guess 1.32, 1.05 to 1.78 at 95 %, 12 visits to known marks`
/// `error_scale_evidence = { visits = 12, until = 2026-06-03 }`; without it when there are too few visits to verify.
std::string toml_lines(const Calibration& calibration, UtcTime until);

/// The value that a chi-square variable of so many degrees stays below with `probability`, to six digits.
double chi_square_quantile(double probability, int degrees) noexcept;

}  // namespace stillpoint::estimate
