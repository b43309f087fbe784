// The errors that come out are held against a thousand draws in geodesy/offset_test; here stands what a point makes of
// them. 1.95996 and 2.44775 are the normal and the Rayleigh quantiles at 95 % (tables), 1.05 the house's allowance.

#include "occupation/offset_point.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

namespace {

using namespace stillpoint;
using occupation::HoldReason;
using occupation::Point;
using occupation::PointStatus;

constexpr double kSigma = 0.02;

Point stay(const std::string& name, double east_m = 0) {
  Point p;
  p.name = name;
  p.status = PointStatus::accepted;
  p.frame = "EPSG:6319";
  p.source = "network";
  p.station = 417;
  p.quality = Quality::rtk_fixed;
  p.error_scale = 1.0;
  p.antenna_height_m = 1.871;
  p.started_utc = UtcTime{1'000};
  p.finished_utc = UtcTime{61'000};
  p.flags = {"accepted-by-hand", "coasted", "same-initialization"};
  p.at.emplace();
  p.at->latitude_deg = 47.6;
  p.at->longitude_deg = -87.4 + east_m / 75'180.0;  // a degree of longitude at 47.6 N on GRS 80
  p.at->ellipsoid_height_m = 142.0;
  p.at->coordinate_epoch = 2026.42;
  p.at->covariance_enu_m2 = {kSigma * kSigma, 0, kSigma * kSigma, 4 * kSigma * kSigma};
  p.at->error95_horizontal_m = 1.05 * 2.44775 * kSigma;
  p.at->error95_vertical_m = 1.05 * 1.95996 * 2 * kSigma;
  return p;
}

OffsetMeasures by_bearing(double distance_m = 4) {
  OffsetMeasures out;
  out.stays = {{"A", 1, "0197-a", distance_m, 0.02}};
  out.bearing_deg = 90;
  out.up_m = 0.5;
  return out;
}

OffsetMeasures by_distances(double a_m = 10, double b_m = 10) {
  OffsetMeasures out;
  out.stays = {{"A", 1, "", a_m, 0.02}, {"B", 1, "", b_m, 0.02}};
  return out;
}

std::string refusal(const OffsetMeasures& measures, const std::vector<const Point*>& stays) {
  const auto out = occupation::offset_point(measures, stays, UtcTime{90'000});
  return out ? std::string("none") : out.error().text;
}

}  // namespace

TEST_CASE("a point has what its stay has, no seconds of its own, and the time at which it was measured") {
  const Point a = stay("A");
  const auto point = occupation::offset_point(by_bearing(), {&a}, UtcTime{90'000});
  REQUIRE(point);
  CHECK(point->status == PointStatus::accepted);
  CHECK(point->flags == std::vector<std::string>{"coasted", "offset"});
  CHECK(point->source == "network");
  CHECK(point->station == 417);
  CHECK(point->epochs_used == 0);
  CHECK(point->started_utc == UtcTime{90'000});
  CHECK(point->finished_utc == UtcTime{90'000});
  CHECK(point->at->ellipsoid_height_m == doctest::Approx(142.5));
  CHECK(point->measures == by_bearing());
  CHECK_FALSE(occupation::has_no_height(*point));
  // The vertical error: of the stay 0.04 m, of the hand 0.05 m.
  CHECK(point->at->error95_vertical_m == doctest::Approx(1.05 * 1.95996 * std::hypot(0.04, 0.05)).epsilon(1e-5));
  CHECK(occupation::offset_point(by_bearing(), {&a}, {})->finished_utc == a.finished_utc);
}

TEST_CASE("a stay whose error is larger than its covariance says is taken with the larger one") {
  const Point honest = stay("A");
  Point apart = honest;
  apart.at->error95_horizontal_m *= 10;
  apart.at->error95_vertical_m *= 10;
  OffsetMeasures near = by_bearing(0.5);  // the hand's own error is small there
  near.bearing_sigma_deg = 0.1;
  const auto one = occupation::offset_point(near, {&honest}, {}), other = occupation::offset_point(near, {&apart}, {});
  CHECK(other->at->error95_horizontal_m >= apart.at->error95_horizontal_m);
  CHECK(other->at->error95_horizontal_m < 1.02 * apart.at->error95_horizontal_m);
  CHECK(other->at->error95_vertical_m >= apart.at->error95_vertical_m);
  CHECK(one->at->error95_horizontal_m < 2 * honest.at->error95_horizontal_m);
}

TEST_CASE("a height that nobody measured is that of the stays, with an error as large as the distance") {
  Point a = stay("A"), b = stay("B", 14);
  b.at->ellipsoid_height_m = 144;
  const auto point = occupation::offset_point(by_distances(10, 9), {&a, &b}, UtcTime{90'000});
  REQUIRE(point);
  CHECK(occupation::has_no_height(*point));
  CHECK(point->flags == std::vector<std::string>{"coasted", "height-not-measured", "offset"});
  CHECK(point->at->ellipsoid_height_m == doctest::Approx(143));
  CHECK(point->at->error95_vertical_m > 1.95996 * 10);
  CHECK_FALSE(occupation::told_vertical95_m(*point));
}

TEST_CASE("what two stays do not share is not said of the point") {
  const Point a = stay("A");
  Point b = stay("B", 14);
  b.source = "satellites";
  b.station = 120;
  b.quality = Quality::differential;
  b.error_scale = 2.0;
  b.antenna_height_m = 2.071;
  const auto point = occupation::offset_point(by_distances(), {&a, &b}, UtcTime{90'000});
  REQUIRE(point);
  CHECK(point->source.empty());
  CHECK_FALSE(point->station);
  CHECK_FALSE(point->quality);
  CHECK_FALSE(point->error_scale);
}

TEST_CASE("the geoid's part of the error in height is there once, whatever was measured") {
  Point a = stay("A");
  a.at->geoid = "geoid";
  a.at->orthometric_height_m = 178;
  const double own_m = a.at->error95_vertical_m;
  a.at->error95_vertical_m = std::hypot(own_m, 0.3);
  const auto point = occupation::offset_point(by_bearing(), {&a}, {});
  CHECK(point->at->error95_vertical_m ==
        doctest::Approx(std::hypot(1.05 * 1.95996 * std::hypot(0.04, 0.05), 0.3)).epsilon(1e-5));
}

TEST_CASE("what gives no place is refused in one sentence") {
  const Point a = stay("A"), b = stay("B", 14);
  Point rejected = a, empty = a, offset = a, elsewhere = b, later = b, again = b;
  rejected.status = PointStatus::rejected;
  empty.at.reset();
  offset.measures = by_bearing();
  elsewhere.frame = "EPSG:9989";
  later.at->coordinate_epoch = 2026.6;
  again.name = "A";
  CHECK(refusal(by_bearing(), {&a}) == "none");
  CHECK(refusal(by_distances(), {&a, &b}) == "none");
  CHECK(refusal(by_bearing(), {&a, &b}).find("an offset point wants one kept point") == 0);
  CHECK(refusal(by_distances(), {&a}).find("an offset point wants one kept point") == 0);
  CHECK(refusal(by_bearing(), {&rejected}) == "A visit 1 is rejected: take another stay");
  CHECK(refusal(by_bearing(), {&empty}) == "A visit 1 has no coordinates: take another stay");
  CHECK(refusal(by_bearing(), {&offset}) == "A visit 1 is an offset point itself: measure from a stay");
  CHECK(refusal(by_distances(), {&a, &again}) == "two visits of A are one place; measure from two points");
  CHECK(refusal(by_distances(), {&a, &elsewhere}).find("take stays of one frame and date") != std::string::npos);
  CHECK(refusal(by_distances(), {&a, &later}).find("2026.60") != std::string::npos);
  CHECK(refusal(by_distances(3, 4), {&a, &b}).find("miss each other by 7.0") != std::string::npos);
}

TEST_CASE("a point is held while a stay of it is not accepted, and free again with it") {
  Point a = stay("A"), b = stay("B", 14);
  a.status = PointStatus::held;
  auto point = *occupation::offset_point(by_distances(), {&a, &b}, UtcTime{90'000});
  CHECK(point.status == PointStatus::held);
  CHECK(point.reasons == std::vector{HoldReason::stay_held});
  CHECK(point.reason_texts == std::vector<std::string>{"its stay A visit 1 is held: decide about that stay"});
  CHECK_FALSE(occupation::follow_stays(point, {&a, &b}));
  a.status = PointStatus::rejected;
  CHECK(occupation::follow_stays(point, {&a, &b}));
  CHECK(point.reason_texts == std::vector<std::string>{"its stay A visit 1 is rejected: decide about that stay"});
  a.status = PointStatus::accepted;
  CHECK_FALSE(occupation::follow_stays(point, {nullptr, &b}));  // nobody knows
  CHECK(point.status == PointStatus::held);
  CHECK(occupation::follow_stays(point, {&a, &b}));
  CHECK(point.status == PointStatus::accepted);
  CHECK(point.reasons.empty());
  // What else holds it goes on.
  point.reasons = {HoldReason::not_delivered};
  point.reason_texts = {"outside the grid"};
  point.status = PointStatus::held;
  b.status = PointStatus::held;
  CHECK(occupation::follow_stays(point, {&a, &b}));
  b.status = PointStatus::accepted;
  CHECK(occupation::follow_stays(point, {&a, &b}));
  CHECK(point.status == PointStatus::held);
  CHECK(point.reasons == std::vector{HoldReason::not_delivered});
  // A hand had rejected it: it stays so.
  point.status = PointStatus::rejected;
  b.status = PointStatus::held;
  CHECK(occupation::follow_stays(point, {&a, &b}));
  CHECK(point.status == PointStatus::rejected);
}
