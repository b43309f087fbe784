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
/// The claim is the receiver's own, before any scale: what was in use when a visit was made does not come back as
/// evidence for itself.
///
/// A mark's own error is in what was seen and is subtracted, at most half of it: a mark's sigma is somebody's word.
/// Visits to one mark share that error, which widens the interval.
///
/// Without a known mark the visits' own mean stands for the truth; one visit of each place is used up for it, and an
/// offset common to all of them stays invisible.
///
/// The interval takes each visit as one independent draw an axis (the worst case, errors that last through a visit), by
/// the chi-square distribution. With visits of a few minutes it is about right; with near-independent epochs too wide.
/// What should be configured is the value that the true scale stays below in 80 of 100: with few visits a best guess
/// claims too little as often as too much.
///
/// Units:   metres relative to one origin a place; scales are plain factors.
/// Time:    none. Threads: plain functions.
/// Errors:  too few visits, or a visit without a claim, in one sentence.
/// Source:  the degrees of freedom of a sum of unlike draws after Satterthwaite (1946).

#include <optional>
#include <span>
#include <string>

#include "base/result.hpp"
#include "base/time.hpp"
#include "estimate/average.hpp"
#include "estimate/claimed.hpp"

namespace stillpoint::estimate {

/// `error_scale`: with which the stay was averaged.
Claimed claimed_of(const Estimate& stay, double error_scale) noexcept;

/// One visit of one source to a mark or another place.
struct PlaceVisit {
  int place = 0;                             ///< equal numbers: the same place
  bool against_truth = true;                 ///< the position is relative to the truth; else to any one point
  double east_m = 0, north_m = 0, up_m = 0;  ///< of the visit's mean
  Claimed claimed{};
  bool has_height = true;                     ///< the truth has one
  double truth_plan_m2 = 0, truth_up_m2 = 0;  ///< variance of the mark's own position; in plan both axes together
  std::optional<double> error95_plan_m{};     ///< that was given for this visit
};

/// A factor with its 95 % interval.
struct Factor {
  double value = 0;
  double low = 0, high = 0;
  double upper80 = 0;  ///< the true one is below it in 80 of 100
};

struct Calibration {
  int visits = 0;   ///< all that were used
  int counted = 0;  ///< that count as proof: with a height, and one less for each place without a truth
  int without_height = 0;
  int to_marks = 0;
  int places = 0;
  Factor horizontal;
  Factor vertical;                     ///< value 0: no mark had a height
  bool weak_marks = false;             ///< the marks' own errors are half of what was seen, or more
  int within95 = 0, with_error95 = 0;  ///< visits whose mean lay within the 95 % radius they had; of those that had one
  double error_scale = 0;  ///< to be configured: the larger of the two upper limits, so that neither claims too little

  /// The larger of the two, by its upper limit.
  const Factor& larger() const noexcept { return vertical.upper80 > horizontal.upper80 ? vertical : horizontal; }
};

/// From so many visits on a scale is verified.
inline constexpr int kFewestToVerify = 10;

/// Places without truth and with one visit are left out.
Result<Calibration> calibrate(std::span<const PlaceVisit> visits);

/// `8 of 10 visits, scale so far 1.40, between 1.10 and 1.90 at 95 %`
std::string standing(const Calibration& calibration);

/// The lines to paste below the source, with a line end between them:
/// `error_scale = 1.48  # best guess 1.32, 1.05 to 1.78 at 95 %, 12 visits to known marks`
/// `error_scale_evidence = { visits = 12, until = 2026-06-03 }`; without it when there are too few visits to verify.
std::string toml_lines(const Calibration& calibration, UtcTime until);

/// The value that a chi-square variable of so many degrees stays below with `probability`, to six digits.
double chi_square_quantile(double probability, double degrees) noexcept;

}  // namespace stillpoint::estimate
