#include <doctest/doctest.h>

#include <algorithm>

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
    "BASE,EPSG:6319,2010.0,47.600000,-87.400000,142.129,ellipsoid,0.005,0.008,2026-05-02,base,\n";

config::Settings settings_with_limit() {
  config::Settings out = support::settings();
  out.sources.front().check_limit_m = config::PerAxis{0.03, 0.05};
  return out;
}

struct Day {
  config::Settings settings = settings_with_limit();
  Session day{settings, geodesy::Frames::open(settings).value(), {}};
  std::vector<session::FinishedPoint> points;
  std::vector<session::FinishedCheck> checks;
  int t_s = 0;

  explicit Day(bool with_marks = true) {
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
      day.push(second.text(), SteadyTime{t_s * 1000 + 80});
      collect();
    }
  }
  const session::FinishedCheck& check(const std::string& mark, int seconds = 40) {
    REQUIRE(day.check(mark).done);
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
  CHECK(has_flag(d.point("CUL-01"), "check-due"));
  const auto& check = d.check("VM-11");
  CHECK(check.verdict.outcome == Outcome::pass);
  CHECK(check.kind == "opening");
  REQUIRE(check.residual.has_value());
  CHECK(check.residual->horizontal_m() < 0.002);
  CHECK(d.points.size() == 1);
  CHECK_FALSE(d.day.has_name("VM-11"));
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
  CHECK_FALSE(d.day.shown_stay().has_value());
  REQUIRE(d.day.check("VM-12").done);
  CHECK(d.day.status().occupation->check);
  d.run(20);
  CHECK_FALSE(d.day.open_stay().has_value());
  const auto shown = d.day.shown_stay();
  REQUIRE(shown.has_value());
  CHECK(shown->on_mark);
  REQUIRE(shown->off_mark.has_value());
  CHECK(shown->off_mark->east_m == doctest::Approx(-1.038).epsilon(0.003));
  CHECK(shown->off_mark->north_m == doctest::Approx(0.988).epsilon(0.003));
  REQUIRE(d.day.drop().done);
  REQUIRE(d.day.occupy({"CUL-01"}).done);
  d.run(20);
  CHECK_FALSE(d.day.status().occupation->check);
  REQUIRE(d.day.shown_stay().has_value());
  CHECK_FALSE(d.day.shown_stay()->on_mark);
  CHECK_FALSE(d.day.shown_stay()->off_mark.has_value());
  CHECK(d.day.open_stay()->point.name == "CUL-01");
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
  CHECK(d.day.is_checking());
  REQUIRE(d.day.drop().done);
  CHECK_FALSE(d.day.is_checking());
  d.collect();
  CHECK(d.checks.empty());
}

}  // namespace

TEST_CASE("a check computed anew has its own antenna height, ends where it ended, and means what it comes to") {
  Day low;
  REQUIRE(low.day.check("VM-11", session::Again{2.071, 30}).done);
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
  CHECK(low.point("CUL-01").status == occupation::PointStatus::held);

  Day good;
  good.check("VM-11");
  CHECK(session::shot_of(good.checks.front()).passed);
  CHECK(good.point("CUL-01").status == occupation::PointStatus::accepted);
}
