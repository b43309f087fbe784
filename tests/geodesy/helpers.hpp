#pragma once
// What the tests of this room share. Conversions between X-Y-Z and latitude-longitude come from GeographicLib, so that
// they are independent of the code under test and of PROJ.

#include <GeographicLib/Geocentric.hpp>
#include <array>
#include <cmath>
#include <initializer_list>
#include <optional>
#include <string>
#include <utility>

#include "config/settings.hpp"
#include "geodesy/frames.hpp"

namespace stillpoint::geodesy::test {

using Xyz = std::array<double, 3>;

inline const GeographicLib::Geocentric& grs80() {
  static const GeographicLib::Geocentric earth(6378137.0, 1.0 / 298.257222101);
  return earth;
}

inline Xyz to_xyz(const Geographic& g) {
  Xyz xyz{};
  grs80().Forward(g.latitude_deg, g.longitude_deg, g.ellipsoid_height_m, xyz[0], xyz[1], xyz[2]);
  return xyz;
}

inline Geographic to_llh(const Xyz& xyz) {
  Geographic g;
  grs80().Reverse(xyz[0], xyz[1], xyz[2], g.latitude_deg, g.longitude_deg, g.ellipsoid_height_m);
  return g;
}

inline double distance_m(const Xyz& a, const Xyz& b) {
  return std::hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
}

inline config::Source source(std::string frame, std::optional<double> epoch = std::nullopt, std::string name = "net") {
  config::Source made;
  made.name = std::move(name);
  made.frame = std::move(frame);
  made.coordinate_epoch = epoch;
  return made;
}

inline config::Settings settings(std::string project_frame, std::initializer_list<config::Source> sources) {
  config::Settings made;
  made.project.frame = std::move(project_frame);
  made.sources = sources;
  return made;
}

inline std::optional<UtcTime> some_day() {
  return parse_utc("2026-06-03T14:05:10Z");
}

/// The UTC whose decimal year is nearest to `year`.
inline UtcTime at_year(double year) {
  const int whole = static_cast<int>(year);
  const std::int64_t start = days_from_civil({whole, 1, 1});
  const std::int64_t end = days_from_civil({whole + 1, 1, 1});
  const double days = (year - whole) * static_cast<double>(end - start);
  return UtcTime{start * 86'400'000 + static_cast<std::int64_t>(std::llround(days * 86'400'000.0))};
}

}  // namespace stillpoint::geodesy::test
