#include "geodesy/local.hpp"

#include <doctest/doctest.h>

#include <GeographicLib/Geodesic.hpp>
#include <GeographicLib/LocalCartesian.hpp>
#include <cmath>
#include <random>
#include <string>
#include <vector>

#include "geodesy/typed.hpp"
#include "helpers.hpp"

using namespace stillpoint;
using geodesy::Enu;
using geodesy::Geographic;
using geodesy::LocalFrame;

namespace {

double turn_difference_deg(double a, double b) {
  return std::abs(std::remainder(a - b, 360.0));
}

Geographic mean(const std::vector<Geographic>& points) {
  const LocalFrame local(points.front());
  Enu sum;
  for (const Geographic& point : points) {
    const Enu enu = local.to_enu(point);
    sum.east_m += enu.east_m;
    sum.north_m += enu.north_m;
    sum.up_m += enu.up_m;
  }
  const auto n = static_cast<double>(points.size());
  return local.to_geographic({sum.east_m / n, sum.north_m / n, sum.up_m / n});
}

}  // namespace

TEST_CASE("the local plane agrees with GeographicLib's LocalCartesian anywhere on Earth") {
  std::mt19937_64 random(20260603);
  std::uniform_real_distribution<double> latitude(-90.0, 90.0);
  std::uniform_real_distribution<double> longitude(-180.0, 180.0);
  std::uniform_real_distribution<double> height(-400.0, 9000.0);
  std::uniform_real_distribution<double> offset(-10000.0, 10000.0);
  for (int i = 0; i < 20000; ++i) {
    const Geographic origin{latitude(random), longitude(random), height(random)};
    const GeographicLib::LocalCartesian reference(origin.latitude_deg, origin.longitude_deg, origin.ellipsoid_height_m,
                                                  geodesy::test::grs80());
    const Enu enu{offset(random), offset(random), offset(random) / 10.0};
    Geographic there;
    reference.Reverse(enu.east_m, enu.north_m, enu.up_m, there.latitude_deg, there.longitude_deg,
                      there.ellipsoid_height_m);
    const LocalFrame local(origin);
    const Enu ours = local.to_enu(there);
    const Geographic back = local.to_geographic(enu);
    CAPTURE(origin.latitude_deg);
    CAPTURE(origin.longitude_deg);
    REQUIRE(std::hypot(ours.east_m - enu.east_m, ours.north_m - enu.north_m, ours.up_m - enu.up_m) < 1e-7);
    REQUIRE(geodesy::test::distance_m(geodesy::test::to_xyz(back), geodesy::test::to_xyz(there)) < 1e-7);
  }
}

TEST_CASE("a position far above or deep below the ellipsoid comes back to a micrometre") {
  const LocalFrame local({47.6, -87.4, 0.0});
  for (const double up_m : {-10000.0, -400.0, 0.0, 9000.0, 100000.0, 20200000.0}) {
    CAPTURE(up_m);
    const Enu enu = local.to_enu(local.to_geographic({1200.0, -3400.0, up_m}));
    CHECK(std::hypot(enu.east_m - 1200.0, enu.north_m + 3400.0, enu.up_m - up_m) < 1e-6);
  }
}

TEST_CASE("local and geocentric coordinates match the printed examples of GeographicLib") {
  // GeographicLib 2.1.2, example of LocalCartesian (near Paris to near Calais), printed to 0.01 m. It is on WGS 84; the
  // two ellipsoids differ by 0.1 mm in the polar axis.
  const Enu calais = LocalFrame({48.0 + 50.0 / 60.0, 2.0 + 20.0 / 60.0, 0.0}).to_enu({50.9, 1.8, 0.0});
  CHECK(std::abs(calais.east_m - -37518.64) < 0.01);
  CHECK(std::abs(calais.north_m - 229949.65) < 0.01);
  CHECK(std::abs(calais.up_m - -4260.43) < 0.01);
  // Example of Geocentric (Mount Everest), printed to 0.1 m. From the origin 0 N 0 E, up is X, east is Y, north is Z.
  const Enu everest = LocalFrame({0.0, 0.0, 0.0}).to_enu({27.99, 86.93, 8820.0});
  CHECK(std::abs(everest.up_m + 6378137.0 - 302271.4) < 0.1);
  CHECK(std::abs(everest.east_m - 5635928.4) < 0.1);
  CHECK(std::abs(everest.north_m - 2979666.1) < 0.1);
}

TEST_CASE("a short local distance is the geodesic's length") {
  // Chord against arc: s^3 / 24 R^2 is a nanometre at 100 m. The geodesic is GeographicLib's.
  const GeographicLib::Geodesic geodesic(6378137.0, 1.0 / 298.257222101);
  double length_m = 0.0;
  geodesic.Inverse(40.6, -73.8, 51.6, -0.5, length_m);
  CHECK(std::abs(length_m - 5551759.4) < 0.1);  // GeographicLib's printed example, New York to London
  for (const double azimuth_deg : {0.0, 33.0, 90.0, 211.0}) {
    for (const double latitude_deg : {-89.9999, -47.6, 0.0, 30.0, 89.9999}) {
      CAPTURE(azimuth_deg);
      CAPTURE(latitude_deg);
      Geographic there;
      geodesic.Direct(latitude_deg, 179.9999, azimuth_deg, 100.0, there.latitude_deg, there.longitude_deg);
      const Enu enu = LocalFrame({latitude_deg, 179.9999, 0.0}).to_enu(there);
      CHECK(std::abs(std::hypot(enu.east_m, enu.north_m, enu.up_m) - 100.0) < 1e-6);
    }
  }
}

TEST_CASE("a distance in the vicinity is GeographicLib's geodesic to 1 part in 10,000") {
  std::mt19937 random(20260603);
  std::uniform_real_distribution<double> latitude(-80, 80), longitude(-180, 180), azimuth(0, 360), distance(0.5, 200);
  for (int i = 0; i < 2000; ++i) {
    const Geographic from{latitude(random), longitude(random), 0};
    Geographic to;
    const double wanted_m = distance(random);
    GeographicLib::Geodesic::WGS84().Direct(from.latitude_deg, from.longitude_deg, azimuth(random), wanted_m,
                                            to.latitude_deg, to.longitude_deg);
    CAPTURE(from.latitude_deg);
    CAPTURE(from.longitude_deg);
    const double got_m = geodesy::Vicinity(from).distance_m(to);
    REQUIRE(std::abs(got_m - wanted_m) <= 1e-4 * wanted_m);
  }
  const double around_m = geodesy::Vicinity({0, 179.9999, 0}).distance_m({0, -179.9999, 0});
  CHECK(around_m == doctest::Approx(2e-4 * 111'319.4908).epsilon(1e-6));  // a degree of GRS 80's equator: a pi / 180
  // Not yet the other way round.
  CHECK(geodesy::Vicinity({0, 0.5, 0}).distance_m({0, 179.5, 0}) == doctest::Approx(179 * 111'319.4908).epsilon(1e-6));
  const geodesy::Vicinity high({47.6, -87.4, 1000});
  const LocalFrame exact({47.6, -87.4, 1000});
  const Geographic near{47.60002, -87.40003, 1000};
  const Enu enu = exact.to_enu(near);
  CHECK(high.distance_m(near) == doctest::Approx(std::hypot(enu.east_m, enu.north_m)).epsilon(1e-5));
}

TEST_CASE("means do not break across the antimeridian or around the pole") {
  // Expected values computed in X-Y-Z; the naive mean of degrees is up to 16,000 km away.
  struct Row {
    std::string name;
    std::vector<Geographic> points;
    Geographic expected;
    bool longitude_matters;
    double height_tolerance_m;
  };
  const std::vector<Row> rows{
      {"two points astride the antimeridian",
       {{-16.8, 179.99999, 10.0}, {-16.8, -179.99999, 10.0}},
       {-16.8, 180.0, 10.0},
       true,
       1e-4},
      {"three points astride the antimeridian",
       {{-16.8, 179.99999, 10.0}, {-16.8, 179.999995, 10.0}, {-16.8, -179.99999, 10.0}},
       {-16.8, 179.999998333, 10.0},
       true,
       1e-4},
      {"four points around the pole",
       {{89.9999, 0.0, 0.0}, {89.9999, 90.0, 0.0}, {89.9999, 180.0, 0.0}, {89.9999, -90.0, 0.0}},
       {90.0, 0.0, 0.0},
       false,
       1e-4},
      {"two points near the pole", {{89.99, 0.0, 0.0}, {89.99, 90.0, 0.0}}, {89.992928932, 45.0, -0.0487}, true, 1e-4},
      {"two points a kilometre apart",
       {{45.0, 10.0, 100.0}, {45.0, 10.01268, 100.0}},
       {45.000000176, 10.00634, 99.9804},
       true,
       1e-4},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const Geographic found = mean(row.points);
    CHECK(std::abs(found.latitude_deg - row.expected.latitude_deg) < 1e-9);
    if (row.longitude_matters) CHECK(turn_difference_deg(found.longitude_deg, row.expected.longitude_deg) < 1e-9);
    CHECK(std::abs(found.ellipsoid_height_m - row.expected.ellipsoid_height_m) < row.height_tolerance_m);
  }
}

TEST_CASE("at the poles east and north are those of the origin's longitude") {
  const LocalFrame north_pole({90.0, 0.0, 0.0});
  const Geographic towards_greenwich = north_pole.to_geographic({0.0, -100.0, 0.0});
  CHECK(std::abs(towards_greenwich.longitude_deg) < 1e-9);
  const Geographic towards_90_east = north_pole.to_geographic({100.0, 0.0, 0.0});
  CHECK(turn_difference_deg(towards_90_east.longitude_deg, 90.0) < 1e-9);
  const Enu nothing = north_pole.to_enu({90.0, 123.0, 0.0});
  CHECK(std::hypot(nothing.east_m, nothing.north_m, nothing.up_m) < 1e-8);
}

TEST_CASE("a typed place reaches to the poles and the date line and no further") {
  using stillpoint::geodesy::place_of;
  struct Row {
    const char* latitude;
    const char* longitude;
    const char* says;  // empty: a place
  };
  const Row rows[] = {
      {"90", "180", ""},
      {"-90", "-180", ""},
      {"90.1", "0", "the latitude 90.1 is not between -90 and 90"},
      {"-90.1", "0", "the latitude -90.1 is not between -90 and 90"},
      {"0", "180.1", "the longitude 180.1 is not between -180 and 180"},
      {"0", "-180.1", "the longitude -180.1 is not between -180 and 180"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.latitude);
    CAPTURE(row.longitude);
    const auto place = place_of(row.latitude, row.longitude);
    CHECK((place.has_value() ? std::string() : place.error().text) == row.says);
  }
}
