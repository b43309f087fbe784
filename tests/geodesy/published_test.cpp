// Published stations in two frames, and the 14-parameter formula written out here, both against the frames.

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>
#include <vector>

#include "geodesy/frames.hpp"
#include "geodesy/published_stations.hpp"
#include "helpers.hpp"

using namespace stillpoint;
using geodesy::Frames;
using geodesy::Geographic;
using geodesy::test::at_output_epoch;
using geodesy::test::kNotPrinted;
using geodesy::test::kStations;
using geodesy::test::Station;
using geodesy::test::Xyz;

TEST_CASE("published stations come out where their publications say") {
  for (const Station& row : kStations) {
    CAPTURE(row.name);
    const auto frames =
        Frames::open(geodesy::test::settings(row.to, {geodesy::test::source(row.from, row.output_epoch)}));
    REQUIRE(frames.has_value());
    const Xyz moved = at_output_epoch(row);
    const auto result = frames->to_project(0, geodesy::test::to_llh(moved), geodesy::test::some_day());
    REQUIRE(result.has_value());
    CHECK(result->coordinate_epoch == row.output_epoch);
    const Xyz found = geodesy::test::to_xyz(result->position);
    for (std::size_t i = 0; i < 3; ++i) {
      CAPTURE(i);
      if (row.output_m[i] != kNotPrinted) CHECK(std::abs(found[i] - row.output_m[i]) <= row.tolerance_m);
    }
  }
}

TEST_CASE("the printed latitudes of two stations come out to their last digit") {
  // The excerpts lack Z, so the latitude stands for it: 0.00001 arc seconds are 0.3 mm; 3 mm allowed as above.
  struct Row {
    std::string name;
    std::size_t station;
    double latitude_deg;
  };
  const std::vector<Row> rows{{"MEGO", 3, 43.0 + 40.0 / 60.0 + 52.06776 / 3600.0},
                              {"TTCD", 4, 38.0 + 12.0 / 60.0 + 8.50548 / 3600.0}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const Station& station = kStations[row.station];
    const auto frames =
        Frames::open(geodesy::test::settings(station.to, {geodesy::test::source(station.from, station.output_epoch)}));
    REQUIRE(frames.has_value());
    Xyz moved = station.input_m;
    for (std::size_t i = 0; i < 3; ++i) {
      moved[i] += station.velocity_m_per_year[i] * (station.output_epoch - station.input_epoch);
    }
    const auto result = frames->to_project(0, geodesy::test::to_llh(moved), geodesy::test::some_day());
    REQUIRE(result.has_value());
    CHECK(std::abs(result->position.latitude_deg - row.latitude_deg) * 111'100.0 < 0.003);
  }
}

namespace {

enum class Convention { coordinate_frame, position_vector };

struct Parameters {
  std::string name;
  std::string from, to;
  Convention convention;
  Xyz shift_m, rotation_mas;
  double scale_ppb;
  Xyz shift_m_per_year, rotation_mas_per_year;
  double scale_ppb_per_year;
  double epoch;
  double tolerance_m;  // 0.1 mm where the data set holds the same digits, 2 mm where it rounds
  std::vector<Geographic> places;
};

const std::vector<Geographic> kAmerica{{42.36, -71.06, 20.0},  {39.74, -104.99, 1600.0}, {47.6, -122.33, 50.0},
                                       {61.22, -149.90, 30.0}, {47.6, -87.4, 180.0},     {25.8, -80.2, -20.0}};
const std::vector<Geographic> kAustralia{{-23.67, 133.885, 603.0}, {-33.87, 151.21, 20.0}, {-31.95, 115.86, 10.0}};
const std::vector<Geographic> kEurope{{36.7, -4.4, 120.0}, {52.5, 13.4, 80.0}, {64.1, 20.0, 300.0}};
const std::vector<Geographic> kWorld{{47.6, -87.4, 180.0},  {-33.87, 151.21, 20.0}, {52.5, 13.4, 80.0},
                                     {-0.2, -78.5, 2850.0}, {78.2, 15.6, 10.0},     {-77.8, 166.7, 40.0}};

const std::vector<Parameters> kParameters{
    {"NGS, Soler and Snay 2004, EPSG:6866",
     "ITRF2000",
     "NAD83(CORS96)",
     Convention::coordinate_frame,
     {0.9956, -1.9013, -0.5215},
     {25.915, 9.426, 11.599},
     0.62,
     {0.0007, -0.0007, 0.0005},
     {0.067, -0.757, -0.051},
     -0.18,
     1997.0,
     1e-4,
     kAmerica},
    {"NGS, EPSG:6865",
     "ITRF97",
     "NAD83(CORS96)",
     Convention::coordinate_frame,
     {0.9889, -1.9074, -0.503},
     {25.915, 9.426, 11.599},
     -0.93,
     {0.0007, -0.0001, 0.0019},
     {0.067, -0.757, -0.031},
     -0.19,
     1997.0,
     1e-4,
     kAmerica},
    {"NGS, EPSG:6864",
     "ITRF96",
     "NAD83(CORS96)",
     Convention::coordinate_frame,
     {0.991, -1.9072, -0.5129},
     {25.79, 9.65, 11.66},
     0.0,
     {0.0, 0.0, 0.0},
     {0.0532, -0.7423, -0.0316},
     0.0,
     1997.0,
     1e-4,
     kAmerica},
    {"EPSG:7807",
     "ITRF2008",
     "NAD83(2011)",
     Convention::coordinate_frame,
     {0.99343, -1.90331, -0.52655},
     {25.91467, 9.42645, 11.59935},
     1.71504,
     {0.00079, -0.0006, -0.00134},
     {0.06667, -0.75744, -0.05133},
     -0.10201,
     1997.0,
     1e-4,
     kAmerica},
    {"EPSG:8970 as it is now",
     "ITRF2014",
     "NAD83(2011)",
     Convention::coordinate_frame,
     {1.0053, -1.90921, -0.54157},
     {26.78138, -0.42027, 10.93206},
     0.36891,
     {0.00079, -0.0006, -0.00144},
     {0.06667, -0.75744, -0.05133},
     -0.07201,
     2010.0,
     2e-3,
     kAmerica},
    {"EPSG:10334, newer than PROJ 9.1.1, which goes over ITRF2014",
     "ITRF2020",
     "NAD83(2011)",
     Convention::coordinate_frame,
     {1.0039, -1.90961, -0.54117},
     {26.78138, -0.42027, 10.93206},
     -0.05109,
     {0.00079, -0.0007, -0.00124},
     {0.06667, -0.75744, -0.05133},
     -0.07201,
     2010.0,
     2e-3,
     kAmerica},
    {"Dawson and Woods 2010, EPSG:6276",
     "ITRF2008",
     "GDA94",
     Convention::coordinate_frame,
     {-0.08468, -0.01942, 0.03201},
     {-0.4254, 2.2578, 2.4015},
     9.71,
     {0.00142, 0.00134, 0.0009},
     {1.5461, 1.182, 1.1551},
     0.109,
     1994.0,
     1e-4,
     kAustralia},
    {"GDA2020 Technical Manual, EPSG:8049",
     "ITRF2014",
     "GDA2020",
     Convention::coordinate_frame,
     {0.0, 0.0, 0.0},
     {0.0, 0.0, 0.0},
     0.0,
     {0.0, 0.0, 0.0},
     {1.50379, 1.18346, 1.20716},
     0.0,
     2020.0,
     1e-4,
     kAustralia},
    {"EUREF Technical Note 1, EPSG:8405",
     "ITRF2014",
     "ETRF2000",
     Convention::position_vector,
     {0.0547, 0.0522, -0.0741},
     {1.701, 10.29, -16.632},
     2.12,
     {0.0001, 0.0001, -0.0019},
     {0.081, 0.49, -0.792},
     0.11,
     2010.0,
     1e-4,
     kEurope},
    {"EUREF Technical Note 1, EPSG:8407",
     "ITRF2014",
     "ETRF2014",
     Convention::position_vector,
     {0.0, 0.0, 0.0},
     {1.785, 11.151, -16.17},
     0.0,
     {0.0, 0.0, 0.0},
     {0.085, 0.531, -0.77},
     0.0,
     2010.0,
     1e-4,
     kEurope},
    {"IGN Transfo-ITRF2014_ITRFs",
     "ITRF2014",
     "ITRF2008",
     Convention::position_vector,
     {0.0016, 0.0019, 0.0024},
     {0.0, 0.0, 0.0},
     -0.02,
     {0.0, 0.0, -0.0001},
     {0.0, 0.0, 0.0},
     0.03,
     2010.0,
     1e-4,
     kWorld},
    {"IGN Transfo-ITRF2014_ITRFs",
     "ITRF2014",
     "ITRF2005",
     Convention::position_vector,
     {0.0026, 0.001, -0.0023},
     {0.0, 0.0, 0.0},
     0.92,
     {0.0003, 0.0, -0.0001},
     {0.0, 0.0, 0.0},
     0.03,
     2010.0,
     1e-4,
     kWorld},
    {"IGN Transfo-ITRF2014_ITRFs",
     "ITRF2014",
     "ITRF2000",
     Convention::position_vector,
     {0.0007, 0.0012, -0.0261},
     {0.0, 0.0, 0.0},
     2.12,
     {0.0001, 0.0001, -0.0019},
     {0.0, 0.0, 0.0},
     0.11,
     2010.0,
     1e-4,
     kWorld},
    {"EPSG:9991, the negated IGN table from ITRF2020 (table from memory)",
     "ITRF2014",
     "ITRF2020",
     Convention::position_vector,
     {0.0014, 0.0009, -0.0014},
     {0.0, 0.0, 0.0},
     0.42,
     {0.0, 0.0001, -0.0002},
     {0.0, 0.0, 0.0},
     0.0,
     2015.0,
     1e-4,
     kWorld},
};

// The linear seven-parameter formula with rates (IERS Conventions 2010, chapter 4; EPSG methods 1053 and 1056).
Xyz transformed(const Parameters& p, const Xyz& x, double year) {
  constexpr double kRadPerMas = std::numbers::pi / (180.0 * 3600.0 * 1000.0);
  const double dt = year - p.epoch;
  const double sign = p.convention == Convention::position_vector ? 1.0 : -1.0;
  Xyz t{}, r{};
  for (std::size_t i = 0; i < 3; ++i) {
    t[i] = p.shift_m[i] + dt * p.shift_m_per_year[i];
    r[i] = sign * kRadPerMas * (p.rotation_mas[i] + dt * p.rotation_mas_per_year[i]);
  }
  const double m = 1.0 + 1e-9 * (p.scale_ppb + dt * p.scale_ppb_per_year);
  return {t[0] + m * (x[0] - r[2] * x[1] + r[1] * x[2]), t[1] + m * (r[2] * x[0] + x[1] - r[0] * x[2]),
          t[2] + m * (-r[1] * x[0] + r[0] * x[1] + x[2])};
}

}  // namespace

TEST_CASE("the frames follow the published 14 parameters at every date") {
  for (const Parameters& row : kParameters) {
    CAPTURE(row.name);
    CAPTURE(row.to);
    const auto frames = Frames::open(geodesy::test::settings(row.to, {geodesy::test::source(row.from)}));
    REQUIRE(frames.has_value());
    for (const double year : {1997.0, 2010.0, 2018.25, 2026.42, 2033.9}) {
      const UtcTime utc = geodesy::test::at_year(year);
      for (const Geographic& place : row.places) {
        CAPTURE(year);
        CAPTURE(place.latitude_deg);
        const auto result = frames->to_project(0, place, utc);
        REQUIRE(result.has_value());
        const Xyz expected = transformed(row, geodesy::test::to_xyz(place), result->coordinate_epoch);
        CHECK(geodesy::test::distance_m(geodesy::test::to_xyz(result->position), expected) < row.tolerance_m);
      }
    }
  }
}

TEST_CASE("the formula in this test is checked by a published station itself") {
  // ALIC in the GDA2020 Technical Manual; guards against a wrong sign that PROJ might share.
  const auto row =
      std::ranges::find(kParameters, std::string("GDA2020 Technical Manual, EPSG:8049"), &Parameters::name);
  REQUIRE(row != kParameters.end());
  const Xyz found = transformed(*row, {-4052052.6588, 4212835.9938, -2545104.6946}, 2018.0);
  CHECK(geodesy::test::distance_m(found, {-4052052.7373, 4212835.9835, -2545104.5867}) < 1e-4);
}

TEST_CASE("the shift from ITRF2014 to NAD83(2011) has the known size at four towns") {
  // Computed from the EPSG parameters for 2026.9, to the millimetre.
  struct Row {
    std::string name;
    Geographic place;
    geodesy::Enu expected;
  };
  const std::vector<Row> rows{{"Boston", {42.36, -71.06, 0.0}, {0.557, -1.181, 1.202}},
                              {"Denver", {39.74, -104.99, 0.0}, {1.350, -0.513, 0.860}},
                              {"Seattle", {47.61, -122.33, 0.0}, {1.592, -0.230, 0.307}},
                              {"Anchorage", {61.22, -149.90, 0.0}, {1.549, 0.441, -0.459}}};
  const auto frames = Frames::open(geodesy::test::settings("EPSG:6319", {geodesy::test::source("EPSG:7912")}));
  REQUIRE(frames.has_value());
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const auto shift = frames->shift_at(0, row.place, geodesy::test::at_year(2026.9));
    REQUIRE(shift.has_value());
    CHECK(std::abs(shift->east_m - row.expected.east_m) < 0.002);
    CHECK(std::abs(shift->north_m - row.expected.north_m) < 0.002);
    CHECK(std::abs(shift->up_m - row.expected.up_m) < 0.002);
  }
}

TEST_CASE("a date off by a year moves ITRF to NAD83(2011) by 1.1 to 2.2 cm anywhere in the contiguous US") {
  for (const char* from : {"ITRF2020", "ITRF2014", "ITRF2008"}) {
    CAPTURE(from);
    const auto frames = Frames::open(geodesy::test::settings("NAD83(2011)", {geodesy::test::source(from)}));
    REQUIRE(frames.has_value());
    for (double latitude_deg = 25.0; latitude_deg <= 49.0; latitude_deg += 2.0) {
      for (double longitude_deg = -124.0; longitude_deg <= -67.0; longitude_deg += 3.0) {
        const Geographic place{latitude_deg, longitude_deg, 100.0};
        const auto now = frames->to_project(0, place, parse_utc("2026-06-03T12:00:00Z"));
        const auto wrong = frames->to_project(0, place, parse_utc("2025-06-03T12:00:00Z"));
        REQUIRE(now.has_value());
        REQUIRE(wrong.has_value());
        const double moved_m =
            geodesy::test::distance_m(geodesy::test::to_xyz(now->position), geodesy::test::to_xyz(wrong->position));
        CAPTURE(latitude_deg);
        CAPTURE(longitude_deg);
        CHECK(moved_m > 0.011);
        CHECK(moved_m < 0.022);
      }
    }
  }
}
