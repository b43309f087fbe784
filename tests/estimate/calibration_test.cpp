#include <doctest/doctest.h>

#include <cmath>

#include "estimate/calibration.hpp"
#include "estimate/noise.hpp"

using namespace stillpoint::estimate;
using stillpoint::parse_utc;
using stillpoint::UtcTime;

namespace {

/// Visits of a receiver whose true error is `truth` times what it claims.
std::vector<MarkVisit> visited(const noise::Model& model, int visits, int seconds, double truth, const Scale& in_use,
                               int visits_a_mark, std::uint64_t set) {
  std::vector<MarkVisit> out;
  noise::Occupation occupation;
  for (int k = 0; k < visits; ++k) {
    noise::occupy(model, seconds, 1, noise::seed_of(set, 1, static_cast<std::uint64_t>(k)), occupation);
    Average average(in_use);
    double time_s = 0;
    for (Sample sample : occupation.samples) {
      sample.east_m = 50 + truth * sample.east_m;
      sample.north_m = 60 + truth * sample.north_m;
      sample.up_m = 70 + truth * sample.up_m;
      average.add(sample, time_s++);
    }
    out.push_back({k / visits_a_mark, average.result(), 50, 60, 70, true});
  }
  return out;
}

}  // namespace

TEST_CASE("the scale of a receiver that claims 1.5 times too little is found, whatever its correlation") {
  const noise::Model models[] = {{"white", 1},
                                 {"lasting 30 s", 0, 1, 30},
                                 {"lasting 300 s", 0, 1, 300},
                                 {"white and a constant offset", 0.8, 0, 0, 0.2}};
  for (const noise::Model& model : models) {
    for (const double in_use : {1.0, 1.5}) {
      CAPTURE(model.name);
      CAPTURE(in_use);
      const Scale scale{in_use, 0.02, 0.03};
      const auto marks = calibrate_on_marks(visited(model, 400, 60, 1.5, scale, 40, 1), scale);
      REQUIRE(marks);
      CHECK(marks->horizontal.value == doctest::Approx(1.5).epsilon(0.05));
      CHECK(marks->vertical.value == doctest::Approx(1.5).epsilon(0.07));
      CHECK(marks->error_scale == std::max(marks->horizontal.upper80, marks->vertical.upper80));
      CHECK(marks->marks == 10);
      const auto repeats = calibrate_on_repeats(visited(model, 400, 60, 1.5, scale, 10, 2), scale);
      REQUIRE(repeats);
      CHECK(repeats->horizontal.value == doctest::Approx(1.5).epsilon(0.06));
      CHECK_FALSE(repeats->against_truth);
    }
  }
}

TEST_CASE("the interval covers the true scale in about 95 of 100 calibrations when errors last through a visit") {
  int covered = 0;
  for (std::uint64_t set = 0; set < 300; ++set) {
    const auto c = calibrate_on_marks(visited({"lasting", 0, 1, 3000}, 12, 20, 1.5, {}, 3, 10 + set), {});
    REQUIRE(c);
    covered += c->horizontal.low <= 1.5 && 1.5 <= c->horizontal.high;
  }
  CHECK(covered >= 273);  // 91 %
  CHECK(covered <= 297);
}

TEST_CASE("visits of independent epochs narrow no interval below what was seen") {
  const auto c = calibrate_on_marks(visited({"white", 1}, 12, 60, 1.5, {}, 3, 7), {});
  REQUIRE(c);
  CHECK(c->horizontal.low < 1.5);
  CHECK(c->horizontal.high > 1.5);
}

TEST_CASE("too little to calibrate with is refused in words") {
  const auto few = calibrate_on_repeats(visited({"white", 1}, 9, 10, 1, {}, 9, 3), {});
  REQUIRE_FALSE(few);
  CHECK(few.error().text.find("Only 9 repeat visits, at least 10 are needed") == 0);
  CHECK_FALSE(calibrate_on_marks({}, {}));
  const MarkVisit empty{};
  CHECK_FALSE(calibrate_on_marks({&empty, 1}, {}));
  // Ten visits to ten marks are no repeats.
  CHECK_FALSE(calibrate_on_repeats(visited({"white", 1}, 12, 10, 1, {}, 1, 3), {}));
}

TEST_CASE("the line to paste names the scale, its interval and what it rests on") {
  Calibration c;
  c.visits = 12;
  c.horizontal = {1.321, 1.047, 1.779, 1.482};
  c.vertical = {1.1, 0.9, 1.5, 1.3};
  c.error_scale = 1.482;
  const UtcTime until = *parse_utc("2026-06-03T14:05:10Z");
  const std::string evidence = "\nerror_scale_evidence = { visits = 12, until = 2026-06-03 }";
  CHECK(toml_lines(c, until) ==
        "error_scale = 1.48  # best guess 1.32, 1.05 to 1.78 at 95 %, 12 visits to known marks" + evidence);
  c.against_truth = false;
  CHECK(toml_lines(c, until) ==
        "error_scale = 1.48  # best guess 1.32, 1.05 to 1.78 at 95 %, 12 repeat visits without truth" + evidence);
  c.visits = 9;  // too few to verify it
  CHECK(toml_lines(c, until).find("evidence") == std::string::npos);
}

TEST_CASE("the upper limit lies above the best guess by the reference's factor") {
  // data/second/expected.json, "scale_upper": k √(ν/χ²_0.2(ν)), ν = 2K in plan, K in height.
  struct Row {
    int visits;
    double plan, height;
  };
  const Row rows[] = {{10, 1.1712766422268364, 1.2721493991209158},
                      {20, 1.1120562003978578, 1.1712766422268364},
                      {40, 1.07515275660499, 1.1120562003978578}};
  for (const Row& row : rows) {
    CAPTURE(row.visits);
    const auto c = calibrate_on_marks(visited({"white", 1}, row.visits, 20, 1, {}, 1, 5), {});
    REQUIRE(c);
    CHECK(c->horizontal.upper80 / c->horizontal.value == doctest::Approx(row.plan).epsilon(1e-9));
    CHECK(c->vertical.upper80 / c->vertical.value == doctest::Approx(row.height).epsilon(1e-9));
  }
}

TEST_CASE("coarse digits do not make a scale too large") {
  // Heights of 12 mm printed to 0.1 m: what scatters and what is off is the digits.
  std::vector<MarkVisit> visits;
  noise::Normals normals(5);
  for (int k = 0; k < 400; ++k) {
    Average average;
    const double phase_m = normals.uniform();
    for (int i = 0; i < 30; ++i) {
      const double up_m = std::round((phase_m + 0.012 * normals.normal()) * 10) / 10 - phase_m;
      average.add({0.012 * normals.normal(), 0.012 * normals.normal(), up_m, 1.44e-4, 0, 1.44e-4, 1.44e-4, {0, 0, 0.1}},
                  i);
    }
    visits.push_back({k, average.result(), 0, 0, 0, true});
  }
  const auto c = calibrate_on_marks(visits, {});
  REQUIRE(c);
  CHECK(c->vertical.value < 1.5);  // 2.6 with the digits in it
  CHECK(c->vertical.value > 0.5);
}

TEST_CASE("chi-square quantiles equal the table") {
  // The last row by the normal approximation ν ± 1.96·√(2ν) (+ 1.9).
  // NIST/SEMATECH e-Handbook 1.3.6.7.4, from memory.
  struct Row {
    int degrees;
    double lower, upper;  // 2.5 % and 97.5 %
  };
  const Row rows[] = {{1, 0.000982, 5.024}, {2, 0.0506, 7.378},   {5, 0.831, 12.833},         {10, 3.247, 20.483},
                      {24, 12.401, 39.364}, {60, 40.482, 83.298}, {100000, 99125.3, 100878.5}};
  for (const Row& row : rows) {
    CAPTURE(row.degrees);
    CHECK(chi_square_quantile(0.025, row.degrees) == doctest::Approx(row.lower).epsilon(0.001));
    CHECK(chi_square_quantile(0.975, row.degrees) == doctest::Approx(row.upper).epsilon(0.001));
  }
}
