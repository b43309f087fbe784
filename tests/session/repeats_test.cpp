#include "occupation/repeats.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "session/session.hpp"
#include "support/epochs.hpp"
#include "support/nmea_text.hpp"

namespace {

using namespace stillpoint;
using occupation::Point;

constexpr int kLater_s = 46 * 60;

bool flagged(const Point& point) {
  return std::find(point.flags.begin(), point.flags.end(), occupation::kSameInitialization) != point.flags.end();
}

/// One receiver at 1 Hz; points come out of `take`.
struct Crew {
  config::Settings settings = support::settings();
  session::Session day{settings, geodesy::Frames::open(settings).value(), {}};
  int t_s = 0;
  std::vector<Point> points;

  void run(int seconds, int quality = 4) {
    for (const int end_s = t_s + seconds; t_s < end_s; ++t_s) {
      support::Second second;
      second.t_s = t_s;
      second.quality = quality;
      second.up_m = 0.0001 * (t_s % 7);
      day.push(second.text(), SteadyTime{t_s * 1000 + 80});
    }
  }
  session::OccupationStatus visit(bool again) {
    REQUIRE(day.occupy({"CUL-14", "", "", again}).done);
    run(40);
    const auto status = *day.status().occupation;
    REQUIRE(day.keep().done);
    for (auto& finished : day.take().points) points.push_back(std::move(finished.point));
    return status;
  }
};

Point visit(int number, double minute, double north_m, double error_m) {
  Point p;
  p.name = "CUL-14";
  p.visit = number;
  p.status = occupation::PointStatus::accepted;
  p.frame = "EPSG:6319";
  p.source = "sbas";
  p.started_utc = UtcTime{static_cast<std::int64_t>(minute * 60'000)};
  p.finished_utc = UtcTime{p.started_utc->ms + 60'000};
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

TEST_CASE("an open stay, handed out for a crash, says what it says when it is finished") {
  Crew crew;
  crew.run(10);
  crew.visit(false);
  crew.run(60);
  REQUIRE(crew.day.occupy({"CUL-14", "", "", true}).done);
  crew.run(40);
  const auto open = crew.day.open_stay();
  REQUIRE(open);
  CHECK_FALSE(open->on_mark);
  crew.day.finish();
  const auto finished = crew.day.take().points;
  REQUIRE(finished.size() == 1);
  CHECK(flagged(finished[0].point));
  CHECK(open->stay.point.flags == finished[0].point.flags);
}

TEST_CASE("a second visit is told when it counts, and is flagged unless the receiver began anew") {
  Crew crew;
  crew.run(10);
  const auto first = crew.visit(false);
  CHECK_FALSE(first.counts_from_utc.has_value());
  CHECK(first.next_counts_from_utc == UtcTime{parse_utc("2026-06-03T14:00:49Z")->ms + 45 * 60'000});
  const auto soon = crew.visit(true);
  CHECK(soon.counts_from_utc == first.next_counts_from_utc);
  CHECK(soon.advice == "Too soon after visit 1: a new visit counts after 14:46 UTC.");
  CHECK(flagged(crew.points.at(1)));
  crew.run(kLater_s);
  const auto same = crew.visit(true);
  CHECK_FALSE(same.counts_from_utc.has_value());
  CHECK(same.advice == "Not initialized anew since visit 2: restart the receiver, then measure.");
  CHECK(flagged(crew.points.at(2)));
  crew.run(kLater_s);
  crew.run(5, 5);  // float for five seconds
  crew.run(10);
  const auto anew = crew.visit(true);
  CHECK(anew.advice.find("visit 3") == std::string::npos);
  CHECK_FALSE(flagged(crew.points.at(3)));
  std::vector<const Point*> visits;
  for (const Point& point : crew.points) visits.push_back(&point);
  const auto combined = crew.day.combined(visits);
  REQUIRE(combined.size() == 1);
  CHECK(combined[0].counted.size() == 2);
  CHECK(combined[0].left_out.size() == 2);
  CHECK_FALSE(combined[0].error_scale_verified);
}

TEST_CASE("a break of the link counts as a new beginning only when it lasted a minute") {
  for (const int away_s : {10, 61}) {
    CAPTURE(away_s);
    Crew crew;
    crew.run(10);
    crew.visit(false);
    crew.run(kLater_s / 2);
    crew.t_s += away_s;
    crew.run(kLater_s / 2);
    crew.visit(true);
    CHECK(flagged(crew.points.at(1)) == (away_s < 60));
  }
}

TEST_CASE("two equal independent visits halve the variance and meet half way") {
  // 1/(1/v + 1/v) = v/2, by hand; the visits' own distance is below what their errors allow.
  const auto combined = together({visit(1, 0, 0, 0.5), visit(2, 120, 0.1, 0.5)});
  REQUIRE(combined.has_value());
  CHECK(combined->name == "CUL-14");
  CHECK(combined->source == "sbas");
  CHECK(combined->frame == "EPSG:6319");
  CHECK(combined->counted == std::vector<int>{1, 2});
  CHECK(combined->at->error95_horizontal_m == doctest::Approx(0.5 / std::sqrt(2.0)).epsilon(1e-4));
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
      {"44 min after", [](Point& p) { p.started_utc = UtcTime{46 * 60'000 - 1}; }, "2 too-soon;"},
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

}  // namespace
