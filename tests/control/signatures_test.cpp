// Each mistake's vector and spread, from the set-up by hand. The prior weights and the sizes are the project's own
// defaults (diagnosis.hpp): written down here a second time, so that none changes unseen.

#include "control/signatures.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

namespace stillpoint::control {
namespace {

struct Expected {
  Suspect suspect;
  double weight;  ///< of this one
  Vector3 mean;
  Vector3 sigma;
  bool shared;
  const char* says;     ///< the beginning
  const char* confirm;  ///< the beginning
};

void check(const std::vector<Signature>& all, Suspect suspect, const std::vector<Expected>& expected) {
  std::vector<Signature> found;
  for (const Signature& one : all) {
    if (one.suspect == suspect) found.push_back(one);
  }
  CAPTURE(std::string(to_word(suspect)));
  REQUIRE(found.size() == expected.size());
  for (std::size_t k = 0; k < found.size(); ++k) {
    CAPTURE(k);
    const Signature& s = found[k];
    const Expected& e = expected[k];
    CHECK(s.weight == doctest::Approx(e.weight).epsilon(1e-12));
    CHECK(s.shared == e.shared);
    CHECK_MESSAGE(s.what.starts_with(e.says), s.what);
    CHECK_MESSAGE(s.confirm.starts_with(e.confirm), s.confirm);
    for (std::size_t i = 0; i < 3; ++i) {
      CAPTURE(i);
      CHECK(std::abs(s.mean[i] - e.mean[i]) < 1e-9);
      CHECK(std::sqrt(s.spread[i][i]) == doctest::Approx(e.sigma[i]).epsilon(1e-9));
    }
  }
}

void check(const Scene& scene, const std::vector<std::vector<Expected>>& rows) {
  const auto all = signatures(scene, false);
  for (const auto& row : rows) check(all, row.front().suspect, row);
}

Scene on_a_pole() {
  Scene scene;
  scene.antenna.vertical_parts_m = {{"pole", 1.8}, {"adapter", 0.071}};
  scene.antenna_height_m = 1.871;
  return scene;
}

TEST_CASE("frames: each vector as it is, known to 15 mm and a hundredth of its length") {
  Scene scene;
  scene.frames = {{FrameMistake::source_frame, {-1.0, 2.0, -2.0}, "really in ITRF2020", "ask A"},
                  {FrameMistake::source_frame, {0.3, 0.0, 0.4}, "really in ITRF2014", "ask B"},
                  {FrameMistake::shifted_twice, {1.0, -2.0, 2.0}, "already in NAD83(2011)", "ask C"},
                  {FrameMistake::mark_frame, {0.0, 0.0, 0.1}, "the mark is in ITRF2020", "ask D"}};
  // Lengths 3, 0.5, 3 and 0.1 m; the share of the length is spread over three axes.
  const auto sigma = [](double length_m) { return std::sqrt(0.015 * 0.015 + 0.01 * 0.01 * length_m * length_m / 3); };
  const double s3 = sigma(3), half = sigma(0.5), tenth = sigma(0.1);
  using enum Suspect;
  check(scene, {{{frame_swapped, 0.075, {-1, 2, -2}, {s3, s3, s3}, true, "really in ITRF2020", "ask A"},
                 {frame_swapped, 0.075, {0.3, 0, 0.4}, {half, half, half}, true, "really in ITRF2014", "ask B"}},
                {{shifted_twice, 0.12, {1, -2, 2}, {s3, s3, s3}, true, "already in NAD83(2011)", "ask C"}},
                {{mark_frame, 0.03, {0, 0, 0.1}, {tenth, tenth, tenth}, false, "the mark is in ITRF2020", "ask D"}}});
}

TEST_CASE("a missing epoch spreads along 15 years of the plate's motion, to either side") {
  Scene scene;
  CHECK(signatures(scene, false).size() > 0);
  scene.plate_motion_m_per_year = geodesy::Enu{-0.016, -0.003, 0.001};
  const auto all = signatures(scene, false);
  check(all, Suspect::epoch,
        {{Suspect::epoch,
          0.08,
          {0, 0, 0},
          {std::hypot(0.016 * 15, std::sqrt(1e-5)), std::hypot(0.003 * 15, std::sqrt(1e-5)), std::hypot(0.015, 0.01)},
          true,
          "an epoch is missing or wrong",
          "compare the coordinate epochs"}});
  for (const Signature& one : all) {
    if (one.suspect == Suspect::epoch) CHECK(one.spread[0][1] == doctest::Approx(0.016 * 0.003 * 225));
  }
}

TEST_CASE("the antenna: not subtracted, subtracted twice, in the other unit, a section more or less, a part twice") {
  Scene scene = on_a_pole();
  scene.mark_height_m = 250.0;
  constexpr double kFoot = 0.3048;  // the international foot, NIST SP 811
  const double h = 1.871, z = 250.0;
  const Vector3 mm3{1e-4, 1e-4, 0.003}, mm2{1e-4, 1e-4, 0.002};
  const Vector3 sheet{1e-4, 1e-4, 0.003 + 2e-6 * 250};
  const auto up = [](double up_m) { return Vector3{0, 0, up_m}; };
  using enum Suspect;
  const char* const typed = "the antenna height was read in feet and typed as metres";
  const char* const taken = "the antenna height was read in metres and taken as feet";
  const char* const tape = "measure the pole again with a metric tape";
  const char* const other_side = "the mark's height is in feet on one side, metres on the other";
  std::vector<Expected> sections;
  for (const double length_m : {0.20, 0.25, 0.30, 0.50}) {
    sections.push_back({antenna_section, 0.0125, up(length_m), mm3, true, "the pole stood 0.", "measure the pole"});
    sections.push_back({antenna_section, 0.0125, up(-length_m), mm3, true, "the pole stood 0.", "measure the pole"});
  }
  check(scene,
        {{{antenna_ignored, 0.08, up(h), mm3, true, "the antenna height of 1.871 m was not subtracted where it matters",
           "look whether already_reduced_by_receiver is set"}},
         {{antenna_doubled, 0.05, up(-h), mm3, true, "the antenna height of 1.871 m was subtracted twice",
           "look whether the receiver already gives the height of the mark"}},
         {{feet_for_metres, 0.01, up(h * kFoot - h), mm3, true, typed, tape},
          {feet_for_metres, 0.01, up(h - h / kFoot), mm3, true, typed, tape},
          {feet_for_metres, 0.01, up(h / kFoot - h), mm3, true, taken, tape},
          {feet_for_metres, 0.01, up(h - h * kFoot), mm3, true, taken, tape},
          {feet_for_metres, 0.01, up(z * kFoot - z), sheet, false, other_side, "read the unit of the height"},
          {feet_for_metres, 0.01, up(z / kFoot - z), sheet, false, other_side, "read the unit of the height"}},
         {{phase_offset, 0.03, up(-0.071), mm2, true, "the offset \"adapter\" of 0.071 m was subtracted twice",
           "look whether the receiver knows the antenna's phase centre itself"},
          {phase_offset, 0.03, up(0.071), mm2, true, "the offset \"adapter\" of 0.071 m was left out",
           "add up the parts of the antenna height again"}},
         sections});
  const auto all = signatures(scene, false);
  std::vector<std::string> said;
  for (const Signature& one : all) {
    if (one.suspect == antenna_section && std::abs(one.mean[2]) == 0.25) said.push_back(one.what);
  }
  CHECK(said == std::vector<std::string>{"the pole stood 0.25 m higher than configured: one section",
                                         "the pole stood 0.25 m lower than configured: one section"});
}

TEST_CASE("a part of the antenna height is an adapter up to 15 cm, and a height of nothing is none") {
  const auto count = [](const Scene& scene, Suspect suspect) {
    const auto all = signatures(scene, false);
    return std::count_if(all.begin(), all.end(), [&](const Signature& s) { return s.suspect == suspect; });
  };
  struct Row {
    double part_m;
    int found;
  };
  for (const Row& row : {Row{0.15, 2}, Row{0.151, 0}, Row{0.0, 0}, Row{-0.02, 0}}) {
    CAPTURE(row.part_m);
    Scene scene;
    scene.antenna.vertical_parts_m = {{"part", row.part_m}};
    CHECK(count(scene, Suspect::phase_offset) == row.found);
  }
  CHECK(count(Scene{}, Suspect::antenna_ignored) == 0);
  CHECK(count(Scene{}, Suspect::feet_for_metres) == 0);
  CHECK(count(on_a_pole(), Suspect::antenna_ignored) == 1);
  CHECK(count(on_a_pole(), Suspect::feet_for_metres) == 4);  // without the height on the mark's sheet
}

TEST_CASE("a slant reading: taken as vertical, with and without the plane's offset; the offset twice or left out") {
  Scene scene;
  scene.antenna.slant_m = config::Slant{1.900, 0.190, 0.045};
  scene.antenna_height_m = 1.935;
  const Vector3 mm2{1e-4, 1e-4, 0.002};
  using enum Suspect;
  const char* const anew = "measure the height anew, once slant and once with a plumb line";
  check(
      scene,
      {{{slant_as_vertical, 0.025, {0, 0, 0.035}, mm2, true, "the slant reading was taken as a vertical height", anew},
        {slant_as_vertical,
         0.025,
         {0, 0, -0.010},
         mm2,
         true,
         "the slant reading plus the plane's offset was taken as vertical",
         anew}},
       {{phase_offset,
         0.03,
         {0, 0, -0.045},
         mm2,
         true,
         "the offset of the measuring plane was used twice",
         "look whether the receiver knows the antenna's phase centre itself"},
        {phase_offset,
         0.03,
         {0, 0, 0.045},
         mm2,
         true,
         "the offset of the measuring plane was left out",
         "look up where the measuring mark of the antenna lies"}}});
  scene.antenna.slant_m->plane_to_phase_centre_m = 0;
  for (const Signature& one : signatures(scene, false)) CHECK(one.suspect != phase_offset);
}

TEST_CASE("the geoid: the other kind of height, the other sign, another frame, a coarse model") {
  Scene scene;
  scene.geoid_height_m = -34.2;
  scene.receiver_geoid_m = -33.8;
  scene.frame_shift_up_m = 0.9;
  const Vector3 cm5{1e-4, 1e-4, 0.05}, mm15{1e-4, 1e-4, 0.015}, cm{1e-4, 1e-4, 0.01};
  using enum Suspect;
  const char* const kind = "an ellipsoid height is compared with an orthometric one";
  const char* const sign = "the geoid height was applied with the wrong sign";
  const char* const frame = "the geoid grid was used under another frame than it is made for";
  const char* const coarse = "heights come from a coarse geoid, such as the receiver's built-in one";
  const char* const separation = "compare the separation that the receiver prints";
  check(scene, {{{height_kind, 0.04, {0, 0, -34.2}, cm5, true, kind, "read the kind of height on the mark's sheet"},
                 {height_kind, 0.04, {0, 0, 34.2}, cm5, true, kind, "read the kind of height on the mark's sheet"}},
                {{geoid_sign, 0.02, {0, 0, -68.4}, cm5, true, sign, "compute one height by hand"},
                 {geoid_sign, 0.02, {0, 0, 68.4}, cm5, true, sign, "compute one height by hand"}},
                {{geoid_frame, 0.015, {0, 0, 0.9}, mm15, true, frame, "read in the grid's description"},
                 {geoid_frame, 0.015, {0, 0, -0.9}, mm15, true, frame, "read in the grid's description"}},
                {{coarse_geoid, 0.06, {0, 0, -0.4}, cm, true, coarse, separation}}});
  // Without the receiver's separation only its usual size is known, 0.6 m.
  scene.receiver_geoid_m.reset();
  check(scene, {{{coarse_geoid, 0.04, {0, 0, 0}, {1e-4, 1e-4, 0.6}, true, coarse, separation}}});
  // A shift of two centimetres is none.
  for (const double shift_m : {0.02, -0.02, 0.0201, -0.0201}) {
    CAPTURE(shift_m);
    scene.frame_shift_up_m = shift_m;
    const auto all = signatures(scene, false);
    const auto found = std::count_if(all.begin(), all.end(), [](const auto& s) { return s.suspect == geoid_frame; });
    CHECK(found == (std::abs(shift_m) > 0.02 ? 2 : 0));
  }
}

TEST_CASE("the wrong foot moves by two parts in a million of the grid coordinates, turned to true north") {
  // The US survey foot is 1200/3937 m, the international one 0.3048 m (NIST SP 811): 1.999996 parts in a million apart.
  Scene scene;
  scene.easting_m = 8'000'000;
  scene.northing_m = 500'000;
  scene.convergence_deg = 30;
  const double e = 16.0, n = 1.0, c = std::sqrt(3) / 2, d = 0.5;
  const Vector3 moved{c * e + d * n, -d * e + c * n, 0}, other{-moved[0], -moved[1], 0};
  const double sigma = std::sqrt(1e-6 + 1e-5 * (e * e + n * n));
  const char* const says = "grid coordinates were turned into metres with the wrong foot";
  const char* const read = "read on the mark's sheet which foot";
  check(scene, {{{Suspect::survey_foot, 0.02, moved, {sigma, sigma, 0.001}, true, says, read},
                 {Suspect::survey_foot, 0.02, other, {sigma, sigma, 0.001}, true, says, read}}});
  scene.northing_m.reset();
  for (const Signature& one : signatures(scene, false)) CHECK(one.suspect != Suspect::survey_foot);
}

TEST_CASE("of any size: the base, and this mark alone, only where there are other marks") {
  const Scene scene;
  for (const Signature& one : signatures(scene, false)) {
    CHECK(one.suspect != Suspect::base_offset);
    CHECK(one.suspect != Suspect::mark_disturbed);
  }
  const auto all = signatures(scene, true);
  std::vector<Expected> base, disturbed;
  for (const double size_m : {0.03, 0.1, 0.3, 1.0, 3.0}) {
    const Vector3 sigma{size_m, size_m, size_m};
    base.push_back(
        {Suspect::base_offset, 0.016, {}, sigma, true, "the base's coordinates are off", "check the coordinates"});
    disturbed.push_back({Suspect::mark_disturbed, 0.016, {}, sigma, false, "this mark has moved", "look at the mark"});
  }
  check(all, Suspect::base_offset, base);
  check(all, Suspect::mark_disturbed, disturbed);
  CHECK(kChanceWeight == 0.30);
  CHECK(kAnythingWeight == 0.02);
}

TEST_CASE("a bubble leans 2 cm on 2 m, as far as a turn test has not measured it") {
  Scene scene;
  const char* const leans = "the pole leans while its bubble says it stands";
  const auto expect = [&](double height_m, double sigma_m) {
    CAPTURE(height_m);
    scene.antenna_height_m = height_m;
    check(scene, {{{Suspect::bubble, 0.06, {0, 0, 0}, {sigma_m, sigma_m, 1e-4}, false, leans, "make the turn test"}}});
  };
  expect(2.0, 0.02);
  expect(1.0, 0.01);
  expect(0.5, 0.005);
  expect(0.1, 0.005);  // no pole is shorter
  // Measured to 1.5 cm: what was expected and what was seen share by their weights, 16 to 9.
  scene.antenna_height_m = 2.0;
  scene.turn = Turn{0.025, 0.0, 0.015, 0, 0, 0.001, true};
  scene.heading_deg = 90;  // right of the pole is south
  const double left = std::sqrt(0.64) * 0.015;
  check(scene, {{{Suspect::bubble, 0.06, {0, -0.016, 0}, {left, left, 1e-4}, false, leans, "adjust the bubble"}}});
}

}  // namespace
}  // namespace stillpoint::control
