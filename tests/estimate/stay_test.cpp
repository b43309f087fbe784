#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

#include "estimate/noise.hpp"
#include "estimate/stay.hpp"
#include "estimate/vectors.hpp"

using namespace stillpoint::estimate;

namespace {

const Class kNetwork{1, 4, {}};
const Class kSbas{2, 2, {}};

bool same(double value, double expected, double relative) {
  return std::abs(value - expected) <= relative * std::abs(expected);
}

/// Epochs at 1 Hz of a receiver that claims 1 cm and scatters by it.
class Feed {
 public:
  explicit Feed(std::uint64_t seed, double sigma_m = 0.01) : normals_(seed), sigma_m_(sigma_m) {}
  Sample at(double east_m, double north_m = 0, double up_m = 0) {
    const double s2 = sigma_m_ * sigma_m_;
    return {east_m + noise(), north_m + noise(), up_m + noise(), s2, 0, s2, s2};
  }
  Placed give(Stay& stay, const Class& cls, const Sample& sample) {
    return stay.observe(cls, sample, 1000 * second_++);
  }
  void level(Stay& stay, const Class& cls, int epochs, double east_m, double up_m = 0) {
    for (int i = 0; i < epochs; ++i) give(stay, cls, at(east_m, 0, up_m));
  }
  void pause(int seconds) { second_ += seconds; }

 private:
  double noise() { return sigma_m_ * std::clamp(normals_.normal(), -2.0, 2.0); }
  noise::Normals normals_;
  double sigma_m_;
  std::int64_t second_ = 0;
};

}  // namespace

TEST_CASE("the gate refuses the four gross outliers and the rest equals the reference") {
  Stay stay;
  std::vector<int> refused;
  int epoch = 0;
  for (const Sample& sample : vectors::series("v08_outliers_n100")) {
    if (stay.observe(kNetwork, sample, epoch * 1000).placement == Placement::outlier) refused.push_back(epoch);
    ++epoch;
  }
  CHECK(refused == std::vector<int>{7, 41, 42, 88});
  const char* const series = "v08_outliers_n100+gate";
  const Conclusion conclusion = stay.conclude({});
  CHECK_FALSE(conclusion.unresolved);
  CHECK(conclusion.estimate.epochs == 96);
  CHECK(same(conclusion.estimate.east_m, vectors::expected(series, "E"), 1e-9));
  CHECK(same(conclusion.estimate.north_m, vectors::expected(series, "N"), 1e-9));
}

TEST_CASE("a step opens a segment at its first epoch and the stay is unresolved") {
  Stay stay;
  int epoch = 0, opened_at = -1, moved = 0;
  for (const Sample& sample : vectors::series("v09_step_n60")) {
    const Placed placed = stay.observe(kNetwork, sample, epoch * 1000);
    if (placed.moved_from_outlier > 0) opened_at = epoch, moved = placed.moved_from_outlier;
    ++epoch;
  }
  CHECK(opened_at == 44);
  CHECK(moved == 4);
  REQUIRE(stay.segments().size() == 2);
  CHECK(stay.segments()[0].epochs == 39);
  CHECK(stay.segments()[1].epochs == 20);
  CHECK(stay.segments()[1].first_ms == 40000);
  CHECK(stay.segments()[1].last_ms == 59000);
  CHECK(same(stay.estimate_of(1).east_m, 104.307115, 1e-12));  // "seg2" of the reference
  CHECK(same(stay.estimate_of(1).north_m, 201.16093, 1e-12));
  const Conclusion conclusion = stay.conclude({});
  CHECK(conclusion.unresolved);
  CHECK(conclusion.segment == 0);
  CHECK(conclusion.disagreeing == std::vector<int>{1});
}

TEST_CASE("unresolved: the radius reaches from the kept level around every other") {
  Stay stay;
  Feed feed(1);
  feed.level(stay, kNetwork, 60, 0);
  feed.level(stay, kNetwork, 30, 2.0);
  feed.level(stay, kNetwork, 20, 0, -0.5);
  const Conclusion c = stay.conclude({});
  REQUIRE(c.unresolved);
  CHECK(c.disagreeing == std::vector<int>{1, 2});
  const Estimate kept = stay.estimate_of(0), step = stay.estimate_of(1), high = stay.estimate_of(2);
  CHECK(c.estimate.east_m == kept.east_m);
  const double apart_m = std::hypot(step.east_m - kept.east_m, step.north_m - kept.north_m);
  CHECK(c.separation_m == apart_m);
  CHECK(c.estimate.error95_horizontal_m == step.error95_horizontal_m + apart_m);
  CHECK(c.separation_up_m == std::abs(high.up_m - kept.up_m));
  CHECK(c.estimate.error95_vertical_m == high.error95_vertical_m + c.separation_up_m);
}

TEST_CASE("a wrong first epoch is left behind by the five that follow it") {
  Stay stay;
  Feed feed(2);
  CHECK(feed.give(stay, kNetwork, feed.at(3.0)).segment == 0);
  for (int i = 0; i < 4; ++i) CHECK(feed.give(stay, kNetwork, feed.at(0)).placement == Placement::outlier);
  const Placed fifth = feed.give(stay, kNetwork, feed.at(0));
  CHECK(fifth.segment == 1);
  CHECK(fifth.moved_from_outlier == 4);
  feed.level(stay, kNetwork, 20, 0);
  const Conclusion c = stay.conclude({});
  CHECK(c.segment == 1);
  CHECK_FALSE(c.unresolved);
  CHECK(c.estimate.epochs == 25);
  CHECK(std::abs(c.estimate.east_m) < 0.01);
}

TEST_CASE("four outliers that agree are no step and the next good epoch is averaged") {
  Stay stay;
  Feed feed(3);
  feed.level(stay, kNetwork, 20, 0);
  for (int i = 0; i < 4; ++i) CHECK(feed.give(stay, kNetwork, feed.at(1.0)).placement == Placement::outlier);
  CHECK(feed.give(stay, kNetwork, feed.at(0)).segment == 0);
  for (int i = 0; i < 4; ++i) CHECK(feed.give(stay, kNetwork, feed.at(1.0)).placement == Placement::outlier);
  CHECK(stay.segments().size() == 1);
}

TEST_CASE("five outliers that disagree are no step, and the sixth makes one with the last four") {
  Stay stay;
  Feed feed(4);
  feed.level(stay, kNetwork, 20, 0);
  for (const double east_m : {5.0, 1.0, 1.0, 1.0, 1.0}) {
    CHECK(feed.give(stay, kNetwork, feed.at(east_m)).placement == Placement::outlier);
  }
  const Placed sixth = feed.give(stay, kNetwork, feed.at(1.0));
  CHECK(sixth.segment == 1);
  CHECK(sixth.moved_from_outlier == 4);
  CHECK(stay.segments()[1].epochs == 5);
  CHECK(stay.segments()[1].first_ms == 21000);
}

TEST_CASE("an epoch that is wrong in height alone is an outlier") {
  Stay stay;
  Feed feed(5);
  feed.level(stay, kNetwork, 20, 0);
  const Placed placed = feed.give(stay, kNetwork, feed.at(0, 0, 0.2));
  CHECK(placed.placement == Placement::outlier);
  CHECK(placed.distance_sigma > 5);
}

TEST_CASE("after a false fix the first level goes on where it was left") {
  Stay stay;
  Feed feed(6);
  feed.level(stay, kNetwork, 30, 0);
  feed.level(stay, kNetwork, 10, 2.6);
  CHECK(feed.give(stay, kNetwork, feed.at(0)).segment == 0);
  feed.level(stay, kNetwork, 29, 0);
  REQUIRE(stay.segments().size() == 2);
  CHECK(stay.segments()[0].epochs == 60);
  CHECK(stay.segments()[1].epochs == 10);
}

TEST_CASE("a step as high as the gate is wide shows where epochs are independent") {
  // Five sigma: half of the epochs pass the gate one by one.
  Stay stay;
  Feed feed(7);
  feed.level(stay, kNetwork, 40, 0);
  feed.level(stay, kNetwork, 20, 0.045);
  REQUIRE(stay.segments().size() == 2);
  CHECK(stay.segments()[1].epochs >= 10);
  CHECK(stay.conclude({}).unresolved);
}

TEST_CASE("five epochs are asked for a quiet step by one that is two sigma off the running median") {
  // Independent errors of one sigma to either side: the median of the last 15 is at +1.
  const auto segments = [](double last_sigmas) {
    Stay stay;
    std::int64_t second = 0;
    const auto at = [&](double sigmas) {
      stay.observe(kNetwork, {0.01 * sigmas, 0, 0, 1e-4, 0, 1e-4, 1e-4}, 1000 * second++);
    };
    for (int i = 0; i < 60; ++i) at(i % 2 == 0 ? -1 : 1);
    for (int i = 0; i < 4; ++i) at(3.5);
    at(last_sigmas);
    return stay.segments().size();
  };
  CHECK(segments(2.99) == 1);
  CHECK(segments(3.01) == 2);
}

TEST_CASE("a step inside the gate shows by its jump where the error is smooth") {
  struct Row {
    const char* name;
    double step_m;
    std::size_t segments;
  };
  // The error swings by 1.2 sigma in 20 s, so that the gate is at its widest, 5 sigma; the claim is 1 cm.
  const Row rows[] = {
      {"4.5 sigma, less than the gate", 0.045, 2}, {"no step", 0, 1}, {"2 sigma, within the claim", 0.020, 1}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Stay stay;
    for (int i = 0; i < 80; ++i) {
      const double swing_m = 0.012 * std::sin(0.314 * i), east_m = swing_m + (i >= 50 ? row.step_m : 0);
      stay.observe(kNetwork, {east_m, swing_m, -swing_m, 1e-4, 0, 1e-4, 1e-4}, 1000 * i);
    }
    CHECK(stay.segments().size() == row.segments);
    CHECK(stay.conclude({}).unresolved == (row.segments == 2));
  }
}

TEST_CASE("a receiver that claims half its error is refuted, and seldom called a step") {
  int held = 0, refuted = 0;
  for (std::uint64_t seed = 0; seed < 40; ++seed) {
    noise::Occupation occupation;
    noise::occupy({"mixed", 0.35, 0.5, 30, 0.15}, 600, 1, seed, occupation);
    Stay stay;
    std::int64_t ms = 0;
    for (Sample sample : occupation.samples) {
      for (double* variance_m2 : {&sample.ee_m2, &sample.en_m2, &sample.nn_m2, &sample.uu_m2}) *variance_m2 /= 4;
      stay.observe(kNetwork, sample, ms += 1000);
    }
    const Conclusion c = stay.conclude({});
    held += c.unresolved;
    refuted += c.estimate.claim_refuted_horizontal || c.estimate.claim_refuted_vertical;
  }
  CHECK(refuted == 40);
  CHECK(held <= 3);  // about a quarter when levels were told apart by the claim alone
}

TEST_CASE("an error that wanders off and is refused five times is let in again, not called a step") {
  Stay stay;
  const auto at = [](double east_m) { return Sample{east_m, 0, 0, 1e-4, 0, 1e-4, 1e-4}; };
  std::int64_t second = 0;
  for (int i = 0; i < 20; ++i) stay.observe(kNetwork, at(0.001 * (i % 2)), 1000 * second++);
  // 3.2 sigma away is beyond 5 · 0.6 sigma, the narrowest gate, yet nearer than 3.5 sigma.
  for (int i = 0; i < 4; ++i)
    CHECK(stay.observe(kNetwork, at(0.0325), 1000 * second++).placement == Placement::outlier);
  const Placed fifth = stay.observe(kNetwork, at(0.0325), 1000 * second++);
  CHECK(fifth.segment == 0);
  CHECK(fifth.moved_from_outlier == 4);
  CHECK(stay.observe(kNetwork, at(0.033), 1000 * second++).segment == 0);
  CHECK(stay.segments()[0].epochs == 26);
}

TEST_CASE("segments that end up at one level are averaged together") {
  // A step that wanders back: what opened as a second level has the mean of the first.
  Stay stay;
  const auto at = [](double east_m) { return Sample{east_m, 0, 0, 1e-4, 0, 1e-4, 1e-4}; };
  std::int64_t second = 0;
  for (int i = 0; i < 20; ++i) stay.observe(kNetwork, at(0), 1000 * second++);
  for (int i = 0; i < 10; ++i) stay.observe(kNetwork, at(0.045), 1000 * second++);
  CHECK(stay.conclude({}).unresolved);
  for (double east_m = 0.045; east_m > -0.0001; east_m -= 0.002) stay.observe(kNetwork, at(east_m), 1000 * second++);
  for (int i = 0; i < 40; ++i) stay.observe(kNetwork, at(0), 1000 * second++);
  REQUIRE(stay.segments().size() == 2);
  const Conclusion c = stay.conclude({});
  CHECK_FALSE(c.unresolved);
  CHECK(c.joined.size() == 1);
  CHECK(c.estimate.epochs == stay.segments()[0].epochs + stay.segments()[1].epochs);
  CHECK(c.separation_m == 0);
}

TEST_CASE("two segments are one level up to 2.5 sigma of the mean of their claims, along any axis") {
  // Claims of one and of three: on the mean [2 1; 1 4] cm2 in plan one sigma is 1/sqrt(u' C^-1 u) along u, and sqrt(8)
  // cm in height.
  const Sample low{0, 0, 0, 1e-4, 0.5e-4, 2e-4, 4e-4}, high{0, 0, 0, 3e-4, 1.5e-4, 6e-4, 12e-4};
  struct Row {
    const char* name;
    double east_m, north_m, up_m;  ///< one sigma along this axis
  };
  const Row rows[] = {{"east", std::sqrt(1.75e-4), 0, 0},
                      {"north", 0, std::sqrt(3.5e-4), 0},
                      {"between them", std::sqrt(1.75e-4), std::sqrt(1.75e-4), 0},
                      {"up", 0, 0, std::sqrt(8e-4)}};
  // Opened at 4.5 sigma, the second level comes down until its mean is near 2.5.
  std::vector<double> course(12, 4.5);
  for (int i = 0; i < 60; ++i) course.push_back(4.5 - 0.08 * i);
  const double mean = std::accumulate(course.begin(), course.end(), 0.0) / static_cast<double>(course.size());
  for (const Row& row : rows) {
    for (const double sigmas : {2.498, 2.502}) {
      CAPTURE(row.name);
      CAPTURE(sigmas);
      Stay stay;
      std::int64_t second = 0;
      for (int i = 0; i < 20; ++i) stay.observe(kNetwork, low, 1000 * second++);
      for (const double along : course) {
        Sample sample = high;
        const double off = along * sigmas / mean;
        sample.east_m = off * row.east_m;
        sample.north_m = off * row.north_m;
        sample.up_m = off * row.up_m;
        stay.observe(kNetwork, sample, 1000 * second++);
      }
      REQUIRE(stay.segments().size() == 2);
      REQUIRE(stay.segments()[1].epochs == course.size());
      CHECK(stay.conclude({}).unresolved == (sigmas > 2.5));
    }
  }
}

TEST_CASE("classes are never mixed, and a class that returns goes on where it was left") {
  Stay stay;
  Feed feed(8);
  feed.level(stay, kSbas, 20, 0.7);
  feed.level(stay, kNetwork, 30, 0);
  feed.level(stay, kSbas, 20, 0.7);
  REQUIRE(stay.segments().size() == 2);
  CHECK(stay.segments()[0].class_key == kSbas.key);
  CHECK(stay.segments()[0].epochs == 40);
  CHECK(stay.segments()[1].epochs == 30);
  const Conclusion c = stay.conclude({});
  CHECK(c.segment == 1);
  CHECK_FALSE(c.unresolved);  // another class is not a disagreement
  CHECK(std::abs(c.estimate.east_m) < 0.01);
}

TEST_CASE("refusals of two classes do not add up to a step") {
  Stay stay;
  Feed feed(9);
  feed.level(stay, kNetwork, 20, 0);
  feed.level(stay, kSbas, 20, 0);
  for (int i = 0; i < 4; ++i) feed.give(stay, kNetwork, feed.at(1.0));
  for (int i = 0; i < 4; ++i) feed.give(stay, kSbas, feed.at(1.0));
  for (int i = 0; i < 4; ++i) feed.give(stay, kNetwork, feed.at(1.0));
  CHECK(stay.segments().size() == 2);
}

TEST_CASE("the kept class is the complete one, then the better rank, then the longest, never the smallest radius") {
  struct Row {
    const char* name;
    Class first;
    int first_epochs;
    Class second;
    int second_epochs;
    double second_sigma_m;
    int kept;
  };
  const Class equal{3, 4, {}};
  const Row rows[] = {
      {"complete beats rank", kSbas, 40, kNetwork, 10, 0.01, 0},
      {"rank beats epochs when both are complete", kSbas, 60, kNetwork, 30, 0.01, 1},
      {"rank beats epochs when neither is complete", kSbas, 20, kNetwork, 10, 0.01, 1},
      {"the first among equals, although the second has the smaller radius", kNetwork, 60, equal, 60, 0.002, 0},
      {"the first among equals with a larger second", kNetwork, 60, equal, 60, 0.05, 0},
      {"the longer one, although it has the larger radius", kNetwork, 60, equal, 70, 0.05, 1},
      {"the longer one, although it comes first and has the larger radius", kNetwork, 70, equal, 60, 0.002, 0},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Stay stay;
    Feed first(10), second(11, row.second_sigma_m);
    first.level(stay, row.first, row.first_epochs, 0);
    second.pause(100);
    second.level(stay, row.second, row.second_epochs, 0);
    CHECK(stay.conclude({30, 30000}).segment == row.kept);
  }
}

TEST_CASE("of three segments after gaps the longest is kept, not the one with the smallest printed error") {
  // data/second, s11: segments of 40, 70 and 55 epochs; the first prints the smallest error.
  Stay stay;
  for (const auto& row : vectors::table("second/s11_three_segments.csv")) {
    const Class cls{static_cast<int>(row[8]), 4, {1, 0, 0, {true, 1.5}}};
    stay.observe(cls, {row[1], row[2], row[3], row[4], row[5], row[6], row[7]}, std::llround(row[0] * 1000));
  }
  REQUIRE(stay.segments().size() == 3);
  CHECK(stay.estimate_of(0).error95_horizontal_m < stay.estimate_of(1).error95_horizontal_m);
  const Conclusion c = stay.conclude({30, 30000});
  CHECK(c.segment == vectors::expected_second({"s11_three_segments", "chosen"}));
  CHECK(same(c.estimate.east_m, 100.36669, 1e-12));
  CHECK(same(c.estimate.error95_vertical_m, 1.6334895732453236, 1e-9));
}

TEST_CASE("one step of the last digit is no outlier, no step and no second level") {
  struct Row {
    const char* name;
    double tick_m, second_m;
    std::size_t segments;
    bool unresolved;
  };
  // The claim is 12 mm; heights lie on 0.1 m and change by one or three of them half way.
  const Row rows[] = {{"one step of 0.1 m", 0.1, 0.1, 1, false},
                      {"three steps", 0.1, 0.3, 2, true},
                      {"the same 0.1 m with digits to the millimetre", 0.001, 0.1, 2, true}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Stay stay;
    for (int i = 0; i < 60; ++i) {
      const double up_m = i < 30 ? 0 : row.second_m;
      stay.observe(kNetwork, {0, 0, up_m, 1.44e-4, 0, 1.44e-4, 1.44e-4, {0.001, 0.001, row.tick_m}}, 1000 * i);
    }
    CHECK(stay.segments().size() == row.segments);
    CHECK(stay.conclude({}).unresolved == row.unresolved);
  }
}

TEST_CASE("duration counts the interval that the last epoch closes") {
  Stay stay;
  Feed feed(12);
  feed.level(stay, kSbas, 29, 0);
  feed.level(stay, kNetwork, 10, 0);
  CHECK(stay.interval_ms() == 1000);
  CHECK(stay.conclude({1, 29000}).segment == 0);  // 28 s apart + 1 s: complete
  CHECK(stay.conclude({1, 29001}).segment == 1);  // neither is: rank decides
}

TEST_CASE("nothing averaged is no segment") {
  const Stay stay;
  CHECK(stay.conclude({}).segment == -1);
  CHECK(stay.interval_ms() == 0);
}

TEST_CASE("a receiver that never agrees with itself stops at the most segments and says so") {
  Stay stay;
  Feed feed(13);
  for (int step = 0; step < 70; ++step) feed.level(stay, kNetwork, 6, 10.0 * step);
  CHECK(stay.segments().size() == Stay::kMostSegments);
  CHECK(stay.too_many_segments());
  CHECK(feed.give(stay, kNetwork, feed.at(0)).segment == 0);
}

TEST_CASE("an epoch that claims less than the window is judged by the window's claim") {
  Stay stay;
  Feed rough(14, 0.5);
  rough.level(stay, kNetwork, 20, 0);
  // 1 m off: two of the window's sigmas, a hundred of its own.
  CHECK(stay.observe(kNetwork, {1.0, 0, 0, 1e-4, 0, 1e-4, 1e-4}, 30000).placement == Placement::averaged);
}
