#include "simulate/sky.hpp"

#include <array>
#include <cmath>
#include <numbers>

namespace stillpoint::simulate {
namespace {

constexpr double kDeg = std::numbers::pi / 180.0;
constexpr double kEarthRadiusM = 6371000.0;
constexpr double kGravityM3S2 = 3.986004418e14;
constexpr double kEarthTurnRadS = 7.2921151467e-5;

struct Constellation {
  int system, first_id, planes, in_plane, phasing;
  double radius_m, inclination_deg;
};
constexpr std::array<Constellation, 3> kSystems{
    {{1, 1, 6, 5, 1, 26'560'000.0, 55.0}, {2, 65, 3, 8, 1, 25'510'000.0, 64.8}, {3, 1, 3, 8, 1, 29'600'000.0, 56.0}}};

struct Xyz {
  double x = 0, y = 0, z = 0;  // metres or a direction
};

/// Earth-fixed position of one satellite, `seconds` after the phases' own beginning.
Xyz position_of(const Constellation& c, int plane, int slot, double seconds) noexcept {
  const double turn = 2.0 * std::numbers::pi;
  const double motion = std::sqrt(kGravityM3S2 / (c.radius_m * c.radius_m * c.radius_m));
  const int count = c.planes * c.in_plane;
  const double u = turn * (static_cast<double>(slot) / c.in_plane + static_cast<double>(c.phasing * plane) / count) +
                   std::fmod(motion * seconds, turn);
  const double node = turn * plane / c.planes - std::fmod(kEarthTurnRadS * seconds, turn);
  const double i = c.inclination_deg * kDeg;
  const double along = std::cos(u), across = std::sin(u);
  return {c.radius_m * (std::cos(node) * along - std::sin(node) * across * std::cos(i)),
          c.radius_m * (std::sin(node) * along + std::cos(node) * across * std::cos(i)),
          c.radius_m * across * std::sin(i)};
}

void add_system(const Constellation& c, double seconds, double latitude_deg, double longitude_deg,
                std::vector<Satellite>& out) {
  const double la = latitude_deg * kDeg, lo = longitude_deg * kDeg;
  const Xyz up{std::cos(la) * std::cos(lo), std::cos(la) * std::sin(lo), std::sin(la)};
  for (int plane = 0; plane < c.planes; ++plane) {
    for (int slot = 0; slot < c.in_plane; ++slot) {
      const Xyz at = position_of(c, plane, slot, seconds);
      const Xyz d{at.x - kEarthRadiusM * up.x, at.y - kEarthRadiusM * up.y, at.z - kEarthRadiusM * up.z};
      const double range_m = std::sqrt(d.x * d.x + d.y * d.y + d.z * d.z);
      const double east = -std::sin(lo) * d.x + std::cos(lo) * d.y;
      const double north = -std::sin(la) * std::cos(lo) * d.x - std::sin(la) * std::sin(lo) * d.y + std::cos(la) * d.z;
      const double sine = (up.x * d.x + up.y * d.y + up.z * d.z) / range_m;
      if (sine <= 0) continue;
      double azimuth_deg = std::atan2(east, north) / kDeg;
      if (azimuth_deg < 0) azimuth_deg += 360.0;
      out.push_back({c.first_id + plane * c.in_plane + slot, c.system, std::asin(sine) / kDeg, azimuth_deg,
                     static_cast<int>(34.0 + 15.0 * sine)});
    }
  }
}

using Matrix = std::array<std::array<double, 4>, 4>;

/// The inverse of a symmetric positive matrix by Gauss-Jordan steps; nothing when it has none.
std::optional<Matrix> inverse(Matrix a) noexcept {
  Matrix b{};
  for (std::size_t i = 0; i < 4; ++i) b[i][i] = 1.0;
  for (std::size_t p = 0; p < 4; ++p) {
    if (!(a[p][p] > 1e-9)) return std::nullopt;
    const double pivot = 1.0 / a[p][p];
    for (std::size_t j = 0; j < 4; ++j) a[p][j] *= pivot, b[p][j] *= pivot;
    for (std::size_t i = 0; i < 4; ++i) {
      const double factor = a[i][p];
      if (i == p) continue;
      for (std::size_t j = 0; j < 4; ++j) a[i][j] -= factor * a[p][j], b[i][j] -= factor * b[p][j];
    }
  }
  return b;
}

}  // namespace

std::vector<Satellite> satellites_at(UtcTime utc, double latitude_deg, double longitude_deg) {
  std::vector<Satellite> out;
  // From 2000-01-01, so that the products with the mean motions stay small.
  const double seconds = static_cast<double>(utc.ms - 946'684'800'000) / 1000.0;
  for (const Constellation& c : kSystems) add_system(c, seconds, latitude_deg, longitude_deg, out);
  return out;
}

std::optional<Dops> dops_of(std::span<const Satellite> used) noexcept {
  if (used.size() < 4) return std::nullopt;
  Matrix normal{};
  for (const Satellite& s : used) {
    const double e = s.elevation_deg * kDeg, a = s.azimuth_deg * kDeg;
    const std::array<double, 4> row{std::cos(e) * std::sin(a), std::cos(e) * std::cos(a), std::sin(e), 1.0};
    for (std::size_t i = 0; i < 4; ++i) {
      for (std::size_t j = 0; j < 4; ++j) normal[i][j] += row[i] * row[j];
    }
  }
  const auto q = inverse(normal);
  if (!q) return std::nullopt;
  const double horizontal2 = (*q)[0][0] + (*q)[1][1], vertical2 = (*q)[2][2];
  return Dops{std::sqrt(horizontal2), std::sqrt(vertical2), std::sqrt(horizontal2 + vertical2)};
}

}  // namespace stillpoint::simulate
