#pragma once
/// A place that nobody can stand on, from places where somebody stood: by a distance and a bearing from one, or by the
/// distances from two.
///
/// Units:   metres; degrees from north through east. Distances are horizontal, `up_m` is the height above the place, or
///          above the mean of both. Every error is 1 sigma.
/// Frame:   the tangent plane at the first place; within 1 mm of the ellipsoid up to 200 m away (tested). Heights are
///          levelled, so that they follow the ellipsoid.
/// Errors:  carried through to first order: those of the places, of the distances, of the bearing and of the height
///          difference, each independent of the others. Two places that share an error are no nearer to each other for
///          it, so that this is too large rather than too small.
/// Threads: pure.
/// Refused: in one sentence with the figures, what has no answer: two circles that do not meet, or so flatly that a
///          small error moves the answer far.
/// Source:  the polar point and the intersection of two arcs, as in every textbook of surveying; the errors are the
///          general law of propagation, C = J S J^T (JCGM 100:2008, 5.1 and its appendix H.2).

#include <array>

#include "base/offset_measures.hpp"
#include "base/result.hpp"
#include "geodesy/local.hpp"

namespace stillpoint::geodesy {

/// Where somebody stood.
struct Stood {
  Geographic at;
  std::array<double, 4> covariance_enu_m2{};  ///< ee, en, nn, uu
};

struct Measured {
  double value = 0;
  double sigma = 0;
};

struct Offset {
  Geographic at;
  std::array<double, 4> covariance_enu_m2{};
};

/// No place is farther away: the plane and a pocket tape end there.
inline constexpr double kFarthestOffsetM = 200.0;
/// A bearing that is known no better is none: its error is carried to first order.
inline constexpr double kWidestBearingDeg = 20.0;
/// Two distances cross at least at this angle.
inline constexpr double kFlattestCrossingDeg = 15.0;

/// `bearing_deg`: from the place to the offset point.
Result<Offset> offset_by_bearing(const Stood& from, Measured distance_m, Measured bearing_deg, Measured up_m);

/// `side` of the way from the first place to the second one.
using stillpoint::Side;
Result<Offset> offset_by_distances(const Stood& first, Measured first_m, const Stood& second, Measured second_m,
                                   Side side, Measured up_m);

}  // namespace stillpoint::geodesy
