#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <string>
#include <vector>

#include "geodesy/frames.hpp"
#include "helpers.hpp"

using namespace stillpoint;
using geodesy::Enu;
using geodesy::Frames;
using geodesy::Geographic;
using geodesy::LocalFrame;
using geodesy::test::settings;
using geodesy::test::some_day;
using geodesy::test::source;

namespace {

const Geographic kLake{47.600, -87.400, 180.0};

config::Settings at_project_epoch(config::Settings made, double epoch, config::SiteVelocity velocity) {
  made.project.coordinate_epoch = epoch;
  made.project.site_velocity_mm_per_year = velocity;
  return made;
}

bool says(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("point motion follows the example of EPSG method 1064") {
  // IOGP 373-7-2, method 1064: X-Y-Z and velocity in metres a year, 2005.0 to 2010.0, printed to 0.1 mm.
  const geodesy::test::Xyz start_m{2845456.0813, 2160954.2453, 5265993.2296};
  const geodesy::test::Xyz velocity_m{-0.0212, 0.0124, 0.0072};
  const geodesy::test::Xyz expected_m{2845455.9753, 2160954.3073, 5265993.2656};
  const Geographic place = geodesy::test::to_llh(start_m);
  // The velocity turned into east, north and up.
  const double sin_lat = std::sin(place.latitude_deg * std::numbers::pi / 180.0);
  const double cos_lat = std::cos(place.latitude_deg * std::numbers::pi / 180.0);
  const double sin_lon = std::sin(place.longitude_deg * std::numbers::pi / 180.0);
  const double cos_lon = std::cos(place.longitude_deg * std::numbers::pi / 180.0);
  const double horizontal_m = cos_lon * velocity_m[0] + sin_lon * velocity_m[1];
  const config::SiteVelocity velocity{1000.0 * (-sin_lon * velocity_m[0] + cos_lon * velocity_m[1]),
                                      1000.0 * (-sin_lat * horizontal_m + cos_lat * velocity_m[2]),
                                      1000.0 * (cos_lat * horizontal_m + sin_lat * velocity_m[2])};
  const auto frames =
      Frames::open(at_project_epoch(settings("ITRF2000", {source("ITRF2000", 2005.0)}), 2010.0, velocity));
  REQUIRE(frames.has_value());
  const auto result = frames->to_project(0, place, some_day());
  REQUIRE(result.has_value());
  CHECK(result->coordinate_epoch == 2010.0);
  CHECK(geodesy::test::distance_m(geodesy::test::to_xyz(result->position), expected_m) < 5e-5);
}

TEST_CASE("the coordinate epoch is the source's own number or the moment of observation") {
  struct Row {
    std::string name;
    std::optional<double> source_epoch;
    double expected;
  };
  // 2026-06-03T14:05:10Z is day 153 and 50,710 s into a year of 365 days.
  const double observed = 2026.0 + (153.0 + 50710.0 / 86400.0) / 365.0;
  const std::vector<Row> rows{{"a network at 2010.0", 2010.0, 2010.0}, {"an observation", std::nullopt, observed}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const auto frames = Frames::open(settings("EPSG:6319", {source("ITRF2020", row.source_epoch)}));
    REQUIRE(frames.has_value());
    const auto result = frames->to_project(0, kLake, some_day());
    REQUIRE(result.has_value());
    CHECK(std::abs(result->coordinate_epoch - row.expected) < 1e-9);
  }
}

TEST_CASE("a network's numeric epoch decides the shift, whatever the day") {
  const auto frames = Frames::open(
      settings("EPSG:6319", {source("ITRF2020", 2010.0, "network"), source("ITRF2020", std::nullopt, "sbas")}));
  REQUIRE(frames.has_value());
  const auto network = frames->shift_at(0, kLake, some_day());
  const auto same_network = frames->shift_at(0, kLake, parse_utc("2019-01-01T00:00:00Z"));
  const auto observed = frames->shift_at(1, kLake, some_day());
  const auto at_2010 = frames->shift_at(1, kLake, geodesy::test::at_year(2010.0));
  REQUIRE(network.has_value());
  REQUIRE(same_network.has_value());
  REQUIRE(observed.has_value());
  REQUIRE(at_2010.has_value());
  CHECK(network->east_m == same_network->east_m);
  CHECK(std::abs(network->east_m - at_2010->east_m) < 1e-6);
  CHECK(std::abs(network->north_m - at_2010->north_m) < 1e-6);
  // Wrong epoch costs 0.24 to 0.39 m in 2026 for ITRF to NAD83.
  const double cost_m = std::hypot(network->east_m - observed->east_m, network->north_m - observed->north_m,
                                   network->up_m - observed->up_m);
  CHECK(cost_m > 0.24);
  CHECK(cost_m < 0.39);
}

TEST_CASE("a site velocity moves a point to the project epoch and only that way") {
  const config::SiteVelocity velocity{-14.0, 5.5, -2.0};
  const auto moving = Frames::open(
      at_project_epoch(settings("EPSG:6319", {source("ITRF2020"), source("EPSG:6319", 2010.0)}), 2010.0, velocity));
  const auto still = Frames::open(settings("EPSG:6319", {source("ITRF2020"), source("EPSG:6319", 2010.0)}));
  REQUIRE(moving.has_value());
  REQUIRE(still.has_value());
  const auto a = moving->to_project(0, kLake, some_day());
  const auto b = still->to_project(0, kLake, some_day());
  REQUIRE(a.has_value());
  REQUIRE(b.has_value());
  const double years = 2010.0 - b->coordinate_epoch;
  const Enu moved = LocalFrame(b->position).to_enu(a->position);
  CHECK(a->coordinate_epoch == 2010.0);
  CHECK(std::abs(moved.east_m - -0.014 * years) < 1e-7);
  CHECK(std::abs(moved.north_m - 0.0055 * years) < 1e-7);
  CHECK(std::abs(moved.up_m - -0.002 * years) < 1e-7);
  const auto network = moving->to_project(1, kLake, some_day());
  REQUIRE(network.has_value());
  CHECK(std::abs(network->position.latitude_deg - kLake.latitude_deg) < 1e-12);
  CHECK(std::abs(network->position.ellipsoid_height_m - kLake.ellipsoid_height_m) < 1e-8);
}

TEST_CASE("mixed coordinate epochs are said once, with their size at this place") {
  const config::Source network_nad83 = source("EPSG:6319", 2010.0, "county network");
  const config::Source network_itrf = source("ITRF2014", 2010.0, "county network");
  const config::Source sbas = source("ITRF2020", std::nullopt, "sbas");
  const UtcTime utc = *some_day();
  {
    const auto frames = Frames::open(settings("EPSG:6319", {network_nad83, sbas}));
    REQUIRE(frames.has_value());
    const auto notes = frames->notes_at(kLake, utc);
    REQUIRE(notes.size() == 1);
    CAPTURE(notes[0]);
    CHECK(says(notes[0], "under \"county network\" to 2010.00, \"sbas\" to 2026.42"));
    CHECK(says(notes[0], "NAD83(2011) moves with its plate"));
    CHECK_FALSE(says(notes[0], "neighbouring plate"));
    CHECK(says(notes[0], "taking one date for the other would move points under \"sbas\" by 0.31"));
  }
  {
    // In ITRF the plate's own motion shows: the rates of EPSG:8970 times the position are 0.0191 m a year here.
    const auto frames = Frames::open(settings("ITRF2020", {network_itrf, sbas}));
    REQUIRE(frames.has_value());
    const auto notes = frames->notes_at(kLake, utc);
    REQUIRE(notes.size() == 1);
    CAPTURE(notes[0]);
    CHECK(says(notes[0], "stands still in NAD83(2011) differs by 0.31"));
    const auto at_sea = frames->notes_at({-40.0, -20.0, 0.0}, utc);
    REQUIRE(at_sea.size() == 1);
    CHECK(says(at_sea[0], "is not known to PROJ"));
  }
  {
    config::Settings moving = settings("EPSG:6319", {network_nad83, sbas});
    moving.project.site_velocity_mm_per_year = config::SiteVelocity{10.0, 0.0, 0.0};
    const auto frames = Frames::open(moving);
    REQUIRE(frames.has_value());
    const auto notes = frames->notes_at(kLake, utc);
    REQUIRE(notes.size() == 1);
    CAPTURE(notes[0]);
    CHECK(says(notes[0], "by the configured site velocity one mark differs by 0.164 m"));
  }
}

TEST_CASE("there is nothing to say about epochs that agree") {
  struct Row {
    std::string name;
    config::Settings settings;
  };
  const config::Source network = source("EPSG:6319", 2010.0, "county network");
  const config::Source sbas = source("ITRF2020", std::nullopt, "sbas");
  const std::vector<Row> rows{
      {"two networks of one epoch", settings("EPSG:6319", {network, source("ITRF2014", 2010.0, "other")})},
      {"two sources at the moment of observation",
       settings("EPSG:6319", {sbas, source("ITRF2014", std::nullopt, "other")})},
      {"one source", settings("EPSG:6319", {network})},
      {"a project epoch to which all are moved",
       at_project_epoch(settings("EPSG:6319", {network, sbas}), 2010.0, {0.0, 0.0, 0.0})},
      {"no source", settings("EPSG:6319", {})},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const auto frames = Frames::open(row.settings);
    REQUIRE(frames.has_value());
    CHECK(frames->notes_at(kLake, *some_day()).empty());
  }
}

TEST_CASE("beside a fault between plates the figure of two dates is that of the neighbour's motion too") {
  const auto frames = Frames::open(
      settings("EPSG:6319", {source("EPSG:6319", 2010.0, "county network"), source("ITRF2020", std::nullopt, "sbas")}));
  REQUIRE(frames.has_value());
  const auto notes = frames->notes_at({34.05, -118.24, 100.0}, geodesy::test::at_year(2026.4));
  REQUIRE(notes.size() == 1);
  CAPTURE(notes[0]);
  // A published station near Los Angeles moved 0.67 m in NAD83(2011) between these dates: it lies in the zone between
  // the plates, so the whole motion of the Pacific plate past it, 48 to 50 mm a year from memory of NUVEL-1A's, is
  // more.
  const auto at = notes[0].find(" m where the ground goes with the neighbouring plate (NAD83(PA11))");
  REQUIRE(at != std::string::npos);
  const double size_m = std::stod(notes[0].substr(at - 4, 4));
  CHECK(size_m > 0.67);
  CHECK(size_m < 0.90);
  for (const Geographic& elsewhere : {Geographic{42.36, -71.06, 0}, {47.6, -87.4, 0}, {39.74, -104.99, 0}}) {
    CHECK_FALSE(says(frames->notes_at(elsewhere, geodesy::test::at_year(2026.4)).at(0), "neighbouring"));
  }
}
