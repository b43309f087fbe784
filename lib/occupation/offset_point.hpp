#pragma once
/// A point that nobody can stand on, from the stays and from what a hand measured to it.
///
/// Rule:    the errors of the stays and of the hand are carried through (geodesy/offset.hpp). A stay whose error at 95 %
///          is larger than its covariance says is taken with the larger one. The point has the flag `offset`, every flag
///          of its stays that says something of their error, and no seconds of its own.
/// Height:  that of the stay, or the mean of both, with what was measured above it. Where nobody measured it, the flag
///          `height-not-measured` says so: the ellipsoid height is then the stay's own, with the distance as its 1-sigma
///          error, for a book wants one; there is no orthometric height, and programs are told of none.
/// Status:  accepted while its stays are; held with the reason `stay-held` while one of them is not.
/// Time:    `at` is when it was measured; it is no stay, and begins and ends then.
/// Threads: plain functions. Errors: one sentence for what gives no place.

#include <string_view>
#include <vector>

#include "base/result.hpp"
#include "occupation/point.hpp"

namespace stillpoint::occupation {

inline constexpr std::string_view kOffset = "offset";
inline constexpr std::string_view kHeightNotMeasured = "height-not-measured";

/// Stays of other dates are farther apart than their errors say.
inline constexpr double kSameDateYears = 0.1;

/// `stays`: as many as were measured from, in their order, none of them null. Without its name and what the project
/// delivers beside latitude, longitude and height.
Result<Point> offset_point(const OffsetMeasures& measures, const std::vector<const Point*>& stays,
                           std::optional<UtcTime> at);

/// Its stays are what they are by now: held for one of them, or free of that again. Null: one that is not known, which
/// says nothing. False: nothing has changed.
bool follow_stays(Point& offset, const std::vector<const Point*>& stays);

/// Whether its height was not measured.
bool has_no_height(const Point& point) noexcept;
/// At 95 %, as it is told: empty without a place or a height.
std::optional<double> told_vertical95_m(const Point& point) noexcept;

}  // namespace stillpoint::occupation
