#include "geodesy/offset.hpp"

#include <cmath>
#include <numbers>
#include <string>

#include "base/number.hpp"
#include "geodesy/sentences.hpp"

namespace stillpoint::geodesy {
namespace {

constexpr double kRadians = std::numbers::pi / 180.0;

std::string metres(double value_m) {
  return fixed(value_m, 3);
}

/// Why a figure cannot be used; empty: it can.
std::string fault_of(const Measured& distance_m) {
  if (!(distance_m.value > 0 && distance_m.value <= kFarthestOffsetM)) {
    return kSay.no_distance(metres(distance_m.value), fixed(kFarthestOffsetM, 0));
  }
  return distance_m.sigma > 0 ? std::string() : kSay.no_error_of(kSay.the_distance());
}

std::string fault_of_up(const Measured& up_m) {
  if (!(std::abs(up_m.value) <= kFarthestOffsetM))
    return kSay.no_distance(metres(up_m.value), fixed(kFarthestOffsetM, 0));
  return up_m.sigma > 0 ? std::string() : kSay.no_error_of(kSay.the_height_difference());
}

double square(double value) {
  return value * value;
}

/// How far the place's own error reaches along a direction.
double along(const std::array<double, 4>& c, double east, double north) {
  return east * east * c[0] + 2 * east * north * c[1] + north * north * c[2];
}

}  // namespace

Result<Offset> offset_by_bearing(const Stood& from, Measured distance_m, Measured bearing_deg, Measured up_m) {
  if (auto fault = fault_of(distance_m); !fault.empty()) return fail(std::move(fault));
  if (auto fault = fault_of_up(up_m); !fault.empty()) return fail(std::move(fault));
  if (!(bearing_deg.value >= 0 && bearing_deg.value <= 360))
    return fail(kSay.no_bearing(readable(bearing_deg.value, 3)));
  if (!(bearing_deg.sigma > 0)) return fail(kSay.no_error_of(kSay.the_bearing()));
  if (bearing_deg.sigma > kWidestBearingDeg)
    return fail(kSay.wide_bearing(readable(bearing_deg.sigma, 1), fixed(kWidestBearingDeg, 0)));
  const double east = std::sin(bearing_deg.value * kRadians), north = std::cos(bearing_deg.value * kRadians);
  Offset out;
  out.at = LocalFrame(from.at).to_geographic({distance_m.value * east, distance_m.value * north, 0});
  out.at.ellipsoid_height_m = from.at.ellipsoid_height_m + up_m.value;  // levelled: along the ellipsoid, not the plane
  // Along the line the distance errs, across it the bearing does.
  const double on = square(distance_m.sigma), across = square(distance_m.value * bearing_deg.sigma * kRadians);
  const auto& c = from.covariance_enu_m2;
  out.covariance_enu_m2 = {c[0] + east * east * on + north * north * across, c[1] + east * north * (on - across),
                           c[2] + north * north * on + east * east * across, c[3] + square(up_m.sigma)};
  return out;
}

Result<Offset> offset_by_distances(const Stood& first, Measured first_m, const Stood& second, Measured second_m,
                                   Side side, Measured up_m) {
  for (const Measured& each : {first_m, second_m}) {
    if (auto fault = fault_of(each); !fault.empty()) return fail(std::move(fault));
  }
  if (auto fault = fault_of_up(up_m); !fault.empty()) return fail(std::move(fault));
  const LocalFrame plane(first.at);
  const Enu to = plane.to_enu(second.at);
  const double base_m = std::hypot(to.east_m, to.north_m), a = first_m.value, b = second_m.value;
  const double missed_m = std::max(base_m - (a + b), std::abs(a - b) - base_m);
  if (!(base_m > 0) || missed_m > 0)
    return fail(kSay.no_crossing(metres(a), metres(b), metres(std::max(missed_m, 0.0)), metres(base_m)));
  const double foot_m = (a * a - b * b + base_m * base_m) / (2 * base_m);
  const double height_m = std::sqrt(std::max(a * a - foot_m * foot_m, 0.0)) * (side == Side::left ? 1 : -1);
  const double east = to.east_m / base_m, north = to.north_m / base_m;
  const Enu at{foot_m * east - height_m * north, foot_m * north + height_m * east, 0};
  // The ways from either place to it, as unit vectors: the rows of the Jacobian of the distances.
  const double e1 = at.east_m / a, n1 = at.north_m / a;
  const double e2 = (at.east_m - to.east_m) / b, n2 = (at.north_m - to.north_m) / b;
  const double crossing = e1 * n2 - n1 * e2;
  if (std::abs(crossing) < std::sin(kFlattestCrossingDeg * kRadians)) {
    const double angle_deg = std::asin(std::min(std::abs(crossing), 1.0)) / kRadians;
    return fail(kSay.flat_crossing(fixed(angle_deg, 1), fixed(kFlattestCrossingDeg, 0)));
  }
  const double s1 = square(first_m.sigma) + along(first.covariance_enu_m2, e1, n1);
  const double s2 = square(second_m.sigma) + along(second.covariance_enu_m2, e2, n2);
  const double scale = 1 / (crossing * crossing);
  Offset out;
  out.at = plane.to_geographic(at);
  out.at.ellipsoid_height_m = (first.at.ellipsoid_height_m + second.at.ellipsoid_height_m) / 2 + up_m.value;
  out.covariance_enu_m2 = {scale * (n2 * n2 * s1 + n1 * n1 * s2), -scale * (n2 * e2 * s1 + n1 * e1 * s2),
                           scale * (e2 * e2 * s1 + e1 * e1 * s2),
                           (first.covariance_enu_m2[3] + second.covariance_enu_m2[3]) / 4 + square(up_m.sigma)};
  return out;
}

}  // namespace stillpoint::geodesy
