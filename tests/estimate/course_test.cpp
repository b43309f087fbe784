#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "estimate/course.hpp"
#include "estimate/vectors.hpp"

using namespace stillpoint::estimate;

namespace {

struct Row {
  const char* series;
  Ticks ticks;
};

// data/second/expected.json: own computation of the formulas, apart from this code.
const Row kRows[] = {{"s01_mix_n120", {}},
                     {"s02_drift_31_sigma", {}},
                     {"s03_drift_4_sigma", {}},
                     {"s04_up_and_back", {}},
                     {"s05_lagging_claim", {}},
                     {"s06_coarse_altitude", {0, 0, 0.1}},
                     {"s07_five_decimals", {0.0125, 0.0185, 0}},
                     {"s08_optimistic_1_5", {}},
                     {"s09_refuted", {}},
                     {"s10_10hz_smooth", {}}};

/// Absolute where the expected value is zero; sums of thousands of terms leave 1e-9 of the largest part.
bool same(double value, double expected) {
  return std::abs(value - expected) <= 1e-9 * std::max(1.0, std::abs(expected));
}

struct Stay {
  Average average;
  Course plan, height;
};

Stay stay(const char* series) {
  Stay stay;
  const auto rows = vectors::table(std::string("second/") + series + ".csv");
  for (const auto& row : rows) {
    const Sample sample{row[1], row[2], row[3], row[4], row[5], row[6], row[7]};
    stay.average.add(sample);
    stay.plan.add(row[0], 2.0 / (row[4] + row[6]), row[1] - rows[0][1], row[2] - rows[0][2]);
    stay.height.add(row[0], 1.0 / row[7], row[3] - rows[0][3], 0);
  }
  return stay;
}

void check_axis(const char* series, const char* trust, const char* axis, const Evidence& evidence, const Course& course,
                const Form& inverse, int axes) {
  CAPTURE(series);
  CAPTURE(trust);
  CAPTURE(axis);
  const auto wanted = [&](const char* name) { return vectors::expected_second({series, trust, axis, name}); };
  CHECK(same(evidence.scatter, wanted("S")));
  CHECK(same(evidence.doubt, wanted("sdS")));
  CHECK(same(evidence.seen, wanted("vts")));
  CHECK(same(course.line(inverse, axes), wanted("line")));
  CHECK(same(course.drift_sigmas(inverse), wanted("b")));
  CHECK(same(course.excursion(inverse), wanted("E2")));
  const Share share = unseen_share(evidence, course, inverse, axes, {std::string_view(trust) == "verified", 1.5});
  CHECK(same(share.raise, wanted("raise2")));
  CHECK(same(share.averaged, wanted("averaged")));
  CHECK(same(share.reach, wanted("reach")));
  CHECK(same(share.total, wanted("v")));
  CHECK(share.drifting == (wanted("drifting") == 1));
}

}  // namespace

TEST_CASE("line, track, reach and share equal the reference computation to 1e-9") {
  for (const Row& row : kRows) {
    const Stay s = stay(row.series);
    CHECK(same(s.plan.duration_s(), vectors::expected_second({row.series, "unverified", "T"})));
    for (const char* trust : {"unverified", "verified"}) {
      check_axis(row.series, trust, "horizontal", s.average.horizontal_evidence(row.ticks), s.plan,
                 s.average.inverse_horizontal(row.ticks), 2);
      check_axis(row.series, trust, "height", s.average.vertical_evidence(row.ticks), s.height,
                 s.average.inverse_vertical(row.ticks), 1);
    }
  }
}

TEST_CASE("a stay of one epoch has no line, no drift and no excursion") {
  Course course;
  course.add(7, 1, 3, 4);
  CHECK(course.duration_s() == 0);
  CHECK(course.line({1, 0, 1}, 2) == 0);
  CHECK(course.drift_sigmas({1, 0, 1}) == 0);
  CHECK(course.excursion({1, 0, 1}) == 0);
}

TEST_CASE("a block being filled counts from its half on") {
  Track track;
  track.add(3, 0);
  CHECK(track.farthest({1, 0, 1}, 0, 0) == 0);
  track.add(3, 0);
  CHECK(track.farthest({1, 0, 1}, 0, 0) == doctest::Approx(9));
}

TEST_CASE("the sixteenth full block halves the track and doubles its blocks") {
  // Blocks of 4 at 1, 3, 1, 3 …: joined they all lie at 2.
  Track track;
  for (int block = 0; block < 15; ++block)
    for (int i = 0; i < 4; ++i) track.add(block % 2 == 0 ? 1 : 3, 0);
  CHECK(track.farthest({1, 0, 1}, 0, 0) == doctest::Approx(9));
  for (int i = 0; i < 4; ++i) track.add(3, 0);
  CHECK(track.farthest({1, 0, 1}, 0, 0) == doctest::Approx(4));
}

TEST_CASE("a drift holds from 5 sigma of what scatters about the line, from 7.5 unless the scale is verified") {
  struct Drift {
    const char* name;
    double sigmas, about_line;
    bool verified, held;
  };
  const Drift rows[] = {{"just below, verified", 4.99, 0, true, false},
                        {"just above, verified", 5.01, 0, true, true},
                        {"just below the margin, not verified", 7.49, 0, false, false},
                        {"just above the margin, not verified", 7.51, 0, false, true},
                        {"twice the scatter bears just under twice the drift", 9.99, 4, true, false},
                        {"and no more", 10.01, 4, true, true}};
  for (const Drift& row : rows) {
    CAPTURE(row.name);
    Course course;
    for (int i = 0; i < 100; ++i) course.add(i, 1, row.sigmas * i / 100.0, 0);  // 100 s, its last second included
    const Form unit{1, 0, 0};
    const Share share = unseen_share({course.line(unit, 1) + row.about_line, 0, 0}, course, unit, 1, {row.verified});
    CHECK(share.drifting == row.held);
  }
}

TEST_CASE("a place visited holds beyond 8 sigma from the mean, beyond 12 unless the scale is verified") {
  struct Excursion {
    const char* name;
    double sigmas;
    bool verified, held;
  };
  const Excursion rows[] = {{"just within, verified", 7.99, true, false},
                            {"just beyond, verified", 8.01, true, true},
                            {"just within the margin, not verified", 11.99, false, false},
                            {"just beyond the margin, not verified", 12.01, false, true}};
  for (const Excursion& row : rows) {
    CAPTURE(row.name);
    Course course;
    // The middle 8 of 40 epochs lie away, so there is no slope, and four fifths of the way are from the mean.
    for (int i = 0; i < 40; ++i) course.add(i, 1, i / 8 == 2 ? row.sigmas / 0.8 : 0.0, 0);
    CHECK(unseen_share({0, 0, 0}, course, {1, 0, 0}, 1, {row.verified}).drifting == row.held);
  }
}
