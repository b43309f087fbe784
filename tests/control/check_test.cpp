#include <doctest/doctest.h>

#include <cmath>

#include "control/diagnosis.hpp"

namespace stillpoint::control {
namespace {

Residual off(double east_m, double north_m, std::optional<double> up_m, double sigma_m = 0.01) {
  Residual out;
  out.east_m = east_m;
  out.north_m = north_m;
  out.up_m = up_m;
  const double s2 = sigma_m * sigma_m;
  out.covariance_m2 = {s2, 0, s2, 4 * s2};
  return out;
}

// u_horizontal = sqrt(2) * 10 mm = 14.14 mm, u_vertical = 20 mm: tolerances 28.28 mm and 40 mm.
TEST_CASE("a check passes within twice the joint uncertainty and the hard limit, equal included") {
  struct Row {
    const char* name;
    Residual residual;
    std::optional<config::PerAxis> hard;
    std::vector<std::string> notes;
    Outcome outcome;
  };
  const config::PerAxis wide{0.05, 0.08};
  const Row rows[] = {
      {"well inside", off(0.01, 0.01, 0.01), wide, {}, Outcome::pass},
      {"a note is not hidden by a pass", off(0.01, 0.01, 0.01), wide, {"old"}, Outcome::pass_with_note},
      {"no hard limit is a note", off(0.01, 0.01, 0.01), {}, {}, Outcome::pass_with_note},
      {"horizontal just over the tolerance", off(0.0283, 0, 0), wide, {}, Outcome::stop},
      {"horizontal just under it", off(0.0282, 0, 0), wide, {}, Outcome::pass},
      {"height over the tolerance alone", off(0, 0, -0.0401), wide, {}, Outcome::stop},
      {"exactly the hard limit", off(0.015, 0, 0), config::PerAxis{0.015, 0.05}, {}, Outcome::pass},
      {"over the hard limit, inside the tolerance", off(0.0151, 0, 0), config::PerAxis{0.015, 0.05}, {}, Outcome::stop},
      {"height over the hard limit", off(0, 0, 0.031), config::PerAxis{0.05, 0.03}, {}, Outcome::stop},
      {"a height that is not compared does not fail", off(0, 0, std::nullopt), wide, {}, Outcome::pass},
      {"a note never saves a stop", off(0.2, 0, 0), wide, {"old"}, Outcome::stop},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    CHECK(judge("VM-11", row.residual, {row.hard}, row.notes).outcome == row.outcome);
  }
  CHECK(judge("VM-11", off(0.003, -0.021, 0.2), {wide}, {}).text ==
        "VM-11: east +0.003, north -0.021, up +0.200 m; horizontal 0.021 m (limit 0.028 m), vertical 0.200 m (limit "
        "0.040 m)");
  const auto limits = [&](double hard_horizontal_m, double hard_vertical_m) {
    return judge("VM-11", off(0, 0, 0), {config::PerAxis{hard_horizontal_m, hard_vertical_m}}, {}).limits;
  };
  CHECK(limits(0.015, 0.03).empty());
  CHECK(limits(0.05, 0.03) ==
        "horizontal limit 0.028 m is twice the errors of shot and mark, and smaller than 0.050 m in check_limit_m");
  CHECK(limits(0.015, 0.05) ==
        "vertical limit 0.040 m is twice the errors of shot and mark, and smaller than 0.050 m in check_limit_m");
  CHECK(off(0, 0, 0).east95_m() == doctest::Approx(0.0195996));
}

TEST_CASE("the overlap of two sources is measured against both their errors, without the mark's") {
  SourceShot older{"sbas", off(0.1, -0.2, 0.3), {}}, newer{"county network", {}, {}};
  older.at.covariance_enu_m2 = {0.04, 0, 0.04, 0.16};
  newer.at.covariance_enu_m2 = {0.0001, 0, 0.0001, 0.0004};
  const auto step = [&](double north_m, double up_m) {
    newer.residual = off(0.1, -0.2 + north_m, 0.3 + up_m);
    return compare_overlap("VM-11", older, newer);
  };
  struct Row {
    const char* name;
    double north_m, up_m;
    bool agrees;
  };
  // 2 * sqrt(2 * 0.0401) = 0.5664 m; 2 * sqrt(0.1604) = 0.8010 m
  const Row rows[] = {{"the limit in plan", 0.5663, 0, true},
                      {"past the limit in plan", 0.5665, 0, false},
                      {"the limit in height", 0, -0.8009, true},
                      {"past the limit in height", 0, -0.8011, false},
                      {"what two frames differ by", -0.988, 0.906, false}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const Overlap overlap = step(row.north_m, row.up_m);
    CHECK(overlap.agrees == row.agrees);
    CHECK(overlap.step.north_m == doctest::Approx(row.north_m));
    CHECK(*overlap.step.up_m == doctest::Approx(row.up_m));
  }
  CHECK(step(-0.988, 0.906).text ==
        "VM-11 under \"county network\" minus under \"sbas\": east 0.000, north -0.988, up +0.906 m; horizontal 0.988 "
        "m (limit 0.566 m), vertical 0.906 m (limit 0.801 m): the two sources do not agree; one of them is in another "
        "frame or wrong");
  // The mark has no height: each source still gave it one.
  newer.residual.up_m.reset();
  older.at.ellipsoid_height_m = 142.0;
  newer.at.ellipsoid_height_m = 142.9;
  const Overlap by_height = compare_overlap("VM-13", older, newer);
  CHECK(*by_height.step.up_m == doctest::Approx(0.9));
  CHECK_FALSE(by_height.agrees);
}

TEST_CASE("a lean turns with the pole and the mark does not") {
  Turn real;
  real.right_m = 0.018;
  real.forward_m = -0.009;
  std::vector<TurnShot> shots;
  for (const double heading : {0.0, 90.0, 180.0, 270.0}) {
    const auto effect = real.effect_m(heading);
    shots.push_back({heading, 0.003 + effect[0], 0.004 + effect[1], 0.002});
  }
  // Heading 0: right is east, forward is north. Heading 90: forward is east, right is south.
  CHECK(shots[0].east_m == doctest::Approx(0.021));
  CHECK(shots[0].north_m == doctest::Approx(-0.005));
  CHECK(shots[1].east_m == doctest::Approx(-0.006));
  CHECK(shots[1].north_m == doctest::Approx(-0.014));
  for (const std::size_t used : {std::size_t{2}, std::size_t{3}, std::size_t{4}}) {
    CAPTURE(used);
    const auto turn = turn_test(std::span(shots).first(used)).value();
    CHECK(turn.right_m == doctest::Approx(0.018));
    CHECK(turn.forward_m == doctest::Approx(-0.009));
    CHECK(turn.east_m == doctest::Approx(0.003));
    CHECK(turn.north_m == doctest::Approx(0.004));
    CHECK(turn.scatter_m < 1e-12);
    CHECK(turn.leans);
  }
  CHECK(turn_test(shots)->sigma_m == doctest::Approx(0.001));  // sigma / sqrt(4)
  // hypot(18, 9) = 20.1; sqrt(9.2103) = 3.03 sigma
  CHECK(turn_sentence("VM-11", turn_test(shots).value())
            .find("the antenna is 20.1 mm off the mark (18.0 mm to its right, 9.0 mm backwards as it faces; chance "
                  "would reach "
                  "3.0 mm in 1 of 100): adjust the bubble") != std::string::npos);
  for (TurnShot& shot : shots) shot.east_m = shot.north_m = 0.3;
  CHECK(!turn_test(shots)->leans);
  CHECK(turn_sentence("VM-11", turn_test(shots).value()).find("a lean under 3.0 mm could not be seen") !=
        std::string::npos);
  CHECK(!turn_test(std::span(shots).first(1)));
  shots[1].heading_deg = 5;
  CHECK(!turn_test(std::span(shots).first(2)));
}

Scene pole_scene() {
  Scene scene;
  scene.antenna.vertical_parts_m = {{"pole", 1.8}, {"adapter_to_phase_centre", 0.071}};
  scene.antenna_height_m = 1.871;
  // ITRF2020 to NAD83(2011) at 47.6 N 87.4 W, 2026.40.
  scene.frames = {{FrameMistake::shifted_twice, {1.038, -0.988, 0.906}, "already in NAD83(2011)", "ask"},
                  {FrameMistake::source_frame, {-1.038, 0.988, -0.906}, "really in ITRF2020", "ask"}};
  scene.plate_motion_m_per_year = geodesy::Enu{-0.016, -0.003, 0.0};
  scene.geoid_height_m = -34.2;
  scene.receiver_geoid_m = -33.8;
  return scene;
}

TEST_CASE("a residual names the mistake that would leave it") {
  struct Row {
    const char* name;
    Residual residual;
    Suspect first;
  };
  const Row rows[] = {
      {"the vector between the frames", off(1.03, -0.99, 0.90), Suspect::shifted_twice},
      {"the same vector, other way", off(-1.03, 0.99, -0.92), Suspect::frame_swapped},
      {"along the plate's motion", off(-0.26, -0.05, 0.01), Suspect::epoch},
      {"the antenna height up", off(0, 0.01, 1.87), Suspect::antenna_ignored},
      {"the antenna height down", off(0, 0.01, -1.87), Suspect::antenna_doubled},
      {"the adapter down", off(0, 0.0, -0.071, 0.004), Suspect::phase_offset},
      {"a section of the pole", off(0, 0.0, 0.201, 0.004), Suspect::antenna_section},
      {"1.871 ft typed as metres", off(0, 0, -1.30), Suspect::feet_for_metres},
      {"the geoid height", off(0, 0, 34.22), Suspect::height_kind},
      {"twice the geoid height", off(0, 0, -68.4), Suspect::geoid_sign},
      {"the receiver's separation minus the geoid's", off(0, 0, -0.41), Suspect::coarse_geoid},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const Diagnosis found = diagnose(row.residual, pole_scene(), {});
    REQUIRE(!found.none_fits);
    CHECK(found.suspects.front().suspect == row.first);
    CHECK(found.suspects.front().share > 0.5);
    CHECK(!found.suspects.front().confirm.empty());
    REQUIRE(found.sentences.size() >= 2);
    CHECK(found.sentences[0].find(found.suspects.front().what) != std::string::npos);
    CHECK(found.sentences[1] == "To make sure: " + found.suspects.front().confirm + ".");
    CHECK(found.text.starts_with(found.sentences[0] + " " + found.sentences[1]));
  }
}

TEST_CASE("a second suspect is named when it is likely too") {
  const Diagnosis found = diagnose(off(0, 0.0, 0.135, 0.02), pole_scene(), {});
  REQUIRE(found.suspects.size() > 1);
  CAPTURE(found.text);
  REQUIRE(found.suspects[1].share > 0.05);
  REQUIRE(found.sentences.size() == 3);
  CHECK(found.sentences[2].starts_with("Then ("));
  CHECK(found.sentences[2].find(found.suspects[1].what) != std::string::npos);
}

TEST_CASE("what fits nothing is not forced into a suspect") {
  const Diagnosis odd = diagnose(off(0.44, 0.61, -0.33), pole_scene(), {});
  CHECK(odd.none_fits);
  CHECK(odd.text.find("None of these fits") == 0);
  CHECK(odd.sentences == std::vector<std::string>{odd.text});
  const Diagnosis chance = diagnose(off(0.005, -0.004, -0.043), pole_scene(), {});
  CHECK(chance.none_fits);
}

TEST_CASE("other marks tell a shared cause from a local one") {
  const Residual odd = off(0.44, 0.61, -0.33);
  const auto shared = diagnose(odd, pole_scene(), {off(0.45, 0.60, -0.32)});
  REQUIRE(!shared.none_fits);
  CHECK(shared.suspects.front().suspect == Suspect::base_offset);
  const auto local = diagnose(odd, pole_scene(), {off(0.01, 0.0, -0.01)});
  REQUIRE(!local.none_fits);
  CHECK(local.suspects.front().suspect == Suspect::mark_disturbed);
}

TEST_CASE("a turn test that leans convicts the bubble, one that does not acquits it") {
  Scene scene = pole_scene();
  const Residual lean = off(0.022, 0.003, 0.0, 0.003);
  scene.turn = Turn{0.022, 0.003, 0.0015, 0, 0, 0.001, true};
  const auto found = diagnose(lean, scene, {});
  REQUIRE(!found.none_fits);
  CHECK(found.suspects.front().suspect == Suspect::bubble);
  scene.turn = Turn{0.0005, 0.0, 0.0015, 0.022, 0.003, 0.001, false};
  for (const Ranked& suspect : diagnose(lean, scene, {}).suspects) CHECK(suspect.suspect != Suspect::bubble);
}

TEST_CASE("without a height only what shows in plan is suspected") {
  const auto found = diagnose(off(1.03, -0.99, std::nullopt), pole_scene(), {});
  REQUIRE(!found.none_fits);
  CHECK(found.suspects.front().suspect == Suspect::shifted_twice);
  for (const Ranked& one : found.suspects) CHECK(one.suspect != Suspect::antenna_ignored);
}

TEST_CASE("frame vectors of a place are those of the operations, for every pair that serves it") {
  auto transfers = geodesy::Transfers::open().value();
  const FrameQuestion question{"ITRF2020", "EPSG:6319", "EPSG:6319", {}, {47.6, -87.4, 150}, 2026.4};
  const auto vectors = frame_vectors(transfers, question);
  const auto twice = std::find_if(vectors.begin(), vectors.end(),
                                  [](const auto& v) { return v.mistake == FrameMistake::shifted_twice; });
  REQUIRE(twice != vectors.end());
  CHECK(twice->vector.east_m == doctest::Approx(1.038).epsilon(0.002));
  CHECK(twice->vector.north_m == doctest::Approx(-0.988).epsilon(0.002));
  CHECK(twice->vector.up_m == doctest::Approx(0.906).epsilon(0.002));
  // NAD83 holds still with North America, which moves about 1.6 cm a year to the west here (ITRF2014 plate model,
  // rotation pole from memory: 17 mm a year at most).
  const auto plate = plate_motion_m_per_year(transfers, {47.6, -87.4, 150}, 2026.4);
  REQUIRE(plate);
  CHECK(std::hypot(plate->east_m, plate->north_m) == doctest::Approx(0.017).epsilon(0.2));
  CHECK(plate->east_m < 0);
}

}  // namespace
}  // namespace stillpoint::control
