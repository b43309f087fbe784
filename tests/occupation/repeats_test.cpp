#include "occupation/repeats.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include "support/epochs.hpp"

namespace {

using namespace stillpoint;
using occupation::Point;

Point visit(int number, double minute, double north_m, double error_m) {
  Point p;
  p.name = "CUL-14";
  p.visit = number;
  p.status = occupation::PointStatus::accepted;
  p.frame = "EPSG:6319";
  p.source = "sbas";
  p.started_utc = UtcTime{static_cast<std::int64_t>(minute * 60'000)};
  p.finished_utc = UtcTime{p.started_utc->ms + 60'000};
  p.epochs_used = 60;
  occupation::Coordinates at;
  at.latitude_deg = 47.6 + north_m / 111'180.0;  // metres a degree of latitude there, from memory to 1e-3
  at.longitude_deg = -87.4;
  at.coordinate_epoch = 2026.42;
  const double variance_m2 = error_m * error_m / (1.05 * 2.4477 * 1.05 * 2.4477);
  at.covariance_enu_m2 = {variance_m2, 0, variance_m2, variance_m2};
  at.error95_horizontal_m = error_m;
  at.error95_vertical_m = error_m;
  p.at = at;
  return p;
}

std::optional<occupation::Combined> together(const std::vector<Point>& points) {
  std::vector<const Point*> visits;
  for (const Point& point : points) visits.push_back(&point);
  auto source = support::sbas();
  source.error_floor_m = {0, 0};
  return occupation::combine(visits, {source});
}

std::string left(const occupation::Combined& combined) {
  std::string out;
  for (const auto& each : combined.left_out) out += std::to_string(each.visit) + " " + each.why + ";";
  return out;
}

TEST_CASE("two equal independent visits halve the variance, but for a tenth in common, and meet half way") {
  // (1/4 + 1/4 + 0.1 · 1/4 · 2) v = 0.55 v, by hand; the visits' own distance is below what their errors allow.
  const auto combined = together({visit(1, 0, 0, 0.5), visit(2, 120, 0.1, 0.5)});
  REQUIRE(combined.has_value());
  CHECK(combined->name == "CUL-14");
  CHECK(combined->source == "sbas");
  CHECK(combined->frame == "EPSG:6319");
  CHECK(combined->counted == std::vector<int>{1, 2});
  CHECK(combined->at->error95_horizontal_m == doctest::Approx(0.5 * std::sqrt(0.55)).epsilon(1e-4));
  // The 95 % factors of one and of two axes, 1.95996 and 2.4477 (normal and Rayleigh quantiles).
  CHECK(combined->at->error95_vertical_m == doctest::Approx(0.5 * std::sqrt(0.55) * 1.95996 / 2.4477).epsilon(1e-4));
  CHECK((combined->at->latitude_deg - 47.6) * 111'180.0 == doctest::Approx(0.05).epsilon(1e-3));
  CHECK(combined->separation_m == doctest::Approx(0.1).epsilon(1e-2));
  CHECK_FALSE(combined->disagree);
  CHECK(combined->next_counts_from == UtcTime{(121 + 45) * 60'000});
}

TEST_CASE("visits that add nothing are named with the reason") {
  struct Row {
    const char* name;
    void (*spoil)(Point&);
    const char* left;
  };
  const Row rows[] = {
      {"as it is", [](Point&) {}, ""},
      {"held", [](Point& p) { p.status = occupation::PointStatus::held; }, "2 not-accepted;"},
      {"another source", [](Point& p) { p.source = "county network"; }, "2 other-source;"},
      {"another frame", [](Point& p) { p.frame = "EPSG:9989"; }, "2 other-frame;"},
      {"another coordinate epoch", [](Point& p) { p.at->coordinate_epoch = 2010; }, "2 other-coordinate-epoch;"},
      {"not initialized anew", [](Point& p) { p.flags = {occupation::kSameInitialization}; }, "2 same-initialization;"},
      {"44 min after",
       [](Point& p) {
         p.started_utc = UtcTime{46 * 60'000 - 1};
         p.finished_utc = UtcTime{p.started_utc->ms + 60'000};
       },
       "2 too-soon;"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Point second = visit(2, 120, 0.1, 0.6);
    row.spoil(second);
    const auto combined = together({visit(1, 0, 0, 0.5), second});
    REQUIRE(combined.has_value());
    CHECK(left(*combined) == row.left);
    if (combined->counted.size() == 1) CHECK(combined->at->error95_horizontal_m == doctest::Approx(0.5).epsilon(1e-4));
  }
}

TEST_CASE("visits that disagree are covered by the error, not averaged away") {
  const auto combined = together({visit(1, 0, 0, 0.5), visit(2, 120, 4.0, 0.5)});
  REQUIRE(combined.has_value());
  CHECK(combined->disagree);
  CHECK(combined->at->error95_horizontal_m >= 2.0 + 0.5 - 1e-3);
}

TEST_CASE("one visit is no repeat, and none accepted has no position") {
  CHECK_FALSE(together({visit(1, 0, 0, 0.5)}).has_value());
  Point a = visit(1, 0, 0, 0.5), b = visit(2, 120, 0, 0.5);
  a.status = b.status = occupation::PointStatus::held;
  const auto combined = together({a, b});
  REQUIRE(combined.has_value());
  CHECK_FALSE(combined->at.has_value());
  CHECK(combined->counted.empty());
}

TEST_CASE("coordinate epochs up to half a year apart are one, and the mean has their mean") {
  for (const double years : {0.5, 0.501}) {
    CAPTURE(years);
    Point second = visit(2, 120, 0.1, 0.5);
    second.at->coordinate_epoch += years;
    const auto combined = together({visit(1, 0, 0, 0.5), second});
    REQUIRE(combined.has_value());
    CHECK(left(*combined) == (years > 0.5 ? "2 other-coordinate-epoch;" : ""));
    CHECK(combined->at->coordinate_epoch == doctest::Approx(2026.42 + (years > 0.5 ? 0 : 0.25)).epsilon(1e-9));
  }
}

TEST_CASE("the longest visit leads, whatever the order and the errors printed, and names source and frame") {
  // Of two minutes half counted, and of 61 s all: that is longer.
  Point brief = visit(1, 0, 0, 0.4), longest = visit(2, 120, 0.1, 0.5);
  brief.finished_utc = UtcTime{brief.started_utc->ms + 120'000};
  brief.epochs_refused = 60;
  longest.finished_utc = UtcTime{longest.started_utc->ms + 61'000};
  longest.source = "county network";
  longest.frame = "EPSG:9989";
  for (const bool longest_first : {false, true}) {
    CAPTURE(longest_first);
    const auto combined = longest_first ? together({longest, brief}) : together({brief, longest});
    REQUIRE(combined.has_value());
    CHECK(combined->source == "county network");
    CHECK(combined->frame == "EPSG:9989");
    CHECK(combined->counted == std::vector<int>{2});
    CHECK(left(*combined) == "1 other-source;");
  }
}

TEST_CASE("of four visits each is told once: who counts, and who adds nothing and why") {
  for (const bool begun_anew : {true, false}) {
    CAPTURE(begun_anew);
    Point third = visit(3, 120, 0.1, 0.7);
    if (!begun_anew) third.flags = {occupation::kSameInitialization};
    const auto combined = together({visit(1, 0, 0, 0.5), visit(2, 10, 0.05, 0.6), third, visit(4, 300, 0, 0.8)});
    REQUIRE(combined.has_value());
    CHECK(combined->counted == std::vector<int>{1, 3, 4});
    CHECK(left(*combined) == (begun_anew ? "2 too-soon;" : "2 same-initialization;"));
  }
}

TEST_CASE("what visits come to has the sum of their worth, their covariance, and their doubt") {
  Point first = visit(1, 0, 0, 0.5), second = visit(2, 120, 0.1, 0.5);
  first.at->effective_epochs = 12.5;
  second.at->effective_epochs = 7.5;
  for (Point* p : {&first, &second}) p->at->covariance_enu_m2 = {0.04, 0.01, 0.05, 0.09};
  auto combined = together({first, second});
  REQUIRE(combined.has_value());
  CHECK(combined->at->effective_epochs == 20.0);
  CHECK(combined->error_scale_verified);
  const std::array<double, 4> half{0.022, 0.0055, 0.0275, 0.0495};  // 0.55 of one: a tenth is common to both
  for (std::size_t i = 0; i < 4; ++i)
    CHECK(combined->at->covariance_enu_m2[i] == doctest::Approx(half[i]).epsilon(1e-9));
  CHECK(combined->at->longitude_deg == doctest::Approx(-87.4).epsilon(1e-12));
  CHECK(combined->at->ellipsoid_height_m == doctest::Approx(0.0));
  second.flags = {"error-scale-not-verified"};
  CHECK_FALSE(together({first, second})->error_scale_verified);
}

TEST_CASE("where visits disagree the error reaches each with its own, in plan and in height") {
  Point first = visit(1, 0, 0, 0.5), second = visit(2, 120, 4.0, 0.5);
  second.at->ellipsoid_height_m = 6.0;
  const auto combined = together({first, second});
  REQUIRE(combined.has_value());
  CHECK(combined->separation_m == doctest::Approx(4.0).epsilon(2e-3));
  CHECK(combined->separation_up_m == doctest::Approx(6.0).epsilon(1e-4));
  CHECK(combined->at->error95_horizontal_m >= 2.5 - 0.01);
  CHECK(combined->at->error95_vertical_m >= 3.5 - 0.01);
}

TEST_CASE("the floor of the source's error does not shrink with visits") {
  std::vector<Point> points{visit(1, 0, 0, 0.5), visit(2, 120, 0, 0.5)};
  for (Point& p : points) p.at->covariance_enu_m2 = {0.04, 0, 0.04, 0.09};
  std::vector<const Point*> visits{&points[0], &points[1]};
  auto source = support::sbas();
  source.error_floor_m = {0.1, 0.2};
  const auto combined = occupation::combine(visits, {support::network(), source});
  REQUIRE(combined.has_value());
  // By hand: 0.55 (0.04 - 0.01) + 0.01 and 0.55 (0.09 - 0.04) + 0.04: a tenth is common to both.
  CHECK(combined->at->covariance_enu_m2[0] == doctest::Approx(0.0265).epsilon(1e-9));
  CHECK(combined->at->covariance_enu_m2[3] == doctest::Approx(0.0675).epsilon(1e-9));
}

}  // namespace
