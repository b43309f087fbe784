#include "session/session.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <map>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include "record/log_clock.hpp"
#include "support/epochs.hpp"
#include "support/nmea_text.hpp"

namespace {

using namespace stillpoint;
using session::FeedState;
using session::Session;
using support::Second;

/// A session that is fed second by second, as a receiver would.
struct Day {
  config::Settings settings = support::settings();
  Session day{settings, geodesy::Frames::open(settings).value(), {}};
  std::vector<session::FinishedPoint> points;
  std::vector<session::Alert> raised, cleared;

  explicit Day(std::optional<config::Settings> other = {})
      : settings(other ? *other : support::settings()), day(settings, geodesy::Frames::open(settings).value(), {}) {
    day.feed(FeedState::open, "a test", SteadyTime{0});
  }
  void collect() {
    session::Outputs out = day.take();
    std::move(out.points.begin(), out.points.end(), std::back_inserter(points));
    std::move(out.raised.begin(), out.raised.end(), std::back_inserter(raised));
    std::move(out.cleared.begin(), out.cleared.end(), std::back_inserter(cleared));
  }
  /// The second's sentences arrive together, 80 ms after it.
  void feed(const Second& second) {
    day.push(second.text(), SteadyTime{second.t_s * 1000 + 80});
    collect();
  }
  void run(int from_s, int to_s, const Second& like = {}) {
    for (int t = from_s; t < to_s; ++t) {
      Second second = like;
      second.t_s = t;
      second.up_m += 0.0001 * (t % 7);  // a living receiver never repeats itself to the last digit
      feed(second);
    }
  }
  /// Seconds whose corrections are as old as `age` says.
  template <class Age>
  void run_aged(int from_s, int to_s, const Age& age) {
    for (int t = from_s; t < to_s; ++t) {
      Second second;
      second.age = age(t);
      run(t, t + 1, second);
    }
  }
  void pass_to(int t_s) {
    day.advance(SteadyTime{t_s * 1000});
    collect();
  }
  int count(const std::vector<session::Alert>& alerts, const std::string& key) const {
    return static_cast<int>(std::count_if(alerts.begin(), alerts.end(), [&](const auto& a) { return a.key == key; }));
  }
};

TEST_CASE("a stay of good seconds is an accepted point at the mark, antenna height subtracted") {
  Day d;
  d.run(0, 10);
  REQUIRE(d.day.occupy({"CUL-14", "CUL-U", "upstream end"}).done);
  d.run(10, 50);
  REQUIRE(d.day.keep().done);
  d.collect();
  REQUIRE(d.points.size() == 1);
  const occupation::Point& p = d.points[0].point;
  CHECK(p.status == occupation::PointStatus::accepted);
  CHECK(p.name == "CUL-14");
  CHECK(p.epochs_used >= 38);
  REQUIRE(p.at.has_value());
  // The network is in the project's own frame: only the antenna height comes off 180.0 - 36.0 m.
  CHECK(p.at->latitude_deg == doctest::Approx(47.6).epsilon(1e-10));
  CHECK(p.at->longitude_deg == doctest::Approx(-87.4).epsilon(1e-10));
  CHECK(p.at->ellipsoid_height_m == doctest::Approx(144.0 - 1.871).epsilon(1e-5));
  CHECK(p.at->coordinate_epoch == 2010.0);
  CHECK(p.source == "county network");
  CHECK(p.station == 417);
  CHECK(p.flags == std::vector<std::string>{"claim-not-proven", "error-scale-not-verified"});
  CHECK(p.estimator == 2);
  CHECK(d.points[0].epochs.size() == p.epochs_used + p.epochs_refused);
}

TEST_CASE("the status says which errors were wanted, where the configuration does") {
  config::Settings settings = support::settings();
  settings.occupation.finish_at_error95_m = config::PerAxis{0.0001, 0.0002};
  Day with(settings), without;
  for (Day* d : {&with, &without}) {
    d->run(0, 10);
    REQUIRE(d->day.occupy({"CUL-14"}).done);
    d->run(10, 20);
  }
  CHECK(with.day.status().occupation->wanted_error95_horizontal_m == 0.0001);
  CHECK(with.day.status().occupation->wanted_error95_vertical_m == 0.0002);
  CHECK(!without.day.status().occupation->wanted_error95_horizontal_m.has_value());
}

TEST_CASE("an SBAS stay is moved into the project frame") {
  Day d;
  Second sbas;
  sbas.quality = 2;
  sbas.age = "5";
  sbas.station = "0131";
  sbas.sigma_m = 0.4;
  d.run(0, 12, sbas);
  REQUIRE(d.day.occupy({"CUL-14"}).done);
  d.run(12, 60, sbas);
  REQUIRE(d.day.keep().done);
  d.collect();
  const occupation::Point& p = d.points.at(0).point;
  CHECK(p.status == occupation::PointStatus::accepted);
  // NAD83(2011) minus ITRF2020 at 47.6 N 87.4 W, 2026.42: E +1.038, N -0.988, U +0.906 m (EPSG parameters).
  CHECK((p.at->longitude_deg + 87.4) * 111'320 * 0.6743 == doctest::Approx(1.038).epsilon(0.01));
  CHECK((p.at->latitude_deg - 47.6) * 111'170 == doctest::Approx(-0.988).epsilon(0.01));
  CHECK(p.at->ellipsoid_height_m - (144.0 - 1.871) == doctest::Approx(0.906).epsilon(0.01));
  CHECK(p.at->coordinate_epoch == doctest::Approx(2026.42).epsilon(1e-5));
}

TEST_CASE("too short a stay is held with both reasons") {
  Day d;
  d.run(0, 10);
  d.day.occupy({"CUL-14"});
  d.run(10, 20);
  d.day.keep();
  d.collect();
  const occupation::Point& p = d.points.at(0).point;
  CHECK(p.status == occupation::PointStatus::held);
  CHECK(p.reasons == std::vector{occupation::HoldReason::too_few_epochs, occupation::HoldReason::too_short});
  CHECK(p.reason_texts.size() == 2);
}

TEST_CASE("thirty seconds at one epoch a second are thirty seconds") {
  const auto settings = support::settings();
  Session day(settings, geodesy::Frames::open(settings).value(), {});
  const auto at = [](const char* text) { return parse_utc(text); };
  day.plan({{"A", 1, "", at("2026-06-03T14:00:10Z"), at("2026-06-03T14:00:40Z")},
            {"B", 1, "", at("2026-06-03T14:00:41Z"), at("2026-06-03T14:01:10Z")}});
  for (int t = 0; t < 80; ++t) {
    Second s;
    s.t_s = t;
    s.up_m = 0.0001 * (t % 7);
    day.push(s.text(), SteadyTime{t * 1000});
  }
  day.finish();
  const auto out = day.take();
  REQUIRE(out.points.size() == 2);
  CHECK(out.points[0].point.epochs_used == 30);
  CHECK(out.points[0].point.status == occupation::PointStatus::accepted);
  CHECK(out.points[0].point.started_utc == at("2026-06-03T14:00:10Z"));
  CHECK(out.points[0].point.finished_utc == at("2026-06-03T14:00:39Z"));
  CHECK(out.points[1].point.epochs_used == 29);
  CHECK(out.points[1].point.status == occupation::PointStatus::held);
}

TEST_CASE("commands that cannot be carried out say why") {
  Day d;
  d.run(0, 10);
  occupation::Point old;
  old.name = "OLD-1";
  old.visit = 2;
  d.day.know(old);
  CHECK(d.day.keep().text == "no point is open; begin one first");
  CHECK(d.day.drop().text == "no point is open; there is nothing to discard");
  CHECK(d.day.occupy({""}).text == "a point needs a name");
  CHECK(d.day.occupy({"a\nb"}).text == "the name holds a control character");
  CHECK_FALSE(d.day.occupy({std::string(65, 'x')}).done);
  CHECK(d.day.occupy({"OLD-1"}).text.find("is in the pointbook already") != std::string::npos);
  CHECK(d.day.occupy({"NEW-1", "", "", true}).text.find("leave out --again") != std::string::npos);
  REQUIRE(d.day.occupy({"OLD-1", "", "", true}).visit == 3);
  CHECK(d.day.occupy({"NEW-1"}).text == "OLD-1 is open; keep or discard it first");
  CHECK(d.day.keep().text.find("no second has counted") != std::string::npos);
}

TEST_CASE("a dropped name is free again, a kept one is not") {
  Day d;
  d.run(0, 10);
  REQUIRE(d.day.occupy({"A"}).done);
  REQUIRE(d.day.drop().done);
  REQUIRE(d.day.occupy({"A"}).done);
  d.run(10, 20);
  REQUIRE(d.day.keep().done);
  CHECK_FALSE(d.day.occupy({"A"}).done);
  CHECK(d.day.occupy({"A", "", "", true}).visit == 2);
}

TEST_CASE("silence ends the stay as held and never joins what comes after") {
  Day d;
  d.run(0, 10);
  d.day.occupy({"A"});
  d.run(10, 60);
  d.pass_to(70);
  REQUIRE(d.points.size() == 1);
  CHECK(d.points[0].point.status == occupation::PointStatus::held);
  CHECK(d.points[0].point.reasons == std::vector{occupation::HoldReason::interrupted});
  CHECK(d.day.status().feed == FeedState::silent);
  CHECK_FALSE(d.day.status().accepted);
  CHECK_FALSE(d.day.keep().done);
}

TEST_CASE("silence is announced within the limit and half a second, once, and cleared once") {
  Day d;
  d.run(0, 10);  // the last second arrives at 9.08 s
  d.day.advance(SteadyTime{12'000});
  d.collect();
  CHECK(d.count(d.raised, "feed-silent") == 0);
  d.day.advance(SteadyTime{12'580});
  d.collect();
  CHECK(d.count(d.raised, "feed-silent") == 1);
  d.pass_to(20);
  d.run(20, 40);
  CHECK(d.count(d.raised, "feed-silent") == 1);
  CHECK(d.count(d.cleared, "feed-silent") == 1);
}

TEST_CASE("a ramp of the age gives one alert a level and one all-clear each") {
  Day d;
  d.run(0, 20);
  // Corrections stop at 20 s: the age counts up.
  d.run_aged(20, 220, [](int t) { return std::to_string(t - 20) + ".0"; });
  CHECK(d.count(d.raised, "corrections-coasting") == 1);
  CHECK(d.count(d.raised, "corrections-stale") == 1);
  d.run(220, 260);
  CHECK(d.count(d.raised, "corrections-coasting") == 1);
  CHECK(d.count(d.raised, "corrections-stale") == 1);
  CHECK(d.count(d.cleared, "corrections-coasting") == 1);
  CHECK(d.count(d.cleared, "corrections-stale") == 1);
}

TEST_CASE("a clean run raises nothing") {
  Day d;
  d.run(0, 600);
  CHECK(d.raised.empty());
}

TEST_CASE("a frozen feed is announced within three seconds and refuses its seconds") {
  Day d;
  d.run(0, 60);
  Second frozen;
  for (int t = 60; t < 70; ++t) {
    frozen.t_s = t;
    d.feed(frozen);
    if (t == 62) d.pass_to(63);
    if (t >= 63) CHECK(d.count(d.raised, "feed-frozen") == 1);
  }
  CHECK(d.day.status().feed == FeedState::frozen);
  CHECK_FALSE(d.day.status().accepted);
}

TEST_CASE("two sources are never mixed in one mean") {
  Day d;
  Second sbas;
  sbas.quality = 2;
  sbas.age = "5";
  sbas.station = "0131";
  sbas.sigma_m = 0.3;
  d.run(0, 12, sbas);
  d.day.occupy({"A"});
  d.run(12, 60, sbas);
  d.run(60, 110);  // the network joins and is settled 5 s later
  d.day.keep();
  d.collect();
  const occupation::Point& p = d.points.at(0).point;
  CHECK(p.source == "county network");
  CHECK(p.epochs_used == 45);  // settled from 65 s to 109 s
  CHECK(p.refused[static_cast<std::size_t>(gate::Reason::other_segment)] >= 47);
  CHECK(p.at->latitude_deg == doctest::Approx(47.6).epsilon(1e-10));
  std::uint64_t kept = 0;
  for (const auto& e : d.points[0].epochs) kept += e.accepted ? 1 : 0;
  CHECK(kept == p.epochs_used);
  CHECK(d.count(d.raised, "source-changed") == 1);
}

TEST_CASE("a stay ends by itself at the longest duration") {
  auto settings = support::settings();
  settings.occupation.max_duration_s = 60;
  Day d(settings);
  d.run(0, 10);
  d.day.occupy({"A"});
  d.run(10, 80);
  REQUIRE(d.points.size() == 1);
  CHECK(d.points[0].point.status == occupation::PointStatus::accepted);
  CHECK(d.points[0].point.epochs_used == 61);
}

TEST_CASE("a planned visit is never cut by the longest duration, and a gap holds it") {
  auto settings = support::settings();
  settings.occupation.max_duration_s = 60;
  Session day(settings, geodesy::Frames::open(settings).value(), {});
  day.plan({{"whole", 1, "", {}, {}}});
  for (int t = 0; t < 200; ++t) {
    if (t >= 100 && t < 110) continue;
    Second s;
    s.t_s = t;
    s.up_m = 0.0001 * (t % 7);
    day.push(s.text(), SteadyTime{t * 1000});
  }
  day.finish();
  const auto out = day.take();
  REQUIRE(out.points.size() == 1);
  const auto& p = out.points[0].point;
  CHECK(p.status == occupation::PointStatus::held);
  CHECK(p.reasons == std::vector{occupation::HoldReason::interrupted});
  CHECK(p.epochs_used == 95);  // the longer part: settled from 5 s to 99 s
  CHECK(p.epochs_used + p.epochs_refused == 190);
}

TEST_CASE("the same bytes cut anywhere give the same point") {
  std::string stream;
  std::vector<std::size_t> ends;
  for (int t = 0; t < 60; ++t) {
    Second s;
    s.t_s = t;
    s.north_m = 0.003 * ((t * 7) % 5 - 2);
    s.up_m = 0.0001 * (t % 7);
    stream += s.text();
    ends.push_back(stream.size());
  }
  const auto settings = support::settings();
  const auto point_with = [&](std::size_t chunk) {
    Session day(settings, geodesy::Frames::open(settings).value(), {});
    day.plan({{"whole", 1, "", {}, {}}});
    std::size_t at = 0;
    for (std::size_t t = 0; t < ends.size(); ++t) {
      for (; at < ends[t]; at += std::min(chunk, ends[t] - at)) {
        day.push(std::string_view(stream).substr(at, std::min(chunk, ends[t] - at)),
                 SteadyTime{static_cast<std::int64_t>(t) * 1000});
      }
    }
    day.finish();
    return day.take().points.at(0).point;
  };
  const auto whole = point_with(100'000);
  for (const std::size_t chunk : {1U, 7U, 64U, 257U}) {
    CAPTURE(chunk);
    const auto cut = point_with(chunk);
    CHECK(cut.at->latitude_deg == whole.at->latitude_deg);
    CHECK(cut.at->error95_horizontal_m == whole.at->error95_horizontal_m);
    CHECK(cut.epochs_used == whole.epochs_used);
  }
}

TEST_CASE("a first second that does not count says why when a point is occupied") {
  Day d;
  Second walking;
  walking.speed_knots = 2.4;
  d.run(0, 20, walking);
  const auto result = d.day.occupy({"A"});
  CHECK(result.done);
  CHECK(result.text.find("not counting yet: moving") != std::string::npos);
}

TEST_CASE("the end of the program keeps what was collected as a held point") {
  Day d;
  d.run(0, 10);
  d.day.occupy({"A"});
  d.run(10, 60);
  d.day.finish();
  d.collect();
  REQUIRE(d.points.size() == 1);
  CHECK(d.points[0].point.status == occupation::PointStatus::held);
  CHECK(d.points[0].point.reasons == std::vector{occupation::HoldReason::interrupted});
}

TEST_CASE("seconds that are set apart from the last counted one by less than the claim allows raise no alarm") {
  Day d;
  d.run(0, 10);
  d.day.occupy({"A"});
  d.run(10, 40);
  Second off;
  off.east_m = 0.022;
  d.run(40, 41, off);
  off.east_m = 0.036;
  d.run(41, 44, off);
  d.day.keep();
  d.collect();
  REQUIRE(d.points.size() == 1);
  CHECK(d.points[0].point.epochs_used == 31);
  CHECK(d.points[0].point.refused[static_cast<std::size_t>(gate::Reason::jump)] == 2);
  CHECK(d.count(d.raised, "position-jump") == 0);
}

TEST_CASE("a jump is held against the claim of both seconds, for one second's alone may be too small") {
  Day d;
  d.run(0, 10);
  d.day.occupy({"A"});
  d.run(10, 40);
  Second off;
  off.east_m = 0.021;
  d.run(40, 41, off);
  off.east_m = 0.040;  // 0.019 m farther, with two thirds of the claim of all the others: 0.015 m
  off.sigma_m = 0.67 * Second().sigma_m;
  d.run(41, 44, off);
  d.day.keep();
  d.collect();
  REQUIRE(d.points.size() == 1);
  REQUIRE(d.points[0].point.refused[static_cast<std::size_t>(gate::Reason::jump)] == 2);
  CHECK(d.count(d.raised, "position-jump") == 0);
}

TEST_CASE("two seconds far from the rest of the stay raise a jump that stays until it is seen") {
  Day d;
  d.run(0, 10);
  d.day.occupy({"A"});
  d.run(10, 40);
  Second away;
  away.east_m = 0.5;
  away.up_m = 0.1;
  d.run(40, 41, away);
  CHECK(d.count(d.raised, "position-jump") == 0);
  d.run(41, 42, away);
  CHECK(d.count(d.raised, "position-jump") == 1);
  d.run(42, 60);
  CHECK(d.count(d.cleared, "position-jump") == 0);
  d.day.seen("position-jump");
  d.run(60, 61);
  CHECK(d.count(d.cleared, "position-jump") == 1);
  CHECK(d.count(d.raised, "position-jump") == 1);
}

TEST_CASE("bytes that are no sentences are a silence with a hint at the baud rate") {
  Day d;
  for (int t = 0; t < 8; ++t) {
    d.day.push("\x81\x02garbled\r\n", SteadyTime{t * 1000 + 500});
    d.collect();
  }
  CHECK(d.count(d.raised, "feed-silent") == 1);
  const auto status = d.day.status();
  CHECK(status.feed == FeedState::silent);
  REQUIRE_FALSE(status.reasons.empty());
  CHECK(status.reasons[0].text.find("baud") != std::string::npos);
}

TEST_CASE("a feed opened anew has its full time to speak") {
  Day d;
  d.run(0, 10);
  d.day.feed(FeedState::waiting, "the port is gone", SteadyTime{11'000});
  d.day.feed(FeedState::open, "a test", SteadyTime{60'000});
  d.collect();
  d.day.advance(SteadyTime{62'500});
  d.collect();
  CHECK(d.count(d.raised, "feed-silent") == 0);
  d.day.advance(SteadyTime{63'500});
  d.collect();
  CHECK(d.count(d.raised, "feed-silent") == 1);
}

TEST_CASE("sentences without a position are not a second that counts") {
  Day d;
  d.run(0, 10);
  d.day.occupy({"A"});
  d.run(10, 40);
  for (int t = 40; t < 50; ++t) {
    d.day.push(support::sentence("GNZDA,140040.00,03,06,2026,00,00"), SteadyTime{t * 1000 + 80});
    d.collect();
  }
  CHECK(d.count(d.raised, "feed-silent") == 1);
  const auto status = d.day.status();
  CHECK_FALSE(status.accepted);
  REQUIRE_FALSE(status.reasons.empty());
  CHECK(status.reasons[0].text.find("no position") != std::string::npos);
  CHECK(d.points.size() == 1);
}

TEST_CASE("a silence neither clears nor raises anew what was told before it") {
  Day d;
  d.run(0, 10);
  const auto age = [](int t) { return std::to_string(t - 9) + ".0"; };
  d.run_aged(10, 40, age);
  REQUIRE(d.count(d.raised, "corrections-stale") == 1);
  d.pass_to(60);
  d.run_aged(60, 70, age);
  CHECK(d.count(d.raised, "corrections-stale") == 1);
  CHECK(d.count(d.cleared, "corrections-stale") == 0);
}

TEST_CASE("a link that is back is not blamed for corrections before its first epoch") {
  Day d;
  d.run(0, 20);
  d.day.cut(SteadyTime{20'000});
  d.day.feed(FeedState::waiting, "it hung up", SteadyTime{20'000});
  d.pass_to(60);
  d.day.feed(FeedState::open, "a test", SteadyTime{60'000});
  d.run(60, 80);
  CHECK(d.count(d.raised, "feed-unavailable") == 1);
  CHECK(d.count(d.raised, "corrections-stale") == 0);
}

TEST_CASE("a second change of the source within a minute is told as well") {
  Day d;
  Second sbas;
  sbas.quality = 2;
  sbas.age = "5";
  sbas.station = "0131";
  sbas.sigma_m = 0.3;
  d.run(0, 10);
  d.run(10, 20, sbas);
  d.run(20, 30);
  CHECK(d.count(d.raised, "source-changed") == 2);
}

TEST_CASE("one second dated in the future closes no planned visit, and one without a time stays in it") {
  const auto settings = support::settings();
  Session day(settings, geodesy::Frames::open(settings).value(), {});
  const auto at = [](const char* text) { return parse_utc(text); };
  day.plan({{"A", 1, "", at("2026-06-03T14:00:00Z"), at("2026-06-03T14:01:00Z")}});
  for (int t = 0; t < 80; ++t) {
    Second s;
    s.t_s = t;
    s.up_m = 0.0001 * (t % 7);
    if (t == 20) s.date = "040627";
    day.push(s.text(), SteadyTime{t * 1000});
    if (t == 40) CHECK(day.take().points.empty());
  }
  day.finish();
  const auto points = day.take().points;
  REQUIRE(points.size() == 1);
  CHECK(points[0].point.epochs_used > 40);
}

TEST_CASE("planned visits come out the same in every order of the plan, over wrong dates and times put back") {
  const auto settings = support::settings();
  const auto at = [](const char* text) { return parse_utc(text); };
  std::vector<session::PlannedVisit> plan{{"whole", 1, "", {}, {}},
                                          {"A", 1, "", at("2026-06-03T14:00:05Z"), at("2026-06-03T14:01:00Z")},
                                          {"over A", 1, "", at("2026-06-03T14:00:10Z"), at("2026-06-03T14:02:00Z")},
                                          {"B", 1, "", at("2026-06-03T14:01:05Z"), at("2026-06-03T14:01:50Z")},
                                          {"never", 1, "", at("2026-06-03T15:00:00Z"), at("2026-06-03T15:01:00Z")},
                                          {"next year", 1, "", at("2027-06-04T14:00:00Z"), at("2027-06-04T14:02:00Z")},
                                          {"to the end", 1, "", at("2026-06-03T14:01:10Z"), {}}};
  const auto play = [&](const std::vector<session::PlannedVisit>& visits) {
    Session day(settings, geodesy::Frames::open(settings).value(), {});
    day.plan(visits);
    for (int t = 0; t < 150; ++t) {
      Second s;
      s.t_s = t > 100 ? t - 3 : t;
      s.up_m = 0.0001 * (t % 7);
      if (t % 30 == 20) s.date = "040627";
      day.push(s.text(), SteadyTime{t * 1000});
    }
    day.finish();
    std::map<std::string, std::pair<int, std::size_t>> found;
    for (const auto& finished : day.take().points) {
      found[finished.point.name] = {static_cast<int>(finished.point.status), finished.point.epochs_used};
    }
    return found;
  };
  const auto wanted = play(plan);
  CHECK(wanted.size() == plan.size());
  CHECK(wanted.at("A").second > 40);
  CHECK(wanted.at("never").second == 0);
  std::sort(plan.begin(), plan.end(), [](const auto& a, const auto& b) { return a.name < b.name; });
  CHECK(play(plan) == wanted);
  std::reverse(plan.begin(), plan.end());
  CHECK(play(plan) == wanted);
}

TEST_CASE("ages that bounce a second about a limit for ten minutes make two rows of alerts at most") {
  struct Row {
    const char* name;
    int limit_s;
  };
  // The limits of the first source of the tests, and where coasting is told: 5 s above the fresh limit.
  const config::Gate gate = support::settings().sources[0].gate;
  for (const Row& row : {Row{"fresh", static_cast<int>(gate.fresh_age_s)},
                         Row{"coasting is told", static_cast<int>(gate.fresh_age_s) + 5},
                         Row{"stale", static_cast<int>(gate.max_age_s)}}) {
    CAPTURE(row.name);
    Day d;
    d.run(0, 30);
    d.run_aged(30, 630, [&](int t) { return std::to_string(row.limit_s + (t % 2 == 0 ? 1 : -1)) + ".0"; });
    const auto rows = std::count_if(d.day.alerts().begin(), d.day.alerts().end(),
                                    [](const session::Alert& alert) { return !alert.folded; });
    CHECK(rows <= 2);
  }
}

TEST_CASE("a pulled cable is one alert, however it shows") {
  for (const bool hang_up : {false, true}) {
    CAPTURE(hang_up);
    Day d;
    d.run(0, 60);
    if (hang_up) d.day.feed(FeedState::waiting, "the port is gone", SteadyTime{60'200});
    d.pass_to(660);
    REQUIRE(d.raised.size() == 1);
    CHECK(d.raised[0].key == (hang_up ? "feed-unavailable" : "feed-silent"));
  }
}

TEST_CASE("a live stay without a second that counted is handed out when it is asked for") {
  for (const bool wanted : {false, true}) {
    CAPTURE(wanted);
    const auto settings = support::settings();
    session::Options options;
    options.empty_stays = wanted;
    Session day(settings, geodesy::Frames::open(settings).value(), options);
    day.occupy({"A"});
    Second poor;
    poor.quality = 1;
    day.push(poor.text(), SteadyTime{80});
    day.finish();
    const auto points = day.take().points;
    REQUIRE(points.size() == (wanted ? 1U : 0U));
    if (wanted) CHECK(points[0].point.status == occupation::PointStatus::none);
  }
}

TEST_CASE("a stop-work alert during a stay is handed out again until it is seen") {
  Day d;
  d.run(0, 10);
  const auto repeats_until = [&d](int from_s, int to_s) {
    std::size_t count = 0;
    for (int t = from_s; t < to_s; ++t) {
      Second s;
      s.t_s = t;
      s.age = "40.0";
      s.up_m = 0.0001 * (t % 7);
      d.day.push(s.text(), SteadyTime{t * 1000 + 80});
      count += d.day.take().repeated.size();
    }
    return count;
  };
  CHECK(repeats_until(10, 60) == 0);  // nobody stands on a point
  d.day.occupy({"A"});
  CHECK(repeats_until(60, 100) >= 2);
  d.day.seen("");
  CHECK(repeats_until(100, 160) == 0);
}

TEST_CASE("an outage is kept with its length, place, point and cause, and the day ends with their sum") {
  Day d;
  d.run(0, 10);
  d.day.occupy({"CUL-15"});
  d.run(10, 30);
  Second lost;
  lost.quality = 1;
  lost.age = "";
  lost.station = "";
  d.run(30, 60, lost);
  d.run(60, 80);
  const auto outages = d.day.summary().outages;
  REQUIRE(outages.size() == 1);
  CHECK(outages[0].lasted_s == doctest::Approx(30).epsilon(0.05));
  CHECK(outages[0].point == "CUL-15");
  CHECK(outages[0].why == "no corrections in use");
  CHECK(outages[0].latitude_deg.value() == doctest::Approx(47.6).epsilon(1e-6));
  CHECK(outages[0].from_utc == parse_utc("2026-06-03T14:00:30Z"));
  CHECK(outages[0].until_utc == parse_utc("2026-06-03T14:01:00Z"));
  d.day.finish();
  std::string text;
  for (const auto& event : d.day.take().events) {
    if (event.kind == "outages") text = event.text;
  }
  CHECK(text.find("1 outage of corrections, 30 s in all") == 0);
}

TEST_CASE("a setting that changes in mid-day is told by name, and nothing else is") {
  struct Row {
    const char* name;
    void (*change)(Second&);
    const char* part;  ///< of the sentence; empty: no alert
  };
  const Row rows[] = {
      {"nothing changes", [](Second&) {}, ""},
      {"GST switched off", [](Second& s) { s.gst = false; }, "GST no longer comes"},
      {"RMC switched off", [](Second& s) { s.rmc = false; }, "RMC no longer comes"},
      {"an outage is no change of settings", [](Second& s) { s.quality = 1; }, ""},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Day d;
    d.run(0, 60);
    Second other;
    row.change(other);
    d.run(60, 100, other);
    const bool wanted = *row.part != '\0';
    CHECK(d.count(d.raised, "receiver-settings-changed") == (wanted ? 1 : 0));
    for (const auto& alert : d.raised) {
      if (alert.key == "receiver-settings-changed") CHECK(alert.text.find(row.part) != std::string::npos);
    }
  }
}

TEST_CASE("an age that swings about a limit for ten minutes is at most two rows") {
  Day d;
  d.run(0, 20);
  d.run_aged(20, 620, [](int t) { return t % 4 < 2 ? "9.5" : "10.5"; });
  CHECK(d.day.status().alerts.size() <= 2);
  CHECK(d.day.alerts().size() <= 4);
}

TEST_CASE("another antenna height ends the stay as held and counts for the next one") {
  Day d;
  CHECK(d.day.set_antenna(2.0, "").text == "say why the antenna height changes");
  CHECK_FALSE(d.day.set_antenna(1.871, "x").done);
  CHECK_FALSE(d.day.set_antenna(31.0, "x").done);
  CHECK_FALSE(d.day.set_antenna(-0.1, "x").done);
  CHECK(d.day.set_antenna(1e308, "x").text == "an antenna height of 1.00e+308 m cannot be right; metres from 0 to 30");
  d.run(0, 10);
  d.day.occupy({"A"});
  d.run(10, 60);
  REQUIRE(d.day.set_antenna(2.0, "a section more").done);
  d.collect();
  REQUIRE(d.points.size() == 1);
  CHECK(d.points[0].point.reasons == std::vector{occupation::HoldReason::interrupted});
  CHECK(d.points[0].point.antenna_height_m == doctest::Approx(1.871));
  d.day.occupy({"B"});
  d.run(60, 110);
  d.day.keep();
  d.collect();
  REQUIRE(d.points.size() == 2);
  CHECK(d.points[1].point.antenna_height_m == 2.0);
  CHECK(d.points[1].point.at->ellipsoid_height_m == doctest::Approx(142.0).epsilon(1e-5));
}

TEST_CASE("an antenna changed before the first second of a stay counts for that stay") {
  Day d;
  d.run(0, 10);
  d.day.occupy({"A"});
  REQUIRE(d.day.set_antenna(2.0, "a section more").done);
  d.run(10, 60);
  d.day.keep();
  d.collect();
  REQUIRE(d.points.size() == 1);
  CHECK(d.points[0].point.status == occupation::PointStatus::accepted);
  CHECK(d.points[0].point.antenna_height_m == 2.0);
}

TEST_CASE("a planned visit is broken by a gap inside it, not by one behind it") {
  struct Row {
    const char* name;
    const char* end;
    bool held;
  };
  const Row rows[] = {
      {"the visit ends with the data", "2026-06-03T14:00:50Z", false},
      {"the visit ends within the silence limit", "2026-06-03T14:00:52Z", false},
      {"the data broke off half a minute before the end", "2026-06-03T14:01:20Z", true},
      {"the visit goes on behind the gap", "2026-06-03T14:02:30Z", true},
      {"the log ends with the visit", "2026-06-03T14:03:20Z", true},
  };
  const auto settings = support::settings();
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Session day(settings, geodesy::Frames::open(settings).value(), {});
    day.plan({{"A", 1, "", parse_utc("2026-06-03T14:00:00Z"), parse_utc(row.end)}});
    for (int t = 0; t < 200; ++t) {
      if (t >= 50 && t < 100) continue;
      Second s;
      s.t_s = t;
      s.up_m = 0.0001 * (t % 7);
      day.push(s.text(), SteadyTime{t * 1000});
    }
    day.finish();
    const auto points = day.take().points;
    REQUIRE(points.size() == 1);
    CHECK((points[0].point.status == occupation::PointStatus::held) == row.held);
  }
}

TEST_CASE("a planned visit that the log does not reach the end of is held, whether another log follows or not") {
  const auto settings = support::settings();
  for (const int more_s : {0, 3, 60}) {
    CAPTURE(more_s);
    Session day(settings, geodesy::Frames::open(settings).value(), {});
    day.plan({{"A", 1, "", parse_utc("2026-06-03T14:00:00Z"), parse_utc("2026-06-03T14:02:00Z")},
              {"B", 1, "", parse_utc("2026-06-03T14:00:00Z"), parse_utc("2026-06-03T14:01:02Z")}});
    for (int t = 0; t < 200 + more_s; ++t) {
      if (t >= 60 && t < 200) continue;
      Second s;
      s.t_s = t;
      s.up_m = 0.0001 * (t % 7);
      day.push(s.text(), SteadyTime{t * 1000});
    }
    day.finish();
    const auto points = day.take().points;
    REQUIRE(points.size() == 2);
    for (const auto& finished : points) {
      const bool is_short = finished.point.name == "A";
      CHECK((finished.point.status == occupation::PointStatus::held) == is_short);
      if (is_short) CHECK(finished.point.reasons == std::vector{occupation::HoldReason::interrupted});
    }
  }
}

TEST_CASE("a day that stands still has ended its stay, refuses the next, and goes on with the bytes") {
  Day d;
  d.run(0, 10);
  d.day.occupy({"A"});
  d.run(10, 60);
  d.day.cut(SteadyTime{60'000}, "the record cannot be written");
  d.collect();
  REQUIRE(d.points.size() == 1);
  CHECK(d.points[0].point.status == occupation::PointStatus::held);
  CHECK(d.points[0].point.reasons == std::vector{occupation::HoldReason::interrupted});
  d.pass_to(200);
  const auto still = d.day.status();
  CHECK(still.feed == FeedState::waiting);
  CHECK(still.feed_what == "the record cannot be written");
  CHECK(still.standstill == "the record cannot be written");
  CHECK_FALSE(still.accepted);
  REQUIRE_FALSE(still.reasons.empty());
  CHECK(still.reasons.front().text == "nothing is judged: the record cannot be written");
  const auto refused = d.day.occupy({"B"});
  CHECK_FALSE(refused.done);
  CHECK(refused.text == "nothing is judged: the record cannot be written");
  CHECK(d.raised.empty());  // no silence: nobody listens
  d.day.feed(FeedState::open, "a test", SteadyTime{200'000});
  CHECK(d.day.status().feed == FeedState::open);
  d.run(200, 210);
  REQUIRE(d.day.occupy({"B"}).done);
  d.run(210, 260);
  REQUIRE(d.day.keep().done);
  d.collect();
  CHECK(d.points.back().point.status == occupation::PointStatus::accepted);
  CHECK(d.raised.empty());
}

TEST_CASE("a stay begun while the receiver starts up is not ended by its first time") {
  Day d;
  d.day.push(support::sentence("GNGGA,,,,,,0,00,,,M,,M,,"), SteadyTime{80});
  d.day.occupy({"A"});
  for (int t = 1; t < 5; ++t) {
    d.day.push(support::sentence("GNGGA,,,,,,0,00,,,M,,M,,"), SteadyTime{t * 1000 + 80});
    d.collect();
  }
  d.run(5, 60);
  CHECK(d.day.status().occupation.has_value());
  REQUIRE(d.day.keep().done);
}

TEST_CASE("two changes of the receiver's settings within a minute are told apart") {
  Day d;
  d.run(0, 60);
  Second other;
  other.gst = false;
  d.run(60, 85, other);
  other.rmc = false;
  d.run(85, 115, other);
  CHECK(d.count(d.raised, "receiver-settings-changed") == 2);
}

/// What came of a log that tells its own time.
struct FromLog {
  session::Summary sums;
  std::vector<session::FinishedPoint> points;
  std::vector<std::pair<std::string, std::optional<UtcTime>>> alerts;
};

template <class Push>
FromLog reduced(const std::string& log, std::size_t chunk, Push push) {
  const config::Settings settings = support::settings();
  Session day(settings, geodesy::Frames::open(settings).value(), {});
  day.plan({{"A", 1, "", parse_utc("2026-06-03T14:00:20Z"), parse_utc("2026-06-03T14:01:00Z")},
            {"B", 1, "", parse_utc("2026-06-03T14:01:10Z"), parse_utc("2026-06-03T14:03:00Z")}});
  for (std::string_view rest = log; !rest.empty(); rest.remove_prefix(std::min(chunk, rest.size()))) {
    push(day, rest.substr(0, chunk));
  }
  push(day, std::string_view());
  day.finish();
  FromLog out;
  out.sums = day.summary();
  out.points = day.take().points;
  for (const auto& alert : day.alerts()) out.alerts.emplace_back(alert.key, alert.since_utc);
  return out;
}

TEST_CASE("a log that tells its own time is framed once, with the answer of timed pieces") {
  std::string log = std::string(20'000, '#') + "GA*00\r\n";
  for (int t = 0; t < 180; ++t) {
    if (t == 90) log += std::string(9'000, '\xFF') + "$GNGGA,broken";
    if (t > 90 && t < 120) continue;
    Second second;
    second.t_s = t;
    second.up_m = 0.0001 * (t % 7);
    if (t >= 140) second.age = std::to_string(t - 140);
    log += second.text();
  }
  log += "$GNGST,1403";
  for (const std::size_t chunk : {1UL, 300UL, 65'536UL}) {
    CAPTURE(chunk);
    record::LogClock pieces;
    const FromLog timed = reduced(log, chunk, [&](Session& day, std::string_view bytes) {
      const auto on_piece = [&](std::string_view piece, SteadyTime arrived) { day.push(piece, arrived); };
      bytes.empty() ? pieces.finish(on_piece) : pieces.push(bytes, on_piece);
    });
    record::SentenceClock clock;
    const FromLog heard = reduced(log, chunk, [&](Session& day, std::string_view bytes) {
      day.push(bytes, [&clock](const nmea::Sentence& sentence, const nmea::Decoded& decoded) {
        return clock.hear(sentence, decoded);
      });
    });
    CHECK(timed.sums.accepted > 60);
    CHECK(heard.sums.stream == timed.sums.stream);
    CHECK(std::tuple(heard.sums.epochs, heard.sums.accepted, heard.sums.refused) ==
          std::tuple(timed.sums.epochs, timed.sums.accepted, timed.sums.refused));
    CHECK(!timed.alerts.empty());
    CHECK(heard.alerts == timed.alerts);
    REQUIRE(heard.points.size() == 2);
    REQUIRE(timed.points.size() == 2);
    for (std::size_t i = 0; i < 2; ++i) {
      CHECK(heard.points[i].point.status == timed.points[i].point.status);
      CHECK(heard.points[i].point.epochs_used == timed.points[i].point.epochs_used);
      CHECK(heard.points[i].point.refused == timed.points[i].point.refused);
      CHECK(heard.points[i].point.at->ellipsoid_height_m == timed.points[i].point.at->ellipsoid_height_m);
    }
  }
}

TEST_CASE("the sentences about a stay are new four times a second at most, its numbers with every epoch") {
  Day day;
  day.run(0, 20);
  REQUIRE(day.day.occupy({"HF-1"}).done);
  day.run(20, 25);
  const auto stay = [&day] { return *day.day.status().occupation; };
  // What arrives early is what a receiver of many hertz sends.
  const auto feed = [&day](int t_s, std::int64_t arrived_ms) {
    Second second;
    second.t_s = t_s;
    second.up_m += 0.0001 * (t_s % 7);
    day.day.push(second.text(), SteadyTime{arrived_ms});
  };
  const session::OccupationStatus before = stay();
  REQUIRE(before.accepted > 0);
  feed(25, 24'180);
  const session::OccupationStatus soon = stay();
  CHECK(soon.accepted > before.accepted);
  CHECK(soon.advice == before.advice);
  feed(26, 24'330);
  CHECK(stay().advice != before.advice);
  // A status in between does not make the words of a slow receiver late.
  day.day.advance(SteadyTime{25'300});
  const session::OccupationStatus between = stay();
  feed(27, 25'330);
  CHECK(stay().advice != between.advice);
}

}  // namespace

TEST_CASE("a stay computed anew has its own antenna height and ends where it ended on the day") {
  struct RowOf {
    const char* name;
    std::optional<double> height_m;
    std::optional<std::uint64_t> epochs;
    double shortest_s;  ///< `max_duration_s` of the settings now
    std::uint64_t used;
    double antenna_m;
  };
  const RowOf rows[] = {
      {"as on the day", {}, 40, 600, 40, 1.871},
      {"with another pole", 2.0, 40, 600, 40, 2.0},
      {"with a rule that would have ended it earlier", {}, 40, 20, 40, 1.871},
      {"broken off by the day's own change of the antenna", 2.0, {}, 600, 50, 2.0},
  };
  for (const RowOf& row : rows) {
    CAPTURE(row.name);
    auto settings = support::settings();
    settings.occupation.max_duration_s = row.shortest_s;
    Day d(settings);
    d.run(0, 10);
    REQUIRE(d.day.occupy({"A", "", "", true, 1, session::Again{row.height_m, row.epochs}}).done);
    d.run(10, 60);
    d.pass_to(61);
    if (!row.epochs) REQUIRE(d.day.set_antenna(1.5, "a section less").done);
    d.collect();
    REQUIRE(d.points.size() == 1);
    CHECK(d.points[0].point.epochs_used + d.points[0].point.epochs_refused == row.used);
    CHECK(d.points[0].point.antenna_height_m == row.antenna_m);
  }
}

TEST_CASE("a stay computed anew that a crash had cut off ends after what was saved, and is held for it") {
  Day d(support::settings());
  d.run(0, 10);
  REQUIRE(d.day.occupy({"A", "", "", true, 1, session::Again{{}, 40, true}}).done);
  d.run(10, 60);
  REQUIRE(d.points.size() == 1);
  const occupation::Point& point = d.points[0].point;
  CHECK(point.epochs_used + point.epochs_refused == 40);
  CHECK(point.status == occupation::PointStatus::held);
  CHECK(point.reasons == std::vector{occupation::HoldReason::interrupted});
}

TEST_CASE("a stay computed anew in which nothing counts any more is handed out as such") {
  session::Options all;
  all.empty_stays = true;
  const auto settings = support::settings();
  Session day(settings, geodesy::Frames::open(settings).value(), all);
  day.feed(FeedState::open, "a test", SteadyTime{0});
  REQUIRE(day.occupy({"A", "", "", true, 1, session::Again{}}).done);
  CHECK(day.keep().done);
  const auto points = day.take().points;
  REQUIRE(points.size() == 1);
  CHECK(points[0].point.status == occupation::PointStatus::none);
}
