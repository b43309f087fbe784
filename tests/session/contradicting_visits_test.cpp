// Visits of one point that cannot all be true are held, however soon they follow each other.

#include "occupation/contradiction.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <string>
#include <vector>

#include "geodesy/local.hpp"
#include "session/session.hpp"
#include "support/epochs.hpp"
#include "support/nmea_text.hpp"

using namespace stillpoint;
using occupation::HoldReason;
using occupation::Point;
using occupation::PointStatus;

namespace {

Point visit_at(int visit, double east_m, double north_m, double up_m, double sigma_m = 0.01) {
  Point point;
  point.name = "CUL-1";
  point.visit = visit;
  point.frame = "EPSG:6319";
  point.status = PointStatus::accepted;
  const auto at = geodesy::LocalFrame({47.6, -87.4, 150}).to_geographic({east_m, north_m, up_m});
  occupation::Coordinates c;
  c.latitude_deg = at.latitude_deg, c.longitude_deg = at.longitude_deg, c.ellipsoid_height_m = at.ellipsoid_height_m;
  c.coordinate_epoch = 2010;
  c.covariance_enu_m2 = {sigma_m * sigma_m, 0, sigma_m * sigma_m, sigma_m * sigma_m};
  point.at = c;
  return point;
}

std::vector<int> held_of(const std::vector<Point>& points) {
  std::vector<const Point*> all;
  for (const Point& p : points) all.push_back(&p);
  std::vector<int> out;
  for (const auto& c : occupation::contradicted_among(all)) out.push_back(c.visit);
  return out;
}

}  // namespace

TEST_CASE("whichever visits are contradicted and not borne out are held") {
  struct Row {
    const char* name;
    std::vector<Point> visits;
    std::vector<int> held;
  };
  Point rejected = visit_at(1, 0, 0, 0);
  rejected.status = PointStatus::rejected;
  const Row rows[] = {
      {"one visit", {visit_at(1, 0, 0, 0)}, {}},
      {"two that agree", {visit_at(1, 0, 0, 0), visit_at(2, 0.02, 0, 0)}, {}},
      {"two that lie 1.80 m apart", {visit_at(1, 0, 0, 0), visit_at(2, 1.8, 0, 0)}, {1, 2}},
      {"two apart in height only", {visit_at(1, 0, 0, 0), visit_at(2, 0, 0, 0.2)}, {1, 2}},
      {"three, two of which agree", {visit_at(1, 0, 0, 0), visit_at(2, 1.8, 0, 0), visit_at(3, 0.01, 0, 0)}, {2}},
      {"three, none of which agree",
       {visit_at(1, 0, 0, 0), visit_at(2, 1.8, 0, 0), visit_at(3, 0, 2.55, 0)},
       {1, 2, 3}},
      {"two pairs against each other",
       {visit_at(1, 0, 0, 0), visit_at(2, 1, 0, 0), visit_at(3, 0, 0.01, 0), visit_at(4, 1, 0.01, 0)},
       {1, 2, 3, 4}},
      {"a rejected one says nothing", {rejected, visit_at(2, 1.8, 0, 0)}, {}},
      {"a coarse one agrees with a sharp one", {visit_at(1, 0, 0, 0, 0.6), visit_at(2, 1.2, 0, 0)}, {}},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    CHECK(held_of(row.visits) == row.held);
  }
}

TEST_CASE("visits that are true are held in fewer than one case of a hundred, and wrong ones are found") {
  std::mt19937_64 random(20261129);
  std::normal_distribution<double> normal;
  const auto held_share = [&](double apart_sigma) {
    const double sigma_m = 0.01, joint_m = sigma_m * std::sqrt(2.0);
    int held = 0;
    constexpr int kPairs = 4000;
    for (int i = 0; i < kPairs; ++i) {
      const std::vector<Point> pair{
          visit_at(1, sigma_m * normal(random), sigma_m * normal(random), sigma_m * normal(random), sigma_m),
          visit_at(2, sigma_m * normal(random) + apart_sigma * joint_m, sigma_m * normal(random),
                   sigma_m * normal(random), sigma_m)};
      held += held_of(pair).empty() ? 0 : 1;
    }
    return static_cast<double>(held) / kPairs;
  };
  // Two axes and one of 3 sigma: 0.0027 each, so 0.54 % together.
  CHECK(held_share(0) < 0.01);
  CHECK(held_share(0) > 0.002);
  CHECK(held_share(5) > 0.9);
  CHECK(held_share(8) > 0.999);
}

TEST_CASE("a session holds both visits, and lets the earlier one go when a third bears it out") {
  const config::Settings settings = support::settings();
  session::Session day(settings, geodesy::Frames::open(settings).value(), {});
  day.feed(session::FeedState::open, "a test", SteadyTime{0});
  int now_s = 0;
  const auto run = [&](int seconds, double north_m) {
    for (int end = now_s + seconds; now_s < end; ++now_s) {
      support::Second second;
      second.t_s = now_s;
      second.north_m = north_m;
      second.up_m = 0.0001 * (now_s % 7);
      day.push(second.text(), SteadyTime{now_s * 1000 + 80});
    }
  };
  const auto measure = [&](double north_m, bool again) {
    run(20, north_m);
    session::OccupyCommand command;
    command.name = "CUL-1";
    command.again = again;
    REQUIRE(day.occupy(command).done);
    run(70, north_m);
    REQUIRE(day.keep().done);
    return day.take();
  };
  const auto first = measure(0, false);
  CHECK(first.points.at(0).point.status == PointStatus::accepted);
  const auto second = measure(1.8, true);
  const Point& held = second.points.at(0).point;
  CHECK(held.status == PointStatus::held);
  REQUIRE(held.reasons == std::vector{HoldReason::visits_disagree});
  CHECK(held.reason_texts.at(0) ==
        "visit 1 lies 1.80 m away and 0.00 m in height, more than both errors explain: visit the point again");
  REQUIRE(second.reconsidered.size() == 1);
  CHECK(second.reconsidered.at(0).point.visit == 1);
  CHECK(second.reconsidered.at(0).point.status == PointStatus::held);
  const auto third = measure(0.005, true);
  CHECK(third.points.at(0).point.status == PointStatus::accepted);
  REQUIRE(third.reconsidered.size() == 1);
  CHECK(third.reconsidered.at(0).point.visit == 1);
  CHECK(third.reconsidered.at(0).point.status == PointStatus::accepted);
  CHECK(third.reconsidered.at(0).why == "visit 3 bears it out");
}

TEST_CASE("a hand that rejects the wrong visit sets the other one free, and what it decided stays") {
  const config::Settings settings = support::settings();
  session::Session day(settings, geodesy::Frames::open(settings).value(), {});
  Point first = visit_at(1, 0, 0, 0), second = visit_at(2, 1.8, 0, 0);
  for (Point* point : {&first, &second}) {
    point->status = PointStatus::held;
    point->reasons = {HoldReason::visits_disagree};
    point->reason_texts = {"far apart"};
    day.know(*point);
  }
  REQUIRE(day.resolve("CUL-1", 1, false).done);
  const auto out = day.take();
  REQUIRE(out.reconsidered.size() == 1);
  CHECK(out.reconsidered.at(0).point.visit == 2);
  CHECK(out.reconsidered.at(0).point.status == PointStatus::accepted);
  CHECK(out.reconsidered.at(0).why == "visit 1 was rejected by hand");
  CHECK(day.resolve("NOBODY", 1, true).done);
}
