// When exactly something is told, and how: looked at from outside, at the millisecond before and at the one it is due.

#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "session/session.hpp"
#include "support/epochs.hpp"
#include "support/nmea_text.hpp"

namespace {

using namespace stillpoint;
using session::FeedState;
using session::Severity;
using support::Second;

/// A session whose steady time begins where the test says; the receiver's is 14:00:00 then.
struct Day {
  std::int64_t begun_ms;
  session::Session day;

  explicit Day(std::int64_t at_ms = 0, const config::Settings& settings = support::settings())
      : begun_ms(at_ms), day(settings, geodesy::Frames::open(settings).value(), {}) {
    day.feed(FeedState::open, "a test", SteadyTime{begun_ms});
  }
  /// Arrives on a tick: a millisecond more is a tick more.
  void second(int t, Second like = {}) {
    like.t_s = t;
    like.up_m += 0.0001 * (t % 7);  // a living receiver never repeats itself to the last digit
    day.push(like.text(), SteadyTime{begun_ms + t * 1000 + 100});
  }
  void run(int from_s, int to_s, const Second& like = {}) {
    for (int t = from_s; t < to_s; ++t) second(t, like);
  }
  void pass_to(std::int64_t ms) { day.advance(SteadyTime{begun_ms + ms}); }
  const session::Alert* active(const std::string& key) const {
    const auto& all = day.alerts();
    const auto found = std::find_if(all.rbegin(), all.rend(), [&](const auto& a) { return a.key == key && a.active; });
    return found == all.rend() ? nullptr : &*found;
  }
};

constexpr std::int64_t kThirtyDaysMs = 30 * 86'400'000LL;

}  // namespace

TEST_CASE("a session that begins at any time of the machine tells silence after the same three seconds") {
  for (const std::int64_t begun_ms : {std::int64_t{0}, std::int64_t{12'345}, kThirtyDaysMs + 77}) {
    CAPTURE(begun_ms);
    Day d(begun_ms);
    d.run(0, 10);  // the last arrives at 9.1 s
    d.pass_to(12'200);
    CHECK(d.active("feed-silent") == nullptr);
    d.pass_to(12'400);
    REQUIRE(d.active("feed-silent") != nullptr);
    // The receiver's time stands still, so that ours is put on to it, on the grid of the ticks.
    const auto since = d.active("feed-silent")->since_utc;
    REQUIRE(since);
    CHECK(since->ms - parse_utc("2026-06-03T14:00:09Z")->ms >= 3200);
    CHECK(since->ms - parse_utc("2026-06-03T14:00:09Z")->ms <= 3400);
  }
}

TEST_CASE("the time goes on by our clock while the receiver says nothing, and is the receiver's when it speaks again") {
  Day d;
  d.run(0, 10);
  CHECK(d.day.status().time_utc == parse_utc("2026-06-03T14:00:09Z"));
  d.pass_to(12'000);  // not silent yet
  CHECK(d.day.status().time_utc == parse_utc("2026-06-03T14:00:09Z"));
  d.pass_to(69'100);
  CHECK(d.day.status().time_utc == parse_utc("2026-06-03T14:01:09Z"));
  CHECK(d.day.status().epoch->utc == parse_utc("2026-06-03T14:00:09Z"));
  d.run(75, 77);
  CHECK(d.day.status().time_utc == parse_utc("2026-06-03T14:01:16Z"));
  d.day.feed(FeedState::ended, "a test", SteadyTime{80'000});
  d.pass_to(90'000);
  CHECK(d.day.status().time_utc == parse_utc("2026-06-03T14:01:16Z"));
}

TEST_CASE("two lost seconds at 1 Hz end no stay where three seconds are the limit, and three do, late or not") {
  for (const int late_ms : {0, 190}) {
    for (const int lost : {2, 3}) {
      CAPTURE(late_ms);
      CAPTURE(lost);
      Day d;
      d.run(0, 20);
      REQUIRE(d.day.occupy({"P-1"}).done);
      d.run(20, 60);
      Second next;
      next.t_s = 60 + lost;
      d.day.push(next.text(), SteadyTime{next.t_s * 1000 + 100 + late_ms});
      d.run(61 + lost, 80);
      CHECK((d.day.open_stand() == nullptr) == (lost == 3));
      CHECK(d.active("feed-silent") == nullptr);
    }
  }
}

TEST_CASE("a receiver with positions every five seconds beside RMC at 1 Hz is neither silent nor interrupted") {
  Day d;
  const auto run = [&d](int from_s, int to_s) {
    for (int t = from_s; t < to_s; ++t) {
      Second s;
      s.t_s = t;
      s.up_m = 0.0001 * (t % 7);
      std::string text = s.text();
      if (t % 5 != 0) text.erase(0, text.find("$GNRMC"));
      d.day.push(text, SteadyTime{t * 1000 + 100 + 37 * (t % 5)});
    }
  };
  run(0, 60);
  REQUIRE(d.day.occupy({"P-1"}).done);
  run(60, 360);
  REQUIRE(d.day.keep().done);
  session::Outputs out = d.day.take();
  CHECK(out.raised.empty());
  REQUIRE(out.points.size() == 1);
  CHECK(out.points[0].point.epochs_used == 60);
  CHECK(out.points[0].point.reasons.empty());
}

TEST_CASE("a silence is over with the fifth epoch behind it, and a second silence begins the count anew") {
  Day d;
  d.run(0, 10);
  d.pass_to(20'000);
  REQUIRE(d.active("feed-silent") != nullptr);
  d.run(20, 24);
  d.pass_to(24'000);
  CHECK(d.active("feed-silent") != nullptr);
  d.pass_to(30'000);
  d.run(30, 34);
  d.pass_to(34'000);
  CHECK(d.active("feed-silent") != nullptr);
  d.second(34);
  d.pass_to(35'000);
  CHECK(d.active("feed-silent") == nullptr);
}

TEST_CASE("whoever follows hears of a stay that was dropped although nothing else comes") {
  Day d;
  d.run(0, 10);
  for (const bool observed : {false, true}) {
    CAPTURE(observed);
    REQUIRE(d.day.occupy({"CUL-14"}).done);
    if (observed) d.run(10, 20);
    d.day.take();
    REQUIRE(d.day.drop().done);
    CHECK(d.day.take().status_changed);
    CHECK_FALSE(d.day.status().occupation);
  }
}

TEST_CASE("the seconds that a stay has counted are those that the receiver gave") {
  Day d;
  d.run(0, 10);
  REQUIRE(d.day.occupy({"CUL-14"}).done);
  d.run(10, 31);  // the newest second is closed by the next one
  const auto stay = d.day.status().occupation;
  REQUIRE(stay);
  CHECK(stay->counted_s == doctest::Approx(static_cast<double>(stay->accepted)));
  CHECK(stay->accepted >= 20);
}

TEST_CASE("an alert about corrections comes and goes at its bounds") {
  struct Row {
    const char* name;
    const char* key;
    void (*spoil)(Second&);
    Severity severity;
    std::int64_t after_ms;  ///< the first spoilt second until it is told
  };
  const Row rows[] = {
      {"too old", "corrections-stale", [](Second& s) { s.age = "10.1"; }, Severity::stop_work, 0},
      {"coasting for five seconds", "corrections-coasting", [](Second& s) { s.age = "8.0"; }, Severity::notice, 0},
      {"another station", "station-unlisted", [](Second& s) { s.station = "0777"; }, Severity::warning, 2000},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Day d;
    d.run(0, 20);
    Second spoilt;
    row.spoil(spoilt);
    std::int64_t told_ms = -1;
    for (int t = 20; t < 26; ++t) {
      d.second(t, spoilt);
      for (int ms = t * 1000 + 100; ms <= (t + 1) * 1000 && told_ms < 0; ms += 100) {
        d.pass_to(ms);
        if (d.active(row.key) != nullptr) told_ms = ms;
      }
    }
    REQUIRE(d.active(row.key) != nullptr);
    CHECK(d.active(row.key)->severity == row.severity);
    CHECK(told_ms == 20'100 + row.after_ms);  // the first tick behind the second's bytes
    // Gone for five seconds before that is told.
    std::int64_t over_ms = -1;
    for (int t = 26; t < 50 && over_ms < 0; ++t) {
      d.second(t);
      for (int ms = t * 1000 + 100; ms <= (t + 1) * 1000 && over_ms < 0; ms += 100) {
        d.pass_to(ms);
        if (d.active(row.key) == nullptr) over_ms = ms;
      }
    }
    CHECK(over_ms == 31'100);
  }
}

TEST_CASE("a check is due again once another source is in use, and says why") {
  // VM-11 is where the receiver stands: 180.0 - 36.0 - 1.871 m.
  constexpr const char* kMarks =
      "name,frame,coordinate_epoch,latitude_deg,longitude_deg,height_m,height_kind,sigma_horizontal_m,"
      "sigma_vertical_m,recovered\n"
      "VM-11,EPSG:6319,2010.0,47.600000,-87.400000,142.129,ellipsoid,0.005,0.008,2026-05-02\n";
  config::Settings settings = support::settings();
  settings.sources.front().check_limit_m = config::PerAxis{0.03, 0.05};
  Day d(0, settings);
  REQUIRE(d.day.set_marks(control::parse_marks(kMarks, "marks.csv")).has_value());
  d.run(0, 30);
  REQUIRE(d.day.check("VM-11").done);
  d.run(30, 70);
  REQUIRE(d.day.keep().done);
  d.run(70, 80);
  REQUIRE(d.active("check-due") == nullptr);
  Second sbas;
  sbas.quality = 2;
  sbas.age = "5";
  sbas.station = "0131";
  sbas.sigma_m = 0.4;
  d.run(80, 100, sbas);
  REQUIRE(d.active("check-due") != nullptr);
  CHECK(d.active("check-due")->text.find("the source changed") != std::string::npos);
  CHECK(d.day.status().check.text.find("the source changed") != std::string::npos);
}
