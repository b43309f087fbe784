#include "occupation/geoid.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <string>
#include <vector>

#include "estimate/average.hpp"

namespace {

using namespace stillpoint;

geodesy::Delivered at_geoid_height(double metres) {
  geodesy::Delivered out;
  out.geoid = "County geoid";
  out.geoid_height_m = metres + 0.9;  // its own frame's is not compared
  out.geoid_height_in_itrf_m = metres;
  return out;
}

TEST_CASE(
    "two geoids contradict each other beyond 2 m, or where a turned sign fits better than a coarse geoid may be off") {
  struct Row {
    std::string name;
    double grid_m, receivers_m;
    std::string says;  ///< empty: both can be right
  };
  const std::vector<Row> rows{
      {"the same", -36.0, -36.0, ""},
      {"a coarse built-in geoid", -36.0, -35.0, ""},
      {"2 m above, to the centimetre", -36.0, -34.0, ""},
      {"2 m below", -36.0, -38.0, ""},
      {"past 2 m above", -36.0, -33.99, "at -36.00 m by the grid and at -33.99 m by the receiver, over 2 m apart"},
      {"past 2 m below", -36.0, -38.01, "at -36.00 m by the grid and at -38.01 m by the receiver, over 2 m apart"},
      {"past 2 m above the ellipsoid", 47.3, 45.2, "at +47.30 m by the grid and at +45.20 m by the receiver, over 2 m"},
      {"a turned sign", 33.7, -33.7,
       "at +33.70 m by the grid and at -33.70 m by the receiver: the grid's sign is turned"},
      {"a turned sign that leaves a metre", 36.0, -35.1, "the grid's sign is turned"},
      {"a turned sign near the geoid's nought", 0.9, -0.8, "the grid's sign is turned"},
      {"both sides of nought, and no more than a coarse geoid is off", 0.4, -0.5, ""},
      {"the same side of nought", 0.2, 1.9, ""},
      {"a receiver that prints none", -36.0, 0.0, "at 0.00 m by the receiver, which may know none"},
      {"a receiver that prints none where the geoid is at nought", -0.9, 0.0, ""},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const auto found = occupation::geoid_contradiction(at_geoid_height(row.grid_m), row.receivers_m);
    CHECK(found.has_value() == !row.says.empty());
    if (!found) continue;
    CAPTURE(*found);
    CHECK(found->find(row.says) != std::string::npos);
  }
  CHECK_FALSE(occupation::geoid_contradiction({}, -36.0).has_value());  // no geoid, nothing to contradict
}

TEST_CASE("the geoid's part of an error in height is told from the rest by the covariance") {
  occupation::Coordinates at;
  at.covariance_enu_m2[3] = 0.01 * 0.01;
  const double own_m = estimate::vertical95(1e-4);
  // 95 % of a normal error lie within 1.95996 sigma (any table), widened by a twentieth for the estimated variance.
  CHECK(own_m == doctest::Approx(1.05 * 1.95996 * 0.01).epsilon(1e-5));
  at.error95_vertical_m = own_m;
  CHECK(occupation::geoid_part95_m(at) == 0);
  CHECK(occupation::ellipsoid_error95_m(at) == own_m);
  at.geoid = "County geoid";
  CHECK(occupation::geoid_part95_m(at) == 0);
  at.error95_vertical_m = std::hypot(own_m, 0.098);
  CHECK(occupation::geoid_part95_m(at) == doctest::Approx(0.098).epsilon(1e-9));
  CHECK(occupation::ellipsoid_error95_m(at) == own_m);
}

TEST_CASE("a geoid's error counts where heights above it are delivered") {
  config::Project project;
  CHECK(occupation::geoid_error95_m(project) == 0);
  project.geoid = config::Geoid{"g", "G", "EPSG:6319", "", 0.05};
  CHECK(occupation::geoid_error95_m(project) == 0);
  project.height = config::HeightKind::orthometric;
  CHECK(occupation::geoid_error95_m(project) == doctest::Approx(0.098).epsilon(1e-4));
}

}  // namespace
