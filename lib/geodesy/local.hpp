#pragma once
/// Geographic positions and the local east-north-up plane around one of them.
///
/// Units:   degrees, metres. Ellipsoid: GRS 80 (its difference from WGS 84 is below 0.1 mm).
/// Threads: plain values and pure functions after construction.
/// Errors:  none; inputs must be finite.

#include <array>

namespace stillpoint::geodesy {

struct Geographic {
  double latitude_deg = 0;
  double longitude_deg = 0;
  double ellipsoid_height_m = 0;
};

struct Enu {
  double east_m = 0;
  double north_m = 0;
  double up_m = 0;
};

/// Of a geocentric position, in metres, as a base of real-time corrections sends its own.
Geographic from_geocentric(const std::array<double, 3>& xyz_m) noexcept;
/// The other way, x, y, z in metres.
std::array<double, 3> to_geocentric(const Geographic& position) noexcept;

/// The tangent plane at `origin`. Right across the antimeridian and at the poles.
class LocalFrame {
 public:
  explicit LocalFrame(const Geographic& origin) noexcept;
  const Geographic& origin() const noexcept { return origin_; }
  Enu to_enu(const Geographic& position) const noexcept;
  Geographic to_geographic(const Enu& enu) const noexcept;

 private:
  Geographic origin_;
  std::array<double, 3> origin_xyz_m_{};
  std::array<double, 9> rotation_{};  ///< rows east, north, up
};

/// How far places near `origin` are from it horizontally, by the radii of curvature there. Much cheaper than the plane;
/// within 1 part in 10,000 up to 200 m away and up to 80 degrees of latitude, enough for a speed.
class Vicinity {
 public:
  explicit Vicinity(const Geographic& origin) noexcept;
  double distance_m(const Geographic& position) const noexcept;

 private:
  double latitude_deg_, longitude_deg_;
  double north_m_per_deg_ = 0, east_m_per_deg_ = 0;
};

}  // namespace stillpoint::geodesy
