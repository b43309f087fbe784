#include "geodesy/local.hpp"

#include <cmath>
#include <numbers>

namespace stillpoint::geodesy {
namespace {

// GRS 80 (Moritz 1980): a exact, 1/f derived from J2 and printed to these digits.
constexpr double kSemiMajorAxisM = 6378137.0;
constexpr double kFlattening = 1.0 / 298.257222101;
constexpr double kEccentricity2 = kFlattening * (2.0 - kFlattening);
constexpr double kSecondEccentricity2 = kEccentricity2 / (1.0 - kEccentricity2);
constexpr double kSemiMinorAxisM = kSemiMajorAxisM * (1.0 - kFlattening);
constexpr double kRadPerDeg = std::numbers::pi / 180.0;

using Xyz = std::array<double, 3>;

/// (a / N)², N the radius of curvature in the prime vertical.
double flatness_at(double sin_latitude) noexcept {
  return 1.0 - kEccentricity2 * sin_latitude * sin_latitude;
}

Xyz geocentric_m(const Geographic& position) noexcept {
  const double latitude_rad = position.latitude_deg * kRadPerDeg;
  const double longitude_rad = position.longitude_deg * kRadPerDeg;
  const double sin_latitude = std::sin(latitude_rad);
  const double normal_m = kSemiMajorAxisM / std::sqrt(flatness_at(sin_latitude));
  const double from_axis_m = (normal_m + position.ellipsoid_height_m) * std::cos(latitude_rad);
  return {from_axis_m * std::cos(longitude_rad), from_axis_m * std::sin(longitude_rad),
          (normal_m * (1.0 - kEccentricity2) + position.ellipsoid_height_m) * sin_latitude};
}

// Bowring (1976) in the reduced latitude, repeated once: below a nanometre for any height a receiver can have. Every
// quotient is an atan2 or a hypot, so nothing degenerates on the axis or on the equator.
Geographic geographic(const Xyz& xyz_m) noexcept {
  const double from_axis_m = std::hypot(xyz_m[0], xyz_m[1]);
  double reduced_rad = std::atan2(kSemiMajorAxisM * xyz_m[2], kSemiMinorAxisM * from_axis_m);
  double latitude_rad = 0.0;
  for (int round = 0; round < 2; ++round) {
    const double sine = std::sin(reduced_rad);
    const double cosine = std::cos(reduced_rad);
    latitude_rad = std::atan2(xyz_m[2] + kSecondEccentricity2 * kSemiMinorAxisM * sine * sine * sine,
                              from_axis_m - kEccentricity2 * kSemiMajorAxisM * cosine * cosine * cosine);
    reduced_rad = std::atan2((1.0 - kFlattening) * std::sin(latitude_rad), std::cos(latitude_rad));
  }
  const double sine = std::sin(latitude_rad);
  const double height_m =
      from_axis_m * std::cos(latitude_rad) + xyz_m[2] * sine - kSemiMajorAxisM * std::sqrt(flatness_at(sine));
  return {latitude_rad / kRadPerDeg, std::atan2(xyz_m[1], xyz_m[0]) / kRadPerDeg, height_m};
}

std::array<double, 9> rotation_at(const Geographic& origin) noexcept {
  const double sin_lat = std::sin(origin.latitude_deg * kRadPerDeg);
  const double cos_lat = std::cos(origin.latitude_deg * kRadPerDeg);
  const double sin_lon = std::sin(origin.longitude_deg * kRadPerDeg);
  const double cos_lon = std::cos(origin.longitude_deg * kRadPerDeg);
  return {-sin_lon,          cos_lon,           0.0,    -sin_lat * cos_lon, -sin_lat * sin_lon, cos_lat,
          cos_lat * cos_lon, cos_lat * sin_lon, sin_lat};
}

}  // namespace

Geographic from_geocentric(const std::array<double, 3>& xyz_m) noexcept {
  return geographic(xyz_m);
}

std::array<double, 3> to_geocentric(const Geographic& position) noexcept {
  return geocentric_m(position);
}

LocalFrame::LocalFrame(const Geographic& origin) noexcept
    : origin_(origin), origin_xyz_m_(geocentric_m(origin)), rotation_(rotation_at(origin)) {}

Enu LocalFrame::to_enu(const Geographic& position) const noexcept {
  const Xyz xyz_m = geocentric_m(position);
  const double dx = xyz_m[0] - origin_xyz_m_[0];
  const double dy = xyz_m[1] - origin_xyz_m_[1];
  const double dz = xyz_m[2] - origin_xyz_m_[2];
  const auto& r = rotation_;
  return {r[0] * dx + r[1] * dy + r[2] * dz, r[3] * dx + r[4] * dy + r[5] * dz, r[6] * dx + r[7] * dy + r[8] * dz};
}

Geographic LocalFrame::to_geographic(const Enu& enu) const noexcept {
  const auto& r = rotation_;
  const auto along = [&](std::size_t axis) {
    return origin_xyz_m_[axis] + r[axis] * enu.east_m + r[axis + 3] * enu.north_m + r[axis + 6] * enu.up_m;
  };
  return geographic({along(0), along(1), along(2)});
}

Vicinity::Vicinity(const Geographic& origin) noexcept
    : latitude_deg_(origin.latitude_deg), longitude_deg_(origin.longitude_deg) {
  const double sine = std::sin(origin.latitude_deg * kRadPerDeg);
  const double flatness = flatness_at(sine);
  const double across_m = kSemiMajorAxisM / std::sqrt(flatness);  // radius in the prime vertical
  const double along_m = across_m * (1.0 - kEccentricity2) / flatness;
  const double cosine = std::cos(origin.latitude_deg * kRadPerDeg);
  north_m_per_deg_ = (along_m + origin.ellipsoid_height_m) * kRadPerDeg;
  east_m_per_deg_ = (across_m + origin.ellipsoid_height_m) * cosine * kRadPerDeg;
}

double Vicinity::distance_m(const Geographic& position) const noexcept {
  double east_deg = position.longitude_deg - longitude_deg_;
  if (std::abs(east_deg) > 180.0) east_deg -= std::copysign(360.0, east_deg);
  const double east_m = east_deg * east_m_per_deg_;
  const double north_m = (position.latitude_deg - latitude_deg_) * north_m_per_deg_;
  return std::sqrt(east_m * east_m + north_m * north_m);
}

}  // namespace stillpoint::geodesy
