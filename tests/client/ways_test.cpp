#include <doctest/doctest.h>

#include "client/day.hpp"
#include "client/sheets.hpp"
#include "client/statuses.hpp"
#include "client/values.hpp"

namespace stillpoint::client::test {
namespace {

struct Place {
  double latitude_deg, longitude_deg;
};

Json json_of(const Place& place) {
  return {{"latitude_deg", place.latitude_deg}, {"longitude_deg", place.longitude_deg}};
}

/// The way from `here` to a mark.
Mark way(const Place& here, const Place& there) {
  Day day;
  day.status = fresh();
  day.status["epoch"].update(json_of(here));
  day.marks = Json::array({json_of(there)});
  day.marks[0]["mark"] = "VM-11";
  return nearest_marks(day).at(0);
}

}  // namespace

// The lengths and directions are those of the geodesic on GRS 80 by `geod -I +ellps=GRS80` of PROJ 9.1.1.
TEST_CASE("the way to a mark is as long as the geodesic, and in its direction, wherever on Earth one stands") {
  struct Row {
    const char* name;
    Place here, there;
    double towards_deg, far_m;
  };
  for (const Row& row : {Row{"near", {47.6, -87.4}, {47.6018, -87.3965}, 52.750215, 330.6418},
                         Row{"a long walk", {47.6, -87.4}, {47.55, -87.5}, 360 - 126.423284, 9354.5956},
                         Row{"on the equator", {0, -10}, {-0.01, -10.02}, 360 - 116.411423, 2485.8557},
                         Row{"in the far north", {69.7, 30}, {69.72, 30.1}, 59.999084, 4468.5446},
                         Row{"over the antimeridian", {-16.8, 179.99}, {-16.82, -179.98}, 124.693421, 3889.0443}}) {
    CAPTURE(row.name);
    const Mark mark = way(row.here, row.there);
    REQUIRE(mark.way.far_m);
    CHECK(*mark.way.far_m == doctest::Approx(row.far_m).epsilon(1e-6));
    CHECK(mark.way.towards_deg == doctest::Approx(row.towards_deg).epsilon(1e-4));
  }
}

TEST_CASE("planned points that are not done come nearest first, and are told between two points") {
  Day day;
  day.status = fresh();
  day.status["epoch"].update(json_of({47.6, -87.4}));
  const auto planned = [](const char* name, const char* state, const Place& place) {
    Json out = json_of(place);
    out.update({{"point", name}, {"state", state}, {"code", "CUL-U"}, {"note", ""}});
    return out;
  };
  CHECK(next_planned(day).empty());
  day.plan = Json::array({planned("CUL-25", "done", {47.6, -87.4}), planned("CUL-27", "open", {47.7, -87.4}),
                          planned("CUL-26", "again", {47.6018, -87.3965})});
  const auto nearest = nearest_planned(day);
  REQUIRE(nearest.size() == 2);
  CHECK(nearest[0].name == "CUL-26");
  CHECK(nearest[0].again);
  CHECK_FALSE(nearest[1].again);
  CHECK(next_planned(day) == "CUL-26: 331 m north-east");
  const auto row = [&day] {
    for (const Value& value : values_of(day, Now{})) {
      if (value.label == "Next" || value.label == "Last") return value.label + " " + value.ways.front();
    }
    return std::string();
  };
  CHECK(row() == "Next CUL-26: 331 m north-east");
  for (Json& each : day.plan) each["state"] = "done";
  CHECK(row() == "Next no planned point is left");
  day.status["epoch"].erase("latitude_deg");
  day.plan[1]["state"] = "open";
  CHECK(row() == "Next CUL-27: how far is not known");
}

TEST_CASE("a new point takes the name of the planned one that is here, and no other") {
  Day day;
  day.status = fresh();
  day.status["epoch"].update(json_of({47.6, -87.4}));
  Json planned = json_of({47.60005, -87.4});  // 5.6 m
  planned.update({{"point", "CUL-26"}, {"state", "open"}, {"code", "CUL-U"}, {"note", "left bank"}});
  day.plan = Json::array({planned});
  Sheet sheet = name_sheet(day);
  CHECK(sheet.fields.at(0).value == "CUL-26");
  CHECK(sheet.fields.at(1).value == "CUL-U");
  CHECK(sheet.fields.at(2).value == "left bank");
  CHECK(sheet.text == "CUL-26 is planned (5.6 m north).");
  day.plan[0]["latitude_deg"] = 47.6005;
  sheet = name_sheet(day);
  CHECK(sheet.fields.at(0).value != "CUL-26");
  CHECK(sheet.text == "Next of the plan is CUL-26: 56 m north.");
}

TEST_CASE("a mark on the other side of the Earth is farther than one half as far") {
  Day day;
  day.status = fresh();
  day.status["epoch"].update(json_of({0, 0}));
  day.marks = Json::array({json_of({0, 180}), json_of({0, 90})});
  day.marks[0]["mark"] = "VM-11";
  day.marks[1]["mark"] = "VM-12";
  CHECK(nearest_marks(day).front().name == "VM-12");
}

}  // namespace stillpoint::client::test
