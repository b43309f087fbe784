// Every pair of the frames that crews use: there and back is the same place, and the list of pairs that are refused
// is the one we believe in.

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <random>
#include <set>
#include <string>
#include <vector>

#include "geodesy/frames.hpp"
#include "helpers.hpp"

using namespace stillpoint;
using geodesy::Frames;
using geodesy::Geographic;
using geodesy::test::settings;
using geodesy::test::source;

namespace {

struct Box {
  double south_deg, north_deg, west_deg, east_deg;
};

struct Frame {
  std::string name;
  Box box;  // well inside its area of use
};

const Box kWorld{-89.9, 89.9, -180.0, 180.0};
const std::vector<Frame> kFrames{
    {"ITRF2020", kWorld},
    {"ITRF2014", kWorld},
    {"ITRF2008", kWorld},
    {"ITRF2005", kWorld},
    {"ITRF2000", kWorld},
    {"WGS 84 (G2139)", kWorld},
    {"WGS 84 (G1762)", kWorld},
    {"WGS 84 (G1674)", kWorld},
    {"WGS 84 (G1150)", kWorld},
    {"NAD83(2011)", {15.0, 74.0, -170.0, -64.0}},
    {"NAD83(CORS96)", {15.0, 74.0, -170.0, -64.0}},
    {"NAD83(CSRS)v7", {41.0, 86.0, -140.0, -53.0}},
    {"NAD83(PA11)", {-14.0, 19.0, -177.0, -154.0}},
    {"ETRF2000", {33.0, 84.0, -16.0, 40.0}},
    {"ETRF2014", {33.0, 84.0, -16.0, 40.0}},
    {"GDA2020", {-60.0, -9.0, 94.0, 173.0}},
    {"GDA94", {-43.5, -9.0, 113.0, 154.0}},
    {"JGD2011", {18.0, 46.0, 123.0, 157.0}},
    {"SIRGAS2000", {-59.0, 32.0, -122.0, -26.0}},
};

// Between national frames of different continents there is nothing to ask for; NAD83(CORS96) to its successors exists
// only as grids that PROJ 9.1.1 does not ship for 3D; JGD2011 and SIRGAS2000 are frozen at a date, so reaching them
// needs a velocity that a frame alone does not have.
bool is_global(const std::string& name) {
  return name.starts_with("ITRF") || name.starts_with("WGS 84");
}

bool is_frozen(const std::string& name) {
  return name == "JGD2011" || name == "SIRGAS2000";
}

bool is_expected(const std::string& from, const std::string& to) {
  if (from == to) return true;
  if (is_frozen(from) || is_frozen(to)) return false;
  if (is_global(from) || is_global(to)) return true;
  const std::set<std::string> pair{from, to};
  return pair == std::set<std::string>{"NAD83(2011)", "NAD83(CSRS)v7"} ||
         pair == std::set<std::string>{"ETRF2000", "ETRF2014"} || pair == std::set<std::string>{"GDA2020", "GDA94"} ||
         pair == std::set<std::string>{"NAD83(2011)", "NAD83(PA11)"} ||
         pair == std::set<std::string>{"GDA94", "NAD83(PA11)"};  // their boxes meet in the Pacific
}

Box common(const Box& a, const Box& b) {
  return {std::max(a.south_deg, b.south_deg), std::min(a.north_deg, b.north_deg), std::max(a.west_deg, b.west_deg),
          std::min(a.east_deg, b.east_deg)};
}

bool all_pairs() {
  return std::getenv("STILLPOINT_ALL_PAIRS") != nullptr;
}

/// The largest distance between a place and itself after there and back, in metres.
double worst_round_trip_m(const Frames& there, const Frames& back, const Box& box, int places) {
  std::mt19937_64 random(1064);
  std::uniform_real_distribution<double> latitude(box.south_deg, box.north_deg);
  std::uniform_real_distribution<double> longitude(box.west_deg, box.east_deg);
  std::uniform_real_distribution<double> height(-100.0, 5000.0);
  std::uniform_real_distribution<double> year(1994.0, 2040.0);
  double worst_m = 0.0;
  for (int i = 0; i < places; ++i) {
    const Geographic place{latitude(random), longitude(random), height(random)};
    const UtcTime utc = geodesy::test::at_year(year(random));
    const auto moved = there.to_project(0, place, utc);
    REQUIRE(moved.has_value());
    const auto returned = back.to_project(0, moved->position, utc);
    REQUIRE(returned.has_value());
    worst_m = std::max(
        worst_m, geodesy::test::distance_m(geodesy::test::to_xyz(place), geodesy::test::to_xyz(returned->position)));
  }
  return worst_m;
}

}  // namespace

TEST_CASE("there and back is the same place within 0.1 mm, and refused pairs are the expected ones") {
  // In everyday runs each frame is paired with ITRF2020 only; STILLPOINT_ALL_PAIRS=1 takes every pair, with 10,000
  // places and dates each.
  const int places = all_pairs() ? 10000 : 1000;
  for (const Frame& a : kFrames) {
    for (const Frame& b : kFrames) {
      const bool everyday = a.name == "ITRF2020";
      if (!everyday && !all_pairs()) continue;
      CAPTURE(a.name);
      CAPTURE(b.name);
      const auto there = Frames::open(settings(b.name, {source(a.name)}));
      const auto back = Frames::open(settings(a.name, {source(b.name)}));
      CHECK(there.has_value() == is_expected(a.name, b.name));
      CHECK(there.has_value() == back.has_value());
      if (!there || !back) continue;
      const Box box = common(a.box, b.box);
      if (box.south_deg >= box.north_deg || box.west_deg >= box.east_deg) continue;
      CHECK(worst_round_trip_m(*there, *back, box, places) < 1e-4);
    }
  }
}
