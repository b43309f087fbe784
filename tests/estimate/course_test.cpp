#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "estimate/average.hpp"
#include "estimate/vectors.hpp"

using namespace stillpoint::estimate;

namespace {

struct Row {
  const char* series;
  Ticks ticks{};
  double floor_m = 0, floor_up_m = 0;
};

// data/second/expected.json: own computation of the formulas, apart from this code.
const Row kRows[] = {{"s01_mix_n120"},
                     {"s02_drift_31_sigma"},
                     {"s03_drift_4_sigma"},
                     {"s04_up_and_back"},
                     {"s05_lagging_claim"},
                     {"s06_coarse_altitude", {0, 0, 0.1}},
                     {"s07_five_decimals", {0.0125, 0.0185, 0}, 0.004, 0.006},
                     {"s08_optimistic_1_5"},
                     {"s09_refuted"},
                     {"s10_10hz_smooth"}};

/// Absolute where the expected value is zero; sums of thousands of terms leave 1e-9 of the largest part.
bool same(double value, double expected) {
  return std::abs(value - expected) <= 1e-9 * std::max(1.0, std::abs(expected));
}

/// The epochs of a series that `taken` accepts; columns as in the file.
template <class Taken>
Average average_of(const Row& row, const Scale& scale, const Taken& taken) {
  Average average(scale);
  for (const auto& cells : vectors::table(std::string("second/") + row.series + ".csv")) {
    if (!taken(cells)) continue;
    average.add({cells[1], cells[2], cells[3], cells[4], cells[5], cells[6], cells[7], row.ticks}, cells[0]);
  }
  return average;
}

Average average_of(const Row& row, bool verified, double error_scale = 1) {
  const Scale scale{error_scale, row.floor_m, row.floor_up_m, {verified, 1.5}};
  return average_of(row, scale, [](const auto&) { return true; });
}

/// The reference takes the polynomial fit to Harter's factor, this code the integral.
double radius_by_fit(double ee, double en, double nn) {
  const double middle = 0.5 * (ee + nn), spread = std::hypot(0.5 * (ee - nn), en);
  const double c = std::sqrt((middle - spread) / (middle + spread));
  return 1.05 * (1.960790 + c * (0.004071 + c * (0.114276 + c * 0.371625))) * std::sqrt(middle + spread);
}

/// Looks up what the reference says of one series and trust, in plan or in height.
struct Wanted {
  const char* series;
  const char* trust;
  const char* axis;
  double operator()(const char* name) const { return vectors::expected_second({series, trust, axis, name}); }
};

void check_share(const Wanted& wanted, const Evidence& evidence, const Course& course, const Form& inverse, int axes,
                 const Trust& trust) {
  CAPTURE(wanted.series);
  CAPTURE(wanted.trust);
  CAPTURE(wanted.axis);
  CHECK(same(evidence.scatter, wanted("S")));
  CHECK(same(evidence.doubt, wanted("sdS")));
  CHECK(same(evidence.seen, wanted("vts")));
  CHECK(same(course.line(inverse, axes), wanted("line")));
  CHECK(same(course.drift_sigmas(inverse), wanted("b")));
  CHECK(same(course.excursion(inverse), wanted("E2")));
  const Share share = unseen_share(evidence, course, inverse, axes, trust);
  CHECK(same(share.raise, wanted("raise2")));
  CHECK(same(share.averaged, wanted("averaged")));
  CHECK(same(share.reach, wanted("reach")));
  CHECK(same(share.total, wanted("v")));
  CHECK(share.drifting == (wanted("drifting") == 1));
}

void check_estimate(const char* series, const char* trust, const Estimate& e) {
  CAPTURE(series);
  CAPTURE(trust);
  const Wanted plan{series, trust, "horizontal"}, height{series, trust, "height"};
  CHECK(same(e.ee_m2, vectors::expected_second({series, trust, "horizontal", "Cov"}, 0)));
  CHECK(same(e.en_m2, vectors::expected_second({series, trust, "horizontal", "Cov"}, 1)));
  CHECK(same(e.nn_m2, vectors::expected_second({series, trust, "horizontal", "Cov"}, 2)));
  CHECK(same(e.uu_m2, height("Cov")));
  CHECK(same(radius_by_fit(e.ee_m2, e.en_m2, e.nn_m2), plan("r95")));
  CHECK(std::abs(e.error95_horizontal_m / plan("r95") - 1) < 0.0042 / 1.96);
  CHECK(same(e.error95_vertical_m, height("r95")));
  CHECK(same(e.effective_epochs, 1 / plan("averaged")));
  CHECK(e.claim_refuted_horizontal == (plan("refuted") == 1));
  CHECK(e.claim_refuted_vertical == (height("refuted") == 1));
  CHECK(e.motion.drifting == (plan("drifting") == 1));
  CHECK(e.motion_up.drifting == (height("drifting") == 1));
}

}  // namespace

TEST_CASE("line, track, reach and share equal the reference computation to 1e-9") {
  for (const Row& row : kRows) {
    for (const bool verified : {false, true}) {
      const char* trust = verified ? "verified" : "unverified";
      const Average average = average_of(row, verified);
      CHECK(same(average.course().duration_s(), vectors::expected_second({row.series, trust, "T"})));
      check_share({row.series, trust, "horizontal"}, average.horizontal_evidence(), average.course(),
                  average.inverse_horizontal(), 2, {verified, 1.5});
      check_share({row.series, trust, "height"}, average.vertical_evidence(), average.course_up(),
                  average.inverse_vertical(), 1, {verified, 1.5});
    }
  }
}

TEST_CASE("covariance, 95 % error, effective epochs and what holds equal the reference computation to 1e-9") {
  for (const Row& row : kRows) {
    check_estimate(row.series, "unverified", average_of(row, false).result());
    check_estimate(row.series, "verified", average_of(row, true).result());
  }
  check_estimate("s08_optimistic_1_5", "verified_scale_1.5", average_of(kRows[7], true, 1.5).result());
}

TEST_CASE("what moved is told in metres, with the time it took and the claim") {
  const Estimate e = average_of(kRows[1], false).result();
  REQUIRE(e.motion.drifting);
  // 0.25 m in 300 s at a claim of 8 mm, with the noise of the series.
  CHECK(e.motion.drift_m ==
        doctest::Approx(vectors::expected_second({"s02_drift_31_sigma", "unverified", "b"}) * 0.008));
  CHECK(e.motion.drift_m == doctest::Approx(0.25).epsilon(0.05));
  CHECK(e.motion.duration_s == doctest::Approx(300));
  CHECK(e.motion.claim_m == doctest::Approx(0.008));
  CHECK_FALSE(e.motion_up.drifting);
}

TEST_CASE("flags: what decided the error, and digits coarser than the claim") {
  struct Flags {
    const char* name;
    std::size_t row;
    bool verified, unproven, coarse;
  };
  const Flags rows[] = {{"not proven: the floor decides", 0, false, true, false},
                        {"proven: it does not", 0, true, false, false},
                        {"not proven, and a drift decides in plan, the floor in height", 1, false, true, false},
                        {"altitude with one decimal", 5, true, false, true},
                        {"five decimals of a minute at 8 mm", 6, true, false, true}};
  for (const Flags& row : rows) {
    CAPTURE(row.name);
    const Estimate e = average_of(kRows[row.row], row.verified).result();
    CHECK(e.claim_unproven == row.unproven);
    CHECK(e.coarse_digits == row.coarse);
  }
}

TEST_CASE("a stay stops at the reference's epoch when both wanted errors are reached, and not before") {
  // s13: verified, 0.85 m and 1.2 m wanted, from the fifth epoch on; the reference's radii by the fit.
  Average average({1, 0, 0, {true, 1.5}});
  int stopped = 0, epoch = 0;
  for (const auto& cells : vectors::table("second/s13_stopping.csv")) {
    average.add({cells[1], cells[2], cells[3], cells[4], cells[5], cells[6], cells[7]}, cells[0]);
    const Estimate e = average.result();
    const double plan_m = radius_by_fit(e.ee_m2, e.en_m2, e.nn_m2);
    if (++epoch == 30) {
      CHECK(same(plan_m, 1.2129262399792833));
      CHECK(same(e.error95_vertical_m, 1.6034152619535573));
    }
    if (stopped != 0 || epoch < 5 || plan_m > 0.85 || e.error95_vertical_m > 1.2) continue;
    stopped = epoch;
    CHECK(same(e.east_m, 100.04824));
    CHECK(same(plan_m, vectors::expected_second({"s13_stopping", "stop", "r95_h"})));
    CHECK(same(e.error95_vertical_m, vectors::expected_second({"s13_stopping", "stop", "r95_u"})));
  }
  CHECK(stopped == vectors::expected_second({"s13_stopping", "stop", "n"}));
}

TEST_CASE("two courses joined have the line of one, and their tracks side by side") {
  Course whole, first, second;
  for (int i = 0; i < 90; ++i) {
    const double weight = 1 + 0.1 * (i % 3), east_m = 0.01 * i + 0.3 * ((i * 7) % 5), north_m = 0.2 * ((i * 3) % 4);
    whole.add(i, weight, east_m, north_m);
    (i < 40 ? first : second).add(i, weight, east_m, north_m);
  }
  const Form form{2, 0.5, 1};
  // In either order: a level that goes on after a false fix may have begun before.
  for (const bool in_order : {true, false}) {
    Course joined = in_order ? first : second;
    joined.join(in_order ? second : first);
    CHECK(joined.epochs() == 90);
    CHECK(same(joined.duration_s(), whole.duration_s()));
    CHECK(same(joined.line(form, 2), whole.line(form, 2)));
    CHECK(same(joined.drift_sigmas(form), whole.drift_sigmas(form)));
    CHECK(joined.excursion(form) > 0);
  }
  Course away;
  for (int i = 90; i < 94; ++i) away.add(i, 1e-9, 100, 0);  // a block far off that weighs next to nothing
  Course joined = whole;
  joined.join(away);
  CHECK(joined.excursion({1, 0, 1}) > 98 * 98);
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
