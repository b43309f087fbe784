#include "control/scales.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <functional>

#include "control/diagnosis.hpp"

using namespace stillpoint;
using control::CheckShot;
using control::ScaleStay;

namespace {

constexpr UtcTime kMorning{1'780'480'800'000};  // 2026-06-03T10:00:00Z
constexpr double kClaim_m = 0.010;

UtcTime minute(int at) {
  return {kMorning.ms + at * 60'000LL};
}

/// A shot that is off its mark by `sigmas` claimed sigmas on each axis, and scattered no further.
CheckShot shot(int at_min, double sigmas = 1, double in_use = 1) {
  CheckShot out;
  out.mark = "VM-" + std::to_string(at_min % 7);
  out.source = "network";
  out.utc = minute(at_min);
  out.passed = true;
  out.off_east_m = sigmas * kClaim_m;
  out.off_north_m = -sigmas * kClaim_m;
  out.off_up_m = sigmas * kClaim_m;
  out.error_scale = in_use;
  out.claim_plan_m2 = 2 * kClaim_m * kClaim_m, out.claim_up_m2 = kClaim_m * kClaim_m;
  out.scatter_plan_m2 = 0, out.scatter_up_m2 = 0;
  out.mark_sigma_plan_m = 0, out.mark_sigma_up_m = 0;
  return out;
}

config::Source source(const std::string& name = "network") {
  config::Source out;
  out.name = name;
  out.error_scale = 1.2;
  return out;
}

control::SourceScale scale_of(const std::vector<ScaleStay>& stays, const control::Marks& marks = {}) {
  const config::Source sources[] = {source("other"), source()};
  const auto scales = control::scales_of(sources, marks, stays);
  REQUIRE(scales.size() == 1);
  CHECK(scales.front().source == "network");
  CHECK(scales.front().in_use == 1.2);
  return scales.front();
}

std::vector<ScaleStay> hourly(int count, const std::function<void(int, CheckShot&)>& change = {}) {
  std::vector<ScaleStay> out;
  for (int k = 0; k < count; ++k) {
    CheckShot one = shot(60 * k, 1.4);
    if (change) change(k, one);
    out.push_back(control::stay_of(one));
  }
  return out;
}

/// A point that was visited, off its place by `sigmas` claimed sigmas to the east.
ScaleStay visit(const std::string& name, int number, int at_min, double sigmas) {
  occupation::Point point;
  point.name = name, point.visit = number, point.source = "network";
  point.status = occupation::PointStatus::accepted;
  point.started_utc = minute(at_min), point.finished_utc = minute(at_min + 3);
  point.at.emplace();
  point.at->latitude_deg = 47.6, point.at->longitude_deg = -87.4 + sigmas * kClaim_m / 75193.4;  // m a degree, GRS 80
  point.error_scale = 1;
  point.claimed = estimate::Claimed{2 * kClaim_m * kClaim_m, kClaim_m * kClaim_m, 0, 0};
  return control::stay_of(point, {});
}

bool has(const std::vector<std::string>& lines, const std::string& part) {
  for (const std::string& line : lines)
    if (line.find(part) != std::string::npos) return true;
  return false;
}

}  // namespace

TEST_CASE("eight checks on marks say how far the scale has come, and print no line") {
  const auto scale = scale_of(hourly(8));
  REQUIRE(scale.result);
  CHECK(scale.result->counted == 8);
  CHECK(scale.result->horizontal.value == doctest::Approx(1.4));
  CHECK(scale.result->vertical.value == doctest::Approx(1.4));
  CHECK_FALSE(scale.is_proof());
  const auto lines = control::told(scale);
  // √(8/χ²) of 8 degrees: χ²(0.975) = 17.535, χ²(0.025) = 2.180 (NIST/SEMATECH e-Handbook 1.3.6.7.4, from memory).
  CHECK(lines.front() ==
        "Source \"network\": 8 of 10 visits, scale so far 1.40, between 0.95 and 2.68 at 95 %; 1.20 is in use.");
  CHECK(lines.at(1) == "2 more checks on marks, 45 min from each other, prove it.");
  CHECK_FALSE(has(lines, "error_scale ="));
}

TEST_CASE("ten checks on marks print the lines to paste, with the upper limit and the day of the last") {
  const auto scale = scale_of(hourly(10));
  CHECK(scale.is_proof());
  CHECK(scale.against() == "marks");
  const auto lines = control::told(scale);
  // Of height, the larger: 1.4 · 1.2721493991209158 ("scale_upper" of the reference).
  CHECK(has(lines, "    error_scale = 1.78  # best guess 1.40, "));
  CHECK(has(lines, "    error_scale_evidence = { visits = 10, until = 2026-06-03 }"));
}

TEST_CASE("the scale that a shot was made with is no evidence of itself") {
  const auto once = scale_of(hourly(10));
  const auto scaled = scale_of(hourly(10, [](int, CheckShot& s) { s.error_scale = 3; }));
  CHECK(scaled.result->error_scale == once.result->error_scale);
}

TEST_CASE("of checks less than 45 minutes apart one counts, whatever the mark") {
  struct Row {
    int apart_min, counted;
  };
  for (const Row& row : {Row{44, 1}, Row{45, 2}, Row{0, 1}}) {
    CAPTURE(row.apart_min);
    const auto scale = scale_of({control::stay_of(shot(row.apart_min)), control::stay_of(shot(0))});
    CHECK(scale.result->counted == row.counted);
    CHECK(has(scale.notes, "within 45 min") == (row.counted == 1));
  }
}

TEST_CASE("what proves nothing is left out and says why") {
  struct Row {
    const char* name;
    std::function<void(CheckShot&)> change;
    const char* why;
  };
  const Row rows[] = {
      {"of a program of before", [](CheckShot& s) { s.claim_plan_m2.reset(); }, "did not write down what was claimed"},
      {"a mistake explains it",
       [](CheckShot& s) {
         s.passed = false, s.suspect = "antenna-section";
         s.diagnosis = "None of these fits.";  // the words decide nothing
       },
       "a mistake explains it"},
      {"nobody wrote down whether one does",
       [](CheckShot& s) { s.passed = false, s.diagnosis = "None of these fits. Shoot the mark again."; },
       "did not write down whether a mistake explains it"},
      {"a disturbed mark", [](CheckShot& s) { s.mark = "OLD"; }, "the mark is disturbed"}};
  control::Marks marks;
  marks.marks.push_back({});
  marks.marks.back().name = "OLD";
  marks.marks.back().status = control::MarkStatus::disturbed;
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const auto change = [&](int k, CheckShot& s) {
      if (k == 3) row.change(s);
    };
    const auto scale = scale_of(hourly(10, change), marks);
    CHECK(scale.result->counted == 9);
    CHECK(has(scale.notes, row.why));
    CHECK_FALSE(scale.is_proof());
  }
}

TEST_CASE("a check that failed and is not explained counts, or only good ones would") {
  const auto failed = [](int k, CheckShot& s) {
    if (k != 3) return;
    s.passed = false;
    s.off_east_m = 5 * kClaim_m;
    s.diagnosis = "First suspect (51 % of the likelihood): the frame.";  // the words decide nothing
    s.suspect = control::kNoSuspect;
  };
  const auto scale = scale_of(hourly(10, failed));
  CHECK(scale.result->counted == 10);
  CHECK(scale.result->horizontal.value == doctest::Approx(std::sqrt((9 * 1.96 + (25 + 1.96) / 2) / 10)));
  CHECK(has(scale.notes, "did not pass and counts"));
}

TEST_CASE("a failed check whose numbers were made anew, and that nobody diagnosed since, counts") {
  const auto failed = [](int k, CheckShot& s) {
    if (k != 3) return;
    s.passed = false, s.diagnosis = "First suspect (90 % of the likelihood): a pole.", s.suspect = "antenna-section";
    s.forget_diagnosis();
  };
  CHECK(scale_of(hourly(10, failed)).result->counted == 10);
}

TEST_CASE("a shot keeps the word of the first suspect, or that none fits, or nothing where nothing was diagnosed") {
  control::Diagnosis found;
  CHECK(control::suspect_of(found).empty());
  found.suspects.resize(2);
  found.suspects.front().suspect = control::Suspect::mark_frame;
  found.suspects.back().suspect = control::Suspect::epoch;
  CHECK(control::suspect_of(found) == "mark-frame");
  found.none_fits = true;
  CHECK(control::suspect_of(found) == "none");
  found.suspects.clear();
  CHECK(control::suspect_of(found) == "none");
}

TEST_CASE("a mark without a height proves nothing about heights, and does not count yet") {
  const auto flat = [](int k, CheckShot& s) {
    if (k < 2) s.off_up_m.reset();
  };
  const auto scale = scale_of(hourly(10, flat));
  CHECK(scale.result->counted == 8);
  CHECK(has(control::told(scale), "2 of the visits had no height"));
}

TEST_CASE(
    "repeat visits count, less one for each place, and stand behind checks of the same three quarters of an hour") {
  std::vector<ScaleStay> stays{visit("A", 1, 0, 0),   visit("A", 2, 60, 2),  visit("A", 3, 70, 2),
                               visit("B", 1, 200, 0), visit("B", 2, 300, 2), visit("C", 1, 400, 0),
                               visit("D", 1, 500, 0), visit("D", 2, 600, 0)};
  auto scale = scale_of(stays);
  CHECK(scale.against() == "repeats");
  CHECK(scale.result->visits == 6);
  CHECK(scale.result->counted == 3);
  CHECK(has(scale.notes, "A visit 3 is left out: it is within 45 min of A visit 2"));
  // Two visits 2 sigma apart to the east: E² = 2 of both; three such places, one of them with none: (2/2 + 2/2 + 0)/3.
  CHECK(scale.result->horizontal.value == doctest::Approx(std::sqrt(2.0 / 3)).epsilon(1e-4));
  CHECK(has(control::told(scale), "does not show without a known mark"));
  stays.push_back(control::stay_of(shot(595)));
  scale = scale_of(stays);
  CHECK(scale.against() == "marks and repeats");
  CHECK(scale.result->counted == 3);  // the check, and one of A and of B each
  CHECK(has(scale.notes, "D is left out: fewer than two of its visits"));
}

TEST_CASE("equal names of two books are two places") {
  std::vector<ScaleStay> stays{visit("A", 1, 0, 0), visit("A", 1, 600, 200)};
  stays[1].book = 1;
  const auto scale = scale_of(stays);
  CHECK_FALSE(scale.result);
  CHECK(control::told(scale).front().find("0 of 10 visits") != std::string::npos);
}

TEST_CASE("what a stay claimed is read from its seconds, without the scale they were multiplied with") {
  occupation::Point point;
  point.name = "A", point.source = "network", point.status = occupation::PointStatus::accepted;
  point.at.emplace();
  point.at->latitude_deg = 47.6, point.at->longitude_deg = -87.4;
  point.error_scale = 2;
  std::vector<occupation::EpochRecord> epochs(3);
  for (std::size_t i = 0; i < epochs.size(); ++i) {
    auto& e = epochs[i];
    e.utc = UtcTime{kMorning.ms + static_cast<std::int64_t>(i) * 1000};
    e.accepted = i < 2;  // the third is not in the point
    e.latitude_deg = 47.6, e.longitude_deg = -87.4;
    e.ellipsoid_height_m = i == 0 ? 0.01 : i == 1 ? -0.01 : 5;
    e.sigma_east_m = e.sigma_north_m = 2 * kClaim_m;
    e.sigma_up_m = 4 * kClaim_m;
  }
  const auto stay = control::stay_of(point, epochs);
  REQUIRE(stay.claimed);
  CHECK(stay.claimed->plan_m2 == doctest::Approx(2e-4));
  CHECK(stay.claimed->up_m2 == doctest::Approx(4e-4));
  CHECK(stay.claimed->scatter_plan_m2 == doctest::Approx(0).epsilon(1e-12));
  CHECK(stay.claimed->scatter_up_m2 == doctest::Approx(1e-4));
  CHECK_FALSE(control::stay_of(point, {}).claimed);
}
