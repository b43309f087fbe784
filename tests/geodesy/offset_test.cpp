#include "geodesy/offset.hpp"

#include <doctest/doctest.h>

#include <GeographicLib/Geodesic.hpp>
#include <cmath>
#include <random>

namespace {

using namespace stillpoint;
using geodesy::Geographic;
using geodesy::LocalFrame;
using geodesy::Measured;
using geodesy::Side;
using geodesy::Stood;

const GeographicLib::Geodesic kGrs80(6378137.0, 1 / 298.257222101);

Stood stood(const Geographic& at, double sigma_m = 0.01) {
  const double c = sigma_m * sigma_m;
  return {at, {c, 0, c, 2 * c}};
}
double distance_m(const Geographic& a, const Geographic& b) {
  double out = 0;
  kGrs80.Inverse(a.latitude_deg, a.longitude_deg, b.latitude_deg, b.longitude_deg, out);
  return out;
}
Geographic away(const Geographic& from, double bearing_deg, double far_m) {
  Geographic out = from;
  kGrs80.Direct(from.latitude_deg, from.longitude_deg, bearing_deg, far_m, out.latitude_deg, out.longitude_deg);
  return out;
}
double off_m(const Geographic& a, const Geographic& b) {
  const auto enu = LocalFrame(a).to_enu(b);
  return std::hypot(enu.east_m, enu.north_m);
}

const Geographic kLake{47.6, -87.4, 0};
constexpr Measured kLevel{0, 0.02};

}  // namespace

TEST_CASE("a distance and a bearing give the place that geod gives, within a millimetre") {
  // printf '47.6 -87.4 33.25 12.5\n…' | geod +ellps=GRS80 -f "%.10f", PROJ 9.1.1
  struct Row {
    double latitude_deg, longitude_deg, bearing_deg, far_m, to_latitude_deg, to_longitude_deg;
  };
  for (const Row& row : {Row{47.6, -87.4, 33.25, 12.5, 47.6000940217, -87.3999088611},
                         Row{47.6, -87.4, 123.4, 150, 47.5992573163, -87.3983347771},
                         Row{-33.1, 20.2, 271.75, 199, -33.0999451863, 20.1978691798},
                         Row{69.5, 18.9, 5, 60, 69.5005358015, 18.9001337465}}) {
    CAPTURE(row.bearing_deg);
    const auto at = geodesy::offset_by_bearing(stood({row.latitude_deg, row.longitude_deg, 0}), {row.far_m, 0.005},
                                               {row.bearing_deg, 0.5}, {1.25, 0.01});
    REQUIRE(at);
    CHECK(off_m(at->at, {row.to_latitude_deg, row.to_longitude_deg, 0}) < 0.001);
    CHECK(at->at.ellipsoid_height_m == doctest::Approx(1.25));
  }
}

TEST_CASE("the distance errs along the line and the bearing across it") {
  const auto north = geodesy::offset_by_bearing(stood(kLake, 0.01), {50, 0.02}, {0, 1}, kLevel);
  REQUIRE(north);
  // 1 degree over 50 m is 0.8727 m.
  CHECK(std::sqrt(north->covariance_enu_m2[0]) == doctest::Approx(std::hypot(0.01, 0.87266)).epsilon(1e-4));
  CHECK(std::sqrt(north->covariance_enu_m2[2]) == doctest::Approx(std::hypot(0.01, 0.02)).epsilon(1e-4));
  CHECK(north->covariance_enu_m2[1] == doctest::Approx(0).epsilon(1e-9));
  CHECK(north->covariance_enu_m2[3] == doctest::Approx(2e-4 + 4e-4));
}

TEST_CASE("two distances meet on either side of the way from the first to the second") {
  const Geographic second = away(kLake, 71, 40);
  for (const double bearing_deg : {20.0, 350.0, 110.0, 160.0}) {
    CAPTURE(bearing_deg);
    const Geographic there = away(kLake, bearing_deg, 33);
    const Side side = std::sin((bearing_deg - 71) * 3.14159265358979 / 180) < 0 ? Side::left : Side::right;
    const auto at = geodesy::offset_by_distances(stood(kLake), {33, 0.01}, stood(second),
                                                 {distance_m(second, there), 0.01}, side, kLevel);
    REQUIRE(at);
    CHECK(off_m(at->at, there) < 0.001);
    const auto other =
        geodesy::offset_by_distances(stood(kLake), {33, 0.01}, stood(second), {distance_m(second, there), 0.01},
                                     side == Side::left ? Side::right : Side::left, kLevel);
    REQUIRE(other);
    CHECK(off_m(other->at, there) > 10);
  }
}

TEST_CASE("the errors that come out are those of as many measurements with errors that go in") {
  std::mt19937_64 random(20260603);
  std::normal_distribution<double> normal;
  const Geographic second = away(kLake, 90, 30), there = away(kLake, 50, 25);
  const double a = 25, b = distance_m(second, there);
  const auto once = geodesy::offset_by_distances(stood(kLake, 0.012), {a, 0.02}, stood(second, 0.008), {b, 0.03},
                                                 Side::left, {0.5, 0.02});
  REQUIRE(once);
  const LocalFrame plane(once->at);
  double ee = 0, en = 0, nn = 0;
  constexpr int kDraws = 20'000;
  const auto moved = [&](const Geographic& at, double sigma_m) {
    return LocalFrame(at).to_geographic({sigma_m * normal(random), sigma_m * normal(random), 0});
  };
  for (int i = 0; i < kDraws; ++i) {
    const auto one = geodesy::offset_by_distances(stood(moved(kLake, 0.012)), {a + 0.02 * normal(random), 0.02},
                                                  stood(moved(second, 0.008)), {b + 0.03 * normal(random), 0.03},
                                                  Side::left, {0.5, 0.02});
    REQUIRE(one);
    const auto off = plane.to_enu(one->at);
    ee += off.east_m * off.east_m / kDraws;
    en += off.east_m * off.north_m / kDraws;
    nn += off.north_m * off.north_m / kDraws;
  }
  // 20,000 draws: a variance is known to 1 %.
  CHECK(once->covariance_enu_m2[0] == doctest::Approx(ee).epsilon(0.04));
  CHECK(once->covariance_enu_m2[2] == doctest::Approx(nn).epsilon(0.04));
  CHECK(std::abs(once->covariance_enu_m2[1] - en) < 0.04 * std::sqrt(ee * nn));
}

TEST_CASE("what has no answer is refused with the figures") {
  const Stood first = stood(kLake), second = stood(away(kLake, 90, 30));
  const auto refusal = [&](double a, double b, double sigma_m = 0.01) {
    const auto out = geodesy::offset_by_distances(first, {a, sigma_m}, second, {b, 0.01}, Side::left, kLevel);
    return out ? std::string("none") : out.error().text;
  };
  CHECK(refusal(10, 19) ==
        "10.000 m from the first and 19.000 m from the second miss each other by 1.000 m: the two places lie 30.000 m "
        "apart");
  CHECK(refusal(60, 20).find("miss each other by 10.000 m") != std::string::npos);
  CHECK(refusal(15.05, 15.05).find("the two distances cross at") != std::string::npos);
  CHECK(refusal(20, 20) == "none");
  CHECK(refusal(0, 20).find("cannot be measured") != std::string::npos);
  CHECK(refusal(201, 200).find("at most 200 m") != std::string::npos);
  CHECK(refusal(20, 20, 0) == "the distance needs its error, above 0");
  CHECK(refusal(std::nan(""), 20).find("cannot be measured") != std::string::npos);
  const auto same = geodesy::offset_by_distances(first, {20, 0.01}, first, {20, 0.01}, Side::left, kLevel);
  CHECK_FALSE(same);
  for (const Measured& bearing : {Measured{-1, 1}, Measured{361, 1}, Measured{90, 0}, Measured{90, 20.1}}) {
    CHECK_FALSE(geodesy::offset_by_bearing(first, {10, 0.01}, bearing, kLevel));
  }
  CHECK_FALSE(geodesy::offset_by_bearing(first, {10, 0.01}, {90, 1}, {0, 0}));
}
