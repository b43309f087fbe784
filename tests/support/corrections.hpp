#pragma once
/// Frames of a stream of corrections for tests: what a base would send.

#include <array>
#include <cmath>
#include <cstdint>
#include <string>
#include <string_view>

#include "rtcm/frames.hpp"

namespace stillpoint::support {

using Ecef = std::array<double, 3>;

/// Of station 2003 in the standard's example of message 1005.
inline constexpr Ecef kExampleBase{1114104.5999, -4850729.7108, 3975521.4643};

/// GRS 80, the closed formula of any textbook.
inline Ecef ecef_of(double latitude_deg, double longitude_deg, double height_m) {
  constexpr double kA = 6378137.0, kF = 1 / 298.257222101, kRad = 3.14159265358979323846 / 180;
  const double e2 = kF * (2 - kF), s = std::sin(latitude_deg * kRad), c = std::cos(latitude_deg * kRad);
  const double n = kA / std::sqrt(1 - e2 * s * s);
  return {(n + height_m) * c * std::cos(longitude_deg * kRad), (n + height_m) * c * std::sin(longitude_deg * kRad),
          (n * (1 - e2) + height_m) * s};
}

/// Message 1005.
inline std::string base_position(int station, const Ecef& ecef_m = kExampleBase, bool is_computed = false) {
  const auto steps = [](double metres) { return static_cast<std::int64_t>(std::llround(metres * 10'000)); };
  test::Fields out;
  out.number(1005, 12).number(station, 12).number(0, 6).number(1, 1).number(0, 1).number(0, 1).number(is_computed, 1);
  out.number(steps(ecef_m[0]), 38).number(0, 1).number(0, 1).number(steps(ecef_m[1]), 38).number(0, 2);
  return test::rtcm_frame(out.number(steps(ecef_m[2]), 38).body());
}

/// Message 1077 with one satellite, as far as it is read.
inline std::string observations(int station) {
  test::Fields out;
  out.number(1077, 12).number(station, 12).number(1000, 30).number(0, 1).number(0, 3).number(0, 7).number(0, 2);
  out.number(0, 2).number(0, 1).number(0, 3).number(1, 32).number(0, 32).number(1, 32).number(0, 64);
  return test::rtcm_frame(out.body());
}

/// Message 1029.
inline std::string base_text(std::string_view text) {
  const auto size = static_cast<std::int64_t>(text.size());
  test::Fields out;
  out.number(1029, 12).number(7, 12).number(61000, 16).number(3600, 17).number(size, 7).number(size, 8).text(text);
  return test::rtcm_frame(out.body());
}

}  // namespace stillpoint::support
