#include <doctest/doctest.h>

#include <cmath>

#include "estimate/average.hpp"
#include "estimate/ellipse.hpp"
#include "estimate/vectors.hpp"

using namespace stillpoint::estimate;

TEST_CASE("k95 equals the table of the elliptical normal distribution to 1e-6") {
  // tests/estimate/data/r95_elliptical.csv: numerical integration, its 95 % column equals Harter's table (1960).
  const auto table = vectors::table("r95_elliptical.csv");
  REQUIRE(table.size() == 11);
  for (const auto& row : table) {
    CAPTURE(row[0]);
    CHECK(std::abs(k95(row[0]) - row[4]) < 1e-6);
    CHECK(std::abs(k95_by_integral(row[0]) - row[4]) < 1e-10);
  }
}

TEST_CASE("the fit of k95 never leaves its integral") {
  double worst = 0;
  for (int i = 0; i <= 4000; ++i) worst = std::max(worst, std::abs(k95(i / 4000.0) - k95_by_integral(i / 4000.0)));
  CHECK(worst < 5e-11);
}

TEST_CASE("the closed ends of k95 are the normal and the Rayleigh factor") {
  CHECK(k95(0.0) == doctest::Approx(1.959963984540054).epsilon(1e-11));  // standard normal, 97.5 % quantile
  CHECK(k95(1.0) == doctest::Approx(std::sqrt(-2 * std::log(0.05))).epsilon(1e-11));  // Rayleigh
  CHECK(k95(-0.5) == k95(0.0));
  CHECK(k95(1.5) == k95(1.0));
}

TEST_CASE("a radius follows the ellipse and not its orientation") {
  struct Row {
    const char* name;
    double ee_m2, en_m2, nn_m2, radius_m;
  };
  const double circle = std::sqrt(-2 * std::log(0.05));
  const Row rows[] = {
      {"nothing", 0, 0, 0, 0},
      {"a circle of 1 m", 1, 0, 1, circle},
      {"a line east", 4, 0, 0, 2 * 1.959963984540054},
      {"the same line turned by 45 degrees", 2, 2, 2, 2 * 1.959963984540054},
      {"axes 2 and 1 m (table, ratio 0.5)", 4, 0, 1, 2 * 2.03585872028562},
      {"axes 2 and 1 m turned by 30 degrees", 3.25, 0.75 * std::sqrt(3.0), 1.75, 2 * 2.03585872028562},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    CHECK(std::abs(radius95(row.ee_m2, row.en_m2, row.nn_m2) - row.radius_m) < 1e-7);
  }
}

TEST_CASE("the ellipse has the eigenvalues' roots for axes, and holds 95 % of a normal pair") {
  // The 95 % point of chi-square with two degrees of freedom is 5.991 in every printed table. Eigenvalues and vectors of
  // a 2x2 matrix by hand: (2.5, 1.5; 1.5, 2.5) has 4 along north-east and 1 across.
  const double factor = std::sqrt(5.991);
  struct Row {
    const char* name;
    double ee_m2, en_m2, nn_m2, long_m, short_m, from_east_deg;
  };
  const Row rows[] = {
      {"longer in east", 4, 0, 1, 2 * factor, factor, 0},
      {"longer in north", 1, 0, 4, 2 * factor, factor, 90},
      {"along north-east", 2.5, 1.5, 2.5, 2 * factor, factor, 45},
      {"along north-west", 2.5, -1.5, 2.5, 2 * factor, factor, -45},
      {"a line", 1, 1, 1, std::sqrt(2.0) * factor, 0, 45},
      {"a point", 0, 0, 0, 0, 0, 0},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const Ellipse ellipse = ellipse95(row.ee_m2, row.en_m2, row.nn_m2);
    CHECK(ellipse.long_m == doctest::Approx(row.long_m).epsilon(1e-4));
    CHECK(ellipse.short_m == doctest::Approx(row.short_m).epsilon(1e-4));
    CHECK(ellipse.from_east_deg == doctest::Approx(row.from_east_deg));
  }
}
