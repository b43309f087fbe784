#include "control/plan.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <cstdio>

#include "base/time.hpp"
#include "geodesy/published_stations.hpp"
#include "geodesy/transfers.hpp"

namespace stillpoint::control {
namespace {

const PlanFrame kProject{"EPSG:6319", 2026.9};

Plan plan_of(const std::string& csv, const PlanFrame& used = kProject) {
  const auto table = parse_table(csv, "plan.csv");
  REQUIRE(table.has_value());
  return plan_from(*table, used);
}

TEST_CASE("a planned point has its name, place, code, note and when it is due again") {
  const Plan plan = plan_of(
      "name,code,note,latitude_deg,longitude_deg,again_from\n"
      "CUL-26,CUL-U,\"upper end, left bank\",47.601,-87.402,2026-12-01\n"
      "CUL-27,,,47.602,-87.403,2026-12-01T14:30:00Z\n"
      "CUL-28,,,47.603,-87.404,\n");
  CHECK(plan.errors.empty());
  CHECK(plan.warnings.empty());
  REQUIRE(plan.points.size() == 3);
  CHECK(plan.points[0].name == "CUL-26");
  CHECK(plan.points[0].code == "CUL-U");
  CHECK(plan.points[0].note == "upper end, left bank");
  CHECK(plan.points[0].latitude_deg == 47.601);
  CHECK(plan.points[0].longitude_deg == -87.402);
  CHECK(plan.points[0].again_from == parse_utc("2026-12-01T00:00:00Z"));
  CHECK(plan.points[1].again_from == parse_utc("2026-12-01T14:30:00Z"));
  CHECK_FALSE(plan.points[2].again_from.has_value());
}

TEST_CASE("a row that is no planned point is told with its line, and the others count") {
  struct Row {
    const char *name, *row, *says;
  };
  const Row rows[] = {
      {"no name", ",47.6,-87.4,,,,", "the name is missing"},
      {"a name that begins with a sign", "=A1,47.6,-87.4,,,,", "begin"},
      {"no place", "A,,,,,,", "latitude_deg and longitude_deg"},
      {"half a place", "A,47.6,,,,,", "latitude_deg and longitude_deg"},
      {"two places", "A,47.6,-87.4,500000,5000000,,", "not both"},
      {"a decimal comma", "A,\"47,6\",-87.4,,,,", "is not a number"},
      {"beyond the pole", "A,97.6,-87.4,,,,", "no place on the Earth"},
      {"easting in a frame without a grid", "A,,,500000,5000000,,", "no easting and northing"},
      {"a frame nobody knows", "A,47.6,-87.4,,,NAD99,", "NAD99"},
      {"a date that is none", "A,47.6,-87.4,,,,soon", "again_from \"soon\""},
      {"a name that turns the writing", "A\u202E,47.6,-87.4,,,,", "(U+202e)"},
      {"the name of another, read aloud", "cul 1,47.6,-87.4,,,,", "planned twice"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const Plan plan = plan_of(
        std::string("name,latitude_deg,longitude_deg,easting_m,northing_m,frame,again_from\nCUL-1,47.5,-87.5,,,,\n") +
        row.row + "\n");
    CHECK(plan.points.size() == 1);
    REQUIRE(plan.errors.size() == 1);
    CAPTURE(plan.errors.front());
    CHECK(plan.errors.front().starts_with("plan.csv, line 3: "));
    CHECK(plan.errors.front().find("plan.csv", 1) == std::string::npos);
    CHECK(plan.errors.front().find(row.says) != std::string::npos);
  }
}

TEST_CASE("a place in another frame is planned where the publications of both frames say") {
  for (const geodesy::test::Station& station : geodesy::test::kStations) {
    if (station.output_m[2] == geodesy::test::kNotPrinted) continue;
    CAPTURE(station.name);
    auto transfers = geodesy::Transfers::open();
    REQUIRE(transfers.has_value());
    const auto from = transfers->base_code(station.from), to = transfers->base_code(station.to);
    if (!from || !to) continue;
    const auto given = geodesy::from_geocentric(geodesy::test::at_output_epoch(station));
    const auto wanted = geodesy::from_geocentric(station.output_m);
    const auto number = [](double degrees) {
      std::array<char, 40> text{};
      std::snprintf(text.data(), text.size(), "%.10f", degrees);
      return std::string(text.data());
    };
    const Plan plan = plan_of("name,frame,latitude_deg,longitude_deg\nA," + station.from + "," +
                                  number(given.latitude_deg) + "," + number(given.longitude_deg) + "\n",
                              {station.to, station.output_epoch});
    REQUIRE(plan.points.size() == 1);
    if (!plan.warnings.empty()) continue;  // the data set has no way between the two
    const double metres = 111'320.0;
    CHECK(std::abs(plan.points[0].latitude_deg - wanted.latitude_deg) * metres < 0.05);
    CHECK(std::abs(plan.points[0].longitude_deg - wanted.longitude_deg) * metres < 0.05);
  }
}

TEST_CASE("easting and northing of a grid become latitude and longitude") {
  // EPSG:6346 is UTM zone 17N of NAD83(2011): its central meridian, 81 W, has the easting 500,000 m, and the equator the
  // northing 0 (IOGP 373-7-2, 3.2.3.1: UTM's parameters).
  const Plan plan = plan_of("name,frame,easting_m,northing_m\nA,EPSG:6346,500000,5000000\n");
  REQUIRE(plan.errors.empty());
  REQUIRE(plan.points.size() == 1);
  CHECK(plan.points[0].longitude_deg == doctest::Approx(-81).epsilon(1e-12));
  CHECK(plan.points[0].latitude_deg == doctest::Approx(45.153).epsilon(1e-4));
}

TEST_CASE("a planned point is open until somebody was there, and again from the time of the second visit") {
  const auto at = [](const char* text) { return *parse_utc(text); };
  const UtcTime now = at("2026-12-05T10:00:00Z");
  struct Row {
    const char* name;
    std::optional<UtcTime> again_from, visited;
    PlanState state;
  };
  const Row rows[] = {
      {"nobody was there", {}, {}, PlanState::open},
      {"nobody was there, and the second is due", at("2026-12-01T00:00:00Z"), {}, PlanState::open},
      {"somebody was there", {}, at("2026-11-01T00:00:00Z"), PlanState::done},
      {"the second is not due yet", at("2026-12-05T10:00:01Z"), at("2026-11-01T00:00:00Z"), PlanState::done},
      {"the second is due now", now, at("2026-11-01T00:00:00Z"), PlanState::again},
      {"the second is done", at("2026-12-01T00:00:00Z"), at("2026-12-01T00:00:00Z"), PlanState::done},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    PlannedPoint point;
    point.again_from = row.again_from;
    CHECK(state_of(point, row.visited, now) == row.state);
  }
}

TEST_CASE("a layer says in which frame its planned points are") {
  Layer layer;
  layer.table.path = "plan.gpkg (layer plan)";
  layer.table.counted = "row";
  layer.table.columns = {"name", "frame"};
  layer.table.rows = {{1, {"A", ""}}, {2, {"B", "EPSG:6319"}}, {3, {"C", "ITRF2020"}}, {4, {"D", ""}}};
  layer.system = "EPSG:6318";  // the 2D form of the project's
  layer.places = {Layer::Place{-87.4, 47.6, {}}, Layer::Place{-87.5, 47.6, {}}, Layer::Place{-87.6, 47.6, {}}, {}};
  const Plan plan = plan_from(layer, kProject);
  REQUIRE(plan.points.size() == 2);
  CHECK(plan.points[0].longitude_deg == -87.4);
  CHECK(plan.points[1].name == "B");
  REQUIRE(plan.errors.size() == 2);
  CHECK(plan.errors[0].find("drawn in EPSG:6318") != std::string::npos);
  CHECK(plan.errors[1].find("row 4") != std::string::npos);
}

}  // namespace
}  // namespace stillpoint::control
