// What a day is worth against an answer key, worked out by hand from the rules in the header.

#include "simulate/debrief.hpp"

#include "simulate/support.hpp"

using namespace stillpoint;
using simulate::Stay;

namespace {

constexpr double kDegreesPerMetreNorth = 1 / 111180.0;  // at 47.6 N, by the meridian's radius of 6,370 km there

std::string key(const std::string& right, int points = 20) {
  return "[[stand]]\nmark = \"VM-11\"\nfrom_s = 0\nto_s = 600\nantenna_height_m = 1.871\n[[use]]\nat_s = 0\nsource = "
         "\"network\"\n[[hazard]]\nid = \"h\"\nwhat = \"w\"\nmove = \"m\"\ncost = \"c\"\nfrom_s = 100\nto_s = "
         "200\nmark = "
         "\"CUL-1\"\nsaid = [\"position-jump\"]\nright = \"" +
         right + "\"\npoints = " + std::to_string(points) + "\n";
}

/// A stay on CUL-1 that ends up `north_m` off.
Stay stay(int visit, const char* status, int from_s, int to_s, double north_m) {
  const UtcTime start = *parse_utc("2026-06-03T14:00:00Z");
  Stay out;
  out.name = "CUL-1";
  out.visit = visit;
  out.status = status;
  if (out.status != "discarded") out.at = geodesy::Geographic{47.6009 + north_m * kDegreesPerMetreNorth, -87.4, 149.1};
  out.error95_horizontal_m = 0.02;
  out.from = UtcTime{start.ms + from_s * 1000};
  out.to = UtcTime{start.ms + to_s * 1000};
  return out;
}

}  // namespace

TEST_CASE("moves are met or missed as the answer key says, and points follow") {
  struct Row {
    const char* name;
    const char* right;
    std::vector<Stay> stays;
    bool met;
    int score;  ///< of 100: hazard 20, point 10, in all 30
  };
  const Stay clean = stay(1, "accepted", 220, 300, 0.01);
  const Row rows[] = {
      {"nothing measured earns nothing", "good-point", {}, false, 0},
      {"a good point after the hazard", "waited", {clean}, true, 100},
      {"a good point that ended inside the window is not waiting",
       "waited",
       {stay(1, "accepted", 50, 150, 0.01)},
       false,
       33},
      {"a wrong point costs, the hazard half of its own",
       "good-point",
       {stay(1, "accepted", 110, 190, 0.38)},
       false,
       0},
      {"a held point is no point", "good-point", {stay(1, "held", 220, 300, 0.01)}, false, 0},
      {"rejecting the wrong one and measuring again",
       "again",
       {stay(1, "rejected", 110, 190, 0.38), stay(2, "accepted", 220, 300, 0.01)},
       true,
       100},
      {"measuring again while the wrong one stands",
       "again",
       {stay(1, "accepted", 110, 190, 0.38), stay(2, "accepted", 220, 300, 0.01)},
       false,
       0},
      {"discarding inside the window and staying on", "again", {stay(1, "discarded", 110, 190, 0), clean}, true, 100},
      {"what was measured in the window was not accepted",
       "not-accepted",
       {stay(1, "rejected", 110, 190, 0.38), stay(2, "accepted", 220, 300, 0.01)},
       true,
       100},
      {"never having tried is not distrust well placed", "not-accepted", {}, false, 0},
      {"a good stay discarded outside the window costs five",
       "waited",
       {stay(1, "discarded", 300, 400, 0), clean},
       true,
       83},
      {"just within the tolerance of 0.05 m", "waited", {stay(1, "accepted", 220, 300, 0.0499)}, true, 100},
      {"just outside it", "waited", {stay(1, "accepted", 220, 300, 0.0502)}, false, 0},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const auto simulation = test::simulation_of(test::scenario_text("600", "", key(row.right)));
    const auto debrief = simulate::debrief_of(simulation, {row.stays, {}});
    REQUIRE(debrief.items.size() >= 2);
    CHECK(debrief.items[0].met == row.met);
    CHECK(debrief.score == row.score);
  }
}

TEST_CASE("the debrief names what the tool said in the window, and off by how much the point is") {
  const auto simulation = test::simulation_of(test::scenario_text("600", "", key("good-point")));
  const UtcTime inside = *parse_utc("2026-06-03T14:02:00Z"), outside = *parse_utc("2026-06-03T14:08:00Z");
  const std::vector<Stay> wrong{stay(1, "accepted", 110, 190, 0.38)};
  CHECK(simulate::debrief_of(simulation, {wrong, {{"position-jump", "", inside}}}).items[0].said == "position-jump");
  CHECK(simulate::debrief_of(simulation, {wrong, {{"position-jump", "", outside}}}).items[0].said == "nothing");
  const auto debrief = simulate::debrief_of(simulation, {wrong, {}});
  CHECK(*debrief.items[1].off_m == doctest::Approx(0.38).epsilon(0.002));
  CHECK(simulate::debrief_text(debrief).find("not passed") != std::string::npos);
  CHECK(simulate::debrief_json(debrief).find("\"training\":true") != std::string::npos);
}
