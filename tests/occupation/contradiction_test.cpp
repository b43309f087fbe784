// Three sigma of two axes together are the 99.73 % of chi-square with two degrees of freedom, 11.829; of one axis, 3
// (tables of chi-square; -2 ln 0.0027 = 11.829).

#include "occupation/contradiction.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <string>
#include <vector>

namespace {

using namespace stillpoint;
using occupation::Contradicted;
using occupation::HoldReason;
using occupation::Point;
using occupation::PointStatus;

// On GRS 80 at 47.6 N.
constexpr double kNorthPerDegree = 111'179.0;
constexpr double kSigma = 0.02;

Point visit(int number, double north_m, double up_m = 0) {
  Point p;
  p.name = "CUL-14";
  p.visit = number;
  p.status = PointStatus::accepted;
  p.frame = "EPSG:6319";
  p.at.emplace();
  p.at->latitude_deg = 47.6 + north_m / kNorthPerDegree;
  p.at->longitude_deg = -87.4;
  p.at->ellipsoid_height_m = 142.0 + up_m;
  p.at->coordinate_epoch = 2010.0;
  p.at->covariance_enu_m2 = {kSigma * kSigma, 0, kSigma * kSigma, 4 * kSigma * kSigma};
  return p;
}

std::vector<int> contradicted(const std::vector<Point>& points) {
  std::vector<const Point*> all;
  for (const Point& p : points) all.push_back(&p);
  std::vector<int> out;
  for (const Contradicted& one : occupation::contradicted_among(all)) out.push_back(one.visit);
  return out;
}

using Visits = std::vector<int>;

}  // namespace

TEST_CASE("two visits contradict each other beyond three sigma of their joint error, in plan or in height") {
  const double plan = std::sqrt(11.829) * kSigma * std::sqrt(2.0), height = 3 * 2 * kSigma * std::sqrt(2.0);
  struct Row {
    const char* name;
    double north_m, up_m;
    bool contradict;
  };
  const Row rows[] = {{"as far as that in plan", 0.999 * plan, 0, false},
                      {"farther in plan", 1.001 * plan, 0, true},
                      {"to the other side", -1.001 * plan, 0, true},
                      {"as high as that", 0, 0.999 * height, false},
                      {"higher", 0, 1.001 * height, true},
                      {"lower", 0, -1.001 * height, true}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    CHECK(contradicted({visit(1, 0), visit(2, row.north_m, row.up_m)}) == (row.contradict ? Visits{1, 2} : Visits{}));
  }
}

TEST_CASE("errors that lean along the way between two visits explain more, across it less") {
  for (const double lean : {0.9, -0.9}) {
    CAPTURE(lean);
    std::vector<Point> both{visit(1, 0), visit(2, 0)};
    for (Point& p : both) p.at->covariance_enu_m2[1] = lean * kSigma * kSigma;
    // To the north-east, at 2.4 of the joint sigma of an axis.
    const double axis_m = 2.4 * kSigma * std::sqrt(2.0);
    both[1].at->latitude_deg += axis_m / kNorthPerDegree;
    both[1].at->longitude_deg += axis_m / (kNorthPerDegree * 0.6764);
    // By hand: d' C^-1 d = 2 * 2.4^2 / (1 + lean) = 6.06 or 115.
    CHECK(contradicted(both) == (lean > 0 ? Visits{} : Visits{1, 2}));
  }
}

TEST_CASE("of three or more the largest group that agrees stays; without one, all that are contradicted are held") {
  struct Row {
    const char* name;
    std::vector<double> north_m;
    Visits held;
  };
  const Row rows[] = {
      {"one against two", {0, 1, 0.01}, {2}},
      {"two against two", {0, 1, 0.01, 1.01}, {1, 2, 3, 4}},
      {"each against each", {0, 1, 2}, {1, 2, 3}},
      {"three against two", {0, 1, 0.01, 1.01, -0.01}, {2, 4}},
      {"one alone", {0}, {}},
      {"a chain whose ends are apart", {0, 0.08, 0.16}, {1, 3}},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    std::vector<Point> points;
    for (std::size_t i = 0; i < row.north_m.size(); ++i)
      points.push_back(visit(static_cast<int>(i) + 1, row.north_m[i]));
    CHECK(contradicted(points) == row.held);
  }
}

TEST_CASE("a visit names the one that is farthest from it, with the way there") {
  const std::vector<Point> points{visit(1, 0), visit(2, 1), visit(3, 3, 0.25)};
  std::vector<const Point*> all;
  for (const Point& p : points) all.push_back(&p);
  const auto found = occupation::contradicted_among(all);
  REQUIRE(found.size() == 3);
  CHECK(found[0].by == 3);
  CHECK(found[1].by == 3);
  CHECK(found[2].by == 1);
  CHECK(found[2].apart_m == doctest::Approx(3.0).epsilon(1e-3));
  CHECK(found[2].apart_up_m == doctest::Approx(0.25).epsilon(1e-4));
  CHECK(occupation::sentence_of(found[2]) ==
        "visit 1 lies 3.00 m away and 0.25 m in height, more than both errors explain: visit the point again");
}

TEST_CASE("what cannot be compared contradicts nothing") {
  struct Row {
    const char* name;
    void (*change)(Point&);
    bool contradicts;
  };
  const Row rows[] = {
      {"as it is", [](Point&) {}, true},
      {"rejected by hand", [](Point& p) { p.status = PointStatus::rejected; }, false},
      {"held for another reason",
       [](Point& p) {
         p.status = PointStatus::held;
         p.reasons = {HoldReason::too_short};
       },
       false},
      {"held for this reason alone",
       [](Point& p) {
         p.status = PointStatus::held;
         p.reasons = {HoldReason::visits_disagree};
       },
       true},
      {"held for this reason and another",
       [](Point& p) {
         p.status = PointStatus::held;
         p.reasons = {HoldReason::too_short, HoldReason::visits_disagree};
       },
       false},
      {"without coordinates", [](Point& p) { p.at.reset(); }, false},
      {"in another frame", [](Point& p) { p.frame = "EPSG:7912"; }, false},
      {"of another date, in a frame that stands", [](Point& p) { p.at->coordinate_epoch = 2030.0; }, true},
      {"without an error",
       [](Point& p) {
         p.at->covariance_enu_m2 = {-1, 0, -1, -1};
       },
       false},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    std::vector<Point> both{visit(1, 0), visit(2, 1)};
    row.change(both[1]);
    CHECK(contradicted(both).size() == (row.contradicts ? 2 : 0));
  }
  // A frame that the plates move in: a tenth of a year.
  for (const double years : {0.1, 0.11}) {
    CAPTURE(years);
    std::vector<Point> both{visit(1, 0), visit(2, 1)};
    for (Point& p : both) p.frame = "EPSG:7912";
    both[0].at->coordinate_epoch = 0;
    both[1].at->coordinate_epoch = years;
    CHECK(contradicted(both).size() == (years > 0.1 ? 0 : 2));
  }
}

TEST_CASE("only the newest sixteen are looked at together") {
  std::vector<Point> points;
  for (int i = 0; i < 17; ++i) points.push_back(visit(i + 1, i == 0 ? 1.0 : 0.0));
  CHECK(contradicted(points).empty());
  points.erase(points.end() - 1);
  CHECK(contradicted(points) == Visits{1});
}

TEST_CASE("the reason is put on and taken away once, and the status follows") {
  Point p = visit(2, 0);
  const Contradicted other{2, 1, 1.8, 0.02};
  CHECK_FALSE(occupation::hold_contradicted(p, nullptr));
  CHECK(occupation::hold_contradicted(p, &other));
  CHECK(p.status == PointStatus::held);
  CHECK(p.reasons == std::vector{HoldReason::visits_disagree});
  REQUIRE(p.reason_texts.size() == 1);
  CHECK(p.reason_texts[0] ==
        "visit 1 lies 1.80 m away and 0.02 m in height, more than both errors explain: visit the point again");
  CHECK_FALSE(occupation::hold_contradicted(p, &other));
  p.reasons.insert(p.reasons.begin(), HoldReason::too_short);
  p.reason_texts.insert(p.reason_texts.begin(), "12 s");
  CHECK(occupation::hold_contradicted(p, nullptr));
  CHECK(p.status == PointStatus::held);
  CHECK(p.reason_texts == std::vector<std::string>{"12 s"});
  p.reasons.clear();
  p.reason_texts.clear();
  CHECK(occupation::hold_contradicted(p, &other));
  CHECK(occupation::hold_contradicted(p, nullptr));
  CHECK(p.status == PointStatus::accepted);
  CHECK(p.reasons.empty());
}
