// Satellites and dilutions of precision, against figures by hand and a second way of computing them.

#include "simulate/sky.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <numbers>
#include <vector>

using namespace stillpoint;
using simulate::Satellite;

namespace {

constexpr double kDeg = std::numbers::pi / 180;

Satellite at(double elevation_deg, double azimuth_deg) {
  return {1, 1, elevation_deg, azimuth_deg, 40};
}

using Row = std::array<double, 4>;

/// HDOP, VDOP by orthogonal columns (Gram-Schmidt on the design matrix, the unknown wanted last): no normal equations,
/// no inverse. The variance of the last unknown is 1 over the squared length of what is left of its column.
double last_variance(std::vector<Row> rows, std::size_t last) {
  for (Row& r : rows) std::swap(r[last], r[3]);
  const std::size_t n = rows.size();
  for (std::size_t k = 0; k < 3; ++k) {
    double length2 = 0;
    for (const Row& r : rows) length2 += r[k] * r[k];
    for (std::size_t j = k + 1; j < 4; ++j) {
      double along = 0;
      for (std::size_t i = 0; i < n; ++i) along += rows[i][k] * rows[i][j];
      for (Row& r : rows) r[j] -= along / length2 * r[k];
    }
  }
  double left = 0;
  for (const Row& r : rows) left += r[3] * r[3];
  return 1 / left;
}

simulate::Dops by_columns(const std::vector<Satellite>& sats) {
  std::vector<Row> rows;
  for (const Satellite& s : sats) {
    const double e = s.elevation_deg * kDeg, a = s.azimuth_deg * kDeg;
    rows.push_back({std::cos(e) * std::sin(a), std::cos(e) * std::cos(a), std::sin(e), 1});
  }
  const double h2 = last_variance(rows, 0) + last_variance(rows, 1), v2 = last_variance(rows, 2);
  return {std::sqrt(h2), std::sqrt(v2), std::sqrt(h2 + v2)};
}

}  // namespace

TEST_CASE("DOPs of a satellite overhead and three on the horizon are those worked out by hand") {
  // AᵀA has 3/2 for east and for north, and [[1, 1], [1, 4]] for up and clock, whose inverse begins with 4/3.
  const std::vector<Satellite> four{at(90, 0), at(0, 0), at(0, 120), at(0, 240)};
  const auto dops = simulate::dops_of(four);
  REQUIRE(dops);
  CHECK(dops->horizontal == doctest::Approx(std::sqrt(4.0 / 3)).epsilon(1e-12));
  CHECK(dops->vertical == doctest::Approx(std::sqrt(4.0 / 3)).epsilon(1e-12));
  CHECK(dops->position == doctest::Approx(std::sqrt(8.0 / 3)).epsilon(1e-12));
}

TEST_CASE("directions that do not fix a position give no DOP") {
  const std::vector<Satellite> three{at(90, 0), at(0, 0), at(0, 120)};
  const std::vector<Satellite> cone{at(45, 0), at(45, 90), at(45, 180), at(45, 270)};
  CHECK_FALSE(simulate::dops_of(three));
  CHECK_FALSE(simulate::dops_of(cone));
}

TEST_CASE("over a day at 47.6 N the sky is plausible and its DOPs agree with a second computation") {
  UtcTime utc = *parse_utc("2026-06-03T00:00:00Z");
  int fewest = 99, most = 0;
  for (int step = 0; step < 288; ++step, utc.ms += 300'000) {
    const auto sky = simulate::satellites_at(utc, 47.6, -87.4);
    std::vector<Satellite> used;
    for (const Satellite& s : sky) {
      CHECK(s.elevation_deg > 0);
      CHECK(s.azimuth_deg >= 0);
      CHECK(s.azimuth_deg < 360);
      if (s.elevation_deg >= 10) used.push_back(s);
      // An orbit of 55 degrees comes no nearer to the pole: from here the northern sky is empty from 5 to 70
      // degrees.
      if (s.system == 1 && s.elevation_deg > 5 && s.elevation_deg < 70) CHECK(std::cos(s.azimuth_deg * kDeg) < 0.95);
    }
    fewest = std::min(fewest, static_cast<int>(used.size()));
    most = std::max(most, static_cast<int>(used.size()));
    const auto dops = simulate::dops_of(used);
    REQUIRE(dops);
    const auto again = by_columns(used);
    CHECK(dops->horizontal == doctest::Approx(again.horizontal).epsilon(1e-9));
    CHECK(dops->vertical == doctest::Approx(again.vertical).epsilon(1e-9));
    CHECK(dops->vertical > dops->horizontal);
  }
  CHECK(fewest >= 14);
  CHECK(most <= 34);
}

TEST_CASE("the same satellites come back after a sidereal day") {
  // Two turns of a 26,560 km orbit are one turn of the Earth, 86,164 s, within the nominal radius' last digit.
  const UtcTime utc = *parse_utc("2026-06-03T00:00:00Z");
  const auto before = simulate::satellites_at(utc, 47.6, -87.4);
  const auto after = simulate::satellites_at(UtcTime{utc.ms + 86'164'091}, 47.6, -87.4);
  REQUIRE(before.front().system == 1);
  REQUIRE(before.front().id == after.front().id);
  CHECK(std::abs(before.front().elevation_deg - after.front().elevation_deg) < 0.3);
}
