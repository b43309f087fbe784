#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "session/checks.hpp"
#include "session/session.hpp"
#include "support/epochs.hpp"
#include "support/nmea_text.hpp"

namespace {

using namespace stillpoint;
using control::Outcome;
using session::FeedState;
using session::Session;
using support::Second;

// The receiver says 47.6 N 87.4 W, 180.0 - 36.0 m; the antenna is 1.871 m above the mark, so VM-11 is where it stands.
// At VM-12 NAD83(2011) is E +1.038 m, N -0.988 m, U +0.906 m from VM-11: what ITRF2020 differs by at this place on
// 2026.40, computed with the EPSG parameters outside this program (radii of the GRS80 ellipsoid: 6370291 m, 4308665 m).
constexpr const char* kMarks =
    "name,frame,coordinate_epoch,latitude_deg,longitude_deg,height_m,height_kind,sigma_horizontal_m,"
    "sigma_vertical_m,recovered,status,remarks\n"
    "VM-11,EPSG:6319,2010.0,47.600000,-87.400000,142.129,ellipsoid,0.005,0.008,2026-05-02,good,\n"
    "VM-12,EPSG:6319,2010.0,47.59999111370,-87.39998619688,143.035,ellipsoid,0.005,0.008,2026-05-02,good,\n"
    "VM-13,EPSG:6319,2010.0,47.600000,-87.400000,142.129,ellipsoid,0.005,0.008,2026-05-02,disturbed,leans\n"
    "VM-14,EPSG:6319,2010.0,47.600000,-87.400000,142.129,ellipsoid,0.005,0.008,2026-05-02,good,\n"
    "BASE,EPSG:6319,2010.0,47.600000,-87.400000,142.129,ellipsoid,0.005,0.008,2026-05-02,base,\n";

// SBAS delivers ITRF2020: at VM-11 its positions are those of the network plus what the two frames differ by.
constexpr double kFrameEast_m = -1.038, kFrameNorth_m = 0.988, kFrameUp_m = -0.906;

config::Settings settings_with_limit() {
  config::Settings out = support::settings();
  out.sources.front().check_limit_m = config::PerAxis{0.03, 0.05};
  return out;
}

struct Day {
  config::Settings settings = settings_with_limit();
  Session day;
  std::vector<session::FinishedPoint> points;
  std::vector<session::FinishedCheck> checks;
  int t_s = 0;
  bool by_sbas = false;            ///< the network is gone
  double east_m = 0, north_m = 0;  ///< where the antenna is beside where it should be
  bool gst = true, rmc = true;

  explicit Day(bool with_marks = true, const session::Options& options = {})
      : day{settings, geodesy::Frames::open(settings).value(), options} {
    if (with_marks) REQUIRE(day.set_marks(control::parse_marks(kMarks, "marks.csv")).has_value());
    day.feed(FeedState::open, "a test", SteadyTime{0});
    run(10);
  }
  void collect() {
    session::Outputs out = day.take();
    std::move(out.points.begin(), out.points.end(), std::back_inserter(points));
    std::move(out.checks.begin(), out.checks.end(), std::back_inserter(checks));
  }
  void run(int seconds) {
    for (int i = 0; i < seconds; ++i, ++t_s) {
      Second second;
      second.t_s = t_s;
      second.up_m += 0.0001 * (t_s % 7);
      second.east_m = east_m;
      second.north_m = north_m;
      second.gst = gst;
      second.rmc = rmc;
      if (by_sbas) {
        second.quality = 9;
        second.station = "0133";
        second.age = "5.0";
        second.sigma_m = 0.05;
        second.east_m += kFrameEast_m;
        second.north_m += kFrameNorth_m;
        second.up_m += kFrameUp_m;
      }
      day.push(second.text(), SteadyTime{t_s * 1000 + 80});
      collect();
    }
  }
  const session::FinishedCheck& check(const std::string& mark, int seconds = 40,
                                      const session::CheckCommand& how = {}) {
    REQUIRE(day.check(mark, how).done);
    run(seconds);
    REQUIRE(day.keep().done);
    collect();
    REQUIRE(!checks.empty());
    return checks.back();
  }
  const occupation::Point& point(const std::string& name) {
    REQUIRE(day.occupy({name}).done);
    run(40);
    REQUIRE(day.keep().done);
    collect();
    return points.back().point;
  }
  bool is_up(const std::string& key) const {
    const auto up = day.status().alerts;
    return std::any_of(up.begin(), up.end(), [&](const auto& a) { return a.active && a.key == key; });
  }
};

bool has_flag(const occupation::Point& point, const char* flag) {
  return std::find(point.flags.begin(), point.flags.end(), flag) != point.flags.end();
}

TEST_CASE("a check on the mark under the pole passes, is no point, and ends what was due") {
  Day d;
  CHECK(d.is_up("check-due"));
  CHECK_FALSE(d.day.status().check.due_in_s.has_value());
  CHECK(has_flag(d.point("CUL-01"), "check-due"));
  const auto& check = d.check("VM-11");
  CHECK(check.verdict.outcome == Outcome::pass);
  const double every_s = d.settings.alerts.check_due_min * 60;
  CHECK(d.day.status().check.due_in_s.value_or(0) == doctest::Approx(every_s).epsilon(0.001));
  d.run(100);
  CHECK(d.day.status().check.due_in_s.value_or(0) == doctest::Approx(every_s - 100).epsilon(0.001));
  CHECK(check.kind == "opening");
  REQUIRE(check.residual.has_value());
  CHECK(check.residual->horizontal_m() < 0.002);
  CHECK(d.points.size() == 1);
  CHECK_FALSE(d.is_up("check-due"));
  CHECK_FALSE(has_flag(d.point("CUL-02"), "check-due"));
  CHECK(d.points.back().point.status == occupation::PointStatus::accepted);
}

TEST_CASE("a check that is off by what two frames differ by names the frame, and holds points until one passes") {
  Day d;
  const session::FinishedCheck check = d.check("VM-12");
  CHECK(check.verdict.outcome == Outcome::stop);
  CHECK(check.residual->east_m == doctest::Approx(-1.038).epsilon(0.003));
  CHECK(check.residual->north_m == doctest::Approx(0.988).epsilon(0.003));
  REQUIRE(check.residual->up_m.has_value());
  CHECK(*check.residual->up_m == doctest::Approx(-0.906).epsilon(0.003));
  REQUIRE(!check.diagnosis.suspects.empty());
  CHECK(check.diagnosis.suspects.front().suspect == control::Suspect::frame_swapped);
  CHECK(!check.diagnosis.suspects.front().confirm.empty());
  CHECK(d.is_up("check-failed"));
  const occupation::Point held = d.point("CUL-01");
  CHECK(held.status == occupation::PointStatus::held);
  REQUIRE(held.reasons.size() == 1);
  CHECK(held.reasons.front() == occupation::HoldReason::check_failed);
  CHECK(d.check("VM-11").verdict.outcome == Outcome::pass);
  CHECK_FALSE(d.is_up("check-failed"));
  CHECK(d.point("CUL-02").status == occupation::PointStatus::accepted);
}

TEST_CASE("a stay on a mark shows how far its mean is off the mark so far, and is no open point") {
  Day d;
  CHECK_FALSE(d.day.open_stay().has_value());
  REQUIRE(d.day.check("VM-12").done);
  CHECK(d.day.status().occupation->check);
  d.run(20);
  const auto shown = d.day.open_stay();
  REQUIRE(shown.has_value());
  CHECK(shown->on_mark);
  REQUIRE(shown->off_mark.has_value());
  CHECK(shown->off_mark->east_m == doctest::Approx(-1.038).epsilon(0.003));
  CHECK(shown->off_mark->north_m == doctest::Approx(0.988).epsilon(0.003));
  REQUIRE(d.day.drop().done);
  REQUIRE(d.day.occupy({"CUL-01"}).done);
  d.run(20);
  CHECK_FALSE(d.day.status().occupation->check);
  REQUIRE(d.day.open_stay().has_value());
  CHECK_FALSE(d.day.open_stay()->on_mark);
  CHECK_FALSE(d.day.open_stay()->off_mark.has_value());
  CHECK(d.day.open_stay()->stay.point.name == "CUL-01");
}

TEST_CASE("what cannot prove anything is refused or said") {
  struct Row {
    const char* name;
    const char* mark;
    bool opens;
    const char* says;
  };
  const std::vector<Row> rows{{"a base", "BASE", false, "is the base"},
                              {"a mark nobody listed", "VM-99", false, "no mark is called VM-99"},
                              {"a disturbed mark", "VM-13", true, "disturbed"}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Day d;
    const auto result = d.day.check(row.mark);
    CHECK(result.done == row.opens);
    CHECK(result.text.find(row.says) != std::string::npos);
  }
}

TEST_CASE("a stay on a mark that is too short is no check, and the check stays due") {
  Day d;
  const auto& check = d.check("VM-11", 8);
  CHECK(check.verdict.outcome == Outcome::stop);
  CHECK_FALSE(check.residual.has_value());
  CHECK(d.is_up("check-due"));
  CHECK_FALSE(d.is_up("check-failed"));
}

TEST_CASE("a check is due again after another antenna height and after its time") {
  Day d;
  d.check("VM-11");
  REQUIRE(d.day.set_antenna(2.0, "the pole was drawn out").done);
  d.run(2);
  CHECK(d.is_up("check-due"));

  Day later;
  later.check("VM-11");
  const std::int64_t passed_ms = later.t_s * 1000;
  later.day.advance(SteadyTime{passed_ms + 119 * 60000});
  CHECK_FALSE(later.is_up("check-due"));
  later.day.advance(SteadyTime{passed_ms + 120 * 60000 + 1000});
  CHECK(later.is_up("check-due"));
}

TEST_CASE("a check is due from the very millisecond at which its time is over, and counts down to it") {
  Day d;
  d.check("VM-11");
  const double left_s = d.day.status().check.due_in_s.value_or(0);
  REQUIRE(left_s > 7000);                               // of 120 min
  const std::int64_t now_ms = (d.t_s - 1) * 1000 + 80;  // when the newest second came, see Day::run
  const std::int64_t due_ms = now_ms + static_cast<std::int64_t>(left_s * 1000 + 0.5);
  for (const std::int64_t before_ms : {60000, 1000, 1}) {
    CAPTURE(before_ms);
    d.day.advance(SteadyTime{due_ms - before_ms});
    CHECK_FALSE(d.day.status().check.due);
    CHECK(d.day.status().check.due_in_s.value_or(0) ==
          doctest::Approx(static_cast<double>(before_ms) / 1000).epsilon(1e-9));
  }
  d.day.advance(SteadyTime{due_ms});
  CHECK(d.day.status().check.due);
  CHECK_FALSE(d.day.status().check.due_in_s.has_value());
}

TEST_CASE("the line of the checks tells when, how it ended, and how far off in millimetres") {
  Day d;
  CHECK(d.day.status().check.text.find(" m off") == std::string::npos);
  d.east_m = 0.0124;
  d.check("VM-11");
  const session::CheckStatus told = d.day.status().check;
  REQUIRE(told.off_m.has_value());
  CHECK(std::abs(*told.off_m - 0.0124) < 0.0004);  // so that it is 0.012 in three decimals
  CHECK(told.text == "last 14:00 UTC, passed, 0.012 m off");
}

TEST_CASE("without marks there is no check, no alert and no flag") {
  Day d(false);
  CHECK_FALSE(d.day.check("VM-11").done);
  CHECK_FALSE(d.is_up("check-due"));
  CHECK_FALSE(has_flag(d.point("CUL-01"), "check-due"));
  CHECK(d.day.status().check.text == "no marks configured: nothing can be proved");
}

TEST_CASE("a check can be dropped, and nothing remains of it") {
  Day d;
  REQUIRE(d.day.check("VM-11").done);
  d.run(5);
  CHECK(d.day.checks().is_open());
  REQUIRE(d.day.drop().done);
  CHECK_FALSE(d.day.checks().is_open());
  d.collect();
  CHECK(d.checks.empty());
}

bool is_held_for_overlap(const occupation::Point& point) {
  return point.status == occupation::PointStatus::held &&
         std::find(point.reasons.begin(), point.reasons.end(), occupation::HoldReason::overlap_check_due) !=
             point.reasons.end();
}

TEST_CASE("points under a second source are held until one mark has passed under both and the step is explained") {
  Day d;
  d.check("VM-11");
  CHECK(d.point("CUL-01").status == occupation::PointStatus::accepted);
  d.by_sbas = true;
  d.run(30);
  const occupation::Point held = d.point("CUL-02");
  CHECK(held.source == "sbas");
  CHECK(is_held_for_overlap(held));
  CHECK(held.reason_texts.back().find("no mark has passing checks under \"sbas\" and under \"county network\"") !=
        std::string::npos);
  CHECK(d.day.status().check.text.find("overlap check due") != std::string::npos);
  const auto& second = d.check("VM-11");
  CHECK(second.verdict.outcome != Outcome::stop);
  REQUIRE(second.overlaps.size() == 1);
  CHECK(second.overlaps.front().older_source == "county network");
  CHECK(second.overlaps.front().newer_source == "sbas");
  CHECK(second.overlaps.front().agrees);
  CHECK(d.day.status().check.text.find("overlap") == std::string::npos);
  CHECK(d.point("CUL-03").status == occupation::PointStatus::accepted);
  d.by_sbas = false;
  d.run(30);
  CHECK_FALSE(is_held_for_overlap(d.point("CUL-04")));
}

TEST_CASE("a step that the two methods do not explain leaves the new source untied, and its points held") {
  Day d;
  d.east_m = -0.016;
  REQUIRE(d.check("VM-11").verdict.outcome != Outcome::stop);
  d.by_sbas = true;
  d.east_m = 0;
  d.run(30);
  // On a mark that was never shot under the network: it passes, and ties nothing.
  const session::FinishedCheck elsewhere = d.check("VM-14");
  REQUIRE(elsewhere.verdict.outcome != Outcome::stop);
  CHECK(elsewhere.overlaps.empty());
  // Just inside what a check may be off, on the other side of the mark than the network: more than both explain.
  d.east_m = 0.985 * elsewhere.verdict.limit_horizontal_m;
  const session::FinishedCheck second = d.check("VM-11");
  REQUIRE(second.verdict.outcome != Outcome::stop);
  REQUIRE(second.overlaps.size() == 1);
  CHECK(second.overlaps.front().step.east_m == doctest::Approx(d.east_m + 0.016).epsilon(0.03));
  CHECK_FALSE(second.overlaps.front().agrees);
  const occupation::Point held = d.point("CUL-01");
  CHECK(is_held_for_overlap(held));
  CHECK(held.reason_texts.back().find("do not agree") != std::string::npos);
}

TEST_CASE("a stay says how many more checks on marks prove the claim, of those before and of today") {
  session::Options options;
  for (int i = 0; i < 8; ++i) options.earlier_checks.push_back({"county network", UtcTime{i * 3'600'000}});
  Day d(true, options);
  const auto said = [&] {
    REQUIRE(d.day.occupy({.name = "CUL-" + std::to_string(d.t_s)}).done);
    d.run(40);
    const auto unproven = d.day.status().occupation->unproven;
    d.day.drop();
    return unproven;
  };
  const std::string first = "Averaging does not reduce the error: the receiver's claim is not proven.";
  CHECK(said() == std::vector<std::string>{first, "2 more checks on marks prove it."});
  d.check("VM-11");
  CHECK(said() == std::vector<std::string>{first, "1 more check on a mark proves it."});
}

TEST_CASE("what asks for no overlap check") {
  struct Row {
    const char* name;
    bool marks, point_before;
    bool held;
  };
  const std::vector<Row> rows{{"nothing was kept under the source before", true, false, false},
                              {"no marks are configured", false, true, false},
                              {"a point was kept under the source before", true, true, true}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Day d(row.marks);
    if (row.point_before) d.point("CUL-01");
    d.by_sbas = true;
    d.run(30);
    CHECK(is_held_for_overlap(d.point("CUL-02")) == row.held);
  }
}

TEST_CASE("a check is due again after the receiver's settings changed") {
  Day d;
  d.run(30);
  d.check("VM-11");
  CHECK_FALSE(d.is_up("check-due"));
  d.rmc = false;
  d.run(60);
  CHECK(d.is_up("check-due"));
  CHECK(d.day.status().check.text.find("the receiver's settings changed") != std::string::npos);
}

TEST_CASE("the day closes on a passing check with no point after it; every reason against it is told at once") {
  Day d;
  const auto why = [&d] { return closing_of(d.day).why_not; };
  const auto says = [&](std::size_t i, const char* part) {
    CAPTURE(part);
    REQUIRE(why().size() > i);
    CHECK(why()[i].find(part) != std::string::npos);
  };
  says(0, "no check has been made since the start");
  d.check("VM-11");
  CHECK(why().empty());
  REQUIRE(closing_of(d.day).proof.has_value());
  CHECK(closing_of(d.day).proof->mark == "VM-11");
  d.point("CUL-01");
  CHECK(why().size() == 1);
  says(0, "1 point was kept after the newest check");
  CHECK_FALSE(closing_of(d.day).proof.has_value());
  d.check("VM-12");
  CHECK(why().size() == 1);
  says(0, "the newest check failed");
  d.point("CUL-02");
  REQUIRE(d.day.check("VM-11").done);
  CHECK(why().size() == 3);
  says(0, "the check on VM-11 is open");
  says(1, "the newest check failed");
  says(2, "1 point was kept after");
  d.run(40);
  REQUIRE(d.day.keep().done);
  CHECK(why().empty());
  REQUIRE(d.day.set_antenna(2.0, "the pole was drawn out").done);
  says(0, "the antenna height changed");
  REQUIRE(d.day.occupy({"CUL-03"}).done);
  says(0, "CUL-03 is open");
}

TEST_CASE("a check meant as the last is called closing, and without marks nothing proves the day") {
  Day d;
  CHECK(d.check("VM-11", 40, {true, ""}).kind == "closing");
  Day unproved(false);
  unproved.point("CUL-01");
  CHECK(closing_of(unproved.day).why_not.empty());
  CHECK_FALSE(closing_of(unproved.day).proof.has_value());
}

// A lean of 30 mm to the right and 10 mm forward: facing north it is east and north, facing east south and east …
TEST_CASE("four stays of a turn test find the lean, say what to do, and neither pass nor fail the day") {
  struct Row {
    const char* name;
    double right_m, forward_m;
    bool leans;
  };
  const std::vector<Row> rows{{"a bubble that is out", 0.030, 0.010, true}, {"a good bubble", 0.0, 0.0, false}};
  struct Stay {
    const char* word;
    double east_right, north_right;  ///< of the pole's right
  };
  const std::vector<Stay> stays{{"N", 1, 0}, {"E", 0, -1}, {"S", -1, 0}, {"W", 0, 1}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Day d;
    for (const Stay& stay : stays) {
      CAPTURE(stay.word);
      // Forward is a quarter to the left of right.
      d.east_m = row.right_m * stay.east_right - row.forward_m * stay.north_right;
      d.north_m = row.right_m * stay.north_right + row.forward_m * stay.east_right;
      const auto& done = d.check("VM-11", 40, {false, stay.word});
      CHECK(done.kind == "turn");
      CHECK(done.turn.has_value() == (std::string(stay.word) == "W"));
      if (std::string(stay.word) == "N") CHECK(done.verdict.text.find("check VM-11 --turn E") != std::string::npos);
    }
    const session::FinishedCheck& last = d.checks.back();
    CHECK(last.turn->leans == row.leans);
    CHECK(last.turn->right_m == doctest::Approx(row.right_m).epsilon(0.01));
    CHECK(last.turn->forward_m == doctest::Approx(row.forward_m).epsilon(0.02));
    CHECK((last.verdict.outcome == Outcome::stop) == row.leans);
    CHECK((last.verdict.text.find("adjust the bubble") != std::string::npos) == row.leans);
    CHECK(d.is_up("check-due"));
    CHECK_FALSE(d.is_up("check-failed"));
  }
}

TEST_CASE("a heading that is none is refused, and another mark or pole begins the turn test anew") {
  Day d;
  CHECK_FALSE(d.day.check("VM-11", {false, "up"}).done);
  d.check("VM-11", 40, {false, "N"});
  REQUIRE(d.day.set_antenna(2.0, "the pole was drawn out").done);
  REQUIRE(d.day.set_antenna(1.871, "and pushed in again").done);
  CHECK(d.check("VM-11", 40, {false, "E"}).verdict.text.find("stay 1 of 4") != std::string::npos);
}

}  // namespace

TEST_CASE("a check computed anew has its own antenna height, ends where it ended, and means what it comes to") {
  Day low;
  REQUIRE(low.day.check("VM-11", {}, session::Again{2.071, 30}).done);
  low.run(40);
  REQUIRE(low.checks.size() == 1);
  const session::FinishedCheck& check = low.checks.front();
  CHECK(check.point.epochs_used + check.point.epochs_refused == 30);
  CHECK(check.point.antenna_height_m == 2.071);
  CHECK(check.verdict.outcome == control::Outcome::stop);
  CHECK(check.residual->up_m.value() == doctest::Approx(-0.2).epsilon(0.01));
  const control::CheckShot shot = session::shot_of(check);
  CHECK(shot.antenna_height_m == 2.071);
  CHECK_FALSE(shot.passed);
  CHECK(shot.utc == check.point.finished_utc);
  CHECK(shot.text == check.verdict.text);
  CHECK(shot.off_up_m == check.residual->up_m);
  REQUIRE_FALSE(check.diagnosis.suspects.empty());
  CHECK(shot.suspect == to_word(check.diagnosis.suspects.front().suspect));
  CHECK(low.point("CUL-01").status == occupation::PointStatus::held);

  Day good;
  good.check("VM-11");
  CHECK(session::shot_of(good.checks.front()).passed);
  CHECK(session::shot_of(good.checks.front()).suspect.empty());
  CHECK(good.point("CUL-01").status == occupation::PointStatus::accepted);
}
