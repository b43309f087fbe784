// Corrections on their way to the receiver, as a day hears them beside the receiver's own sentences.

#include <doctest/doctest.h>

#include <algorithm>

#include "base/number.hpp"
#include "session/session.hpp"
#include "support/corrections.hpp"
#include "support/epochs.hpp"
#include "support/nmea_text.hpp"

namespace {

using namespace stillpoint;
using corrections::LinkState;
using corrections::Stop;
using session::FeedState;
using session::FrameProofState;
using session::Session;
using support::base_position;
using support::observations;
using support::Second;

// The base stands 0.4 km north of the rover; its published place is that in NAD83(2011). There the same ground has in
// ITRF2020 on 2026.42 other coordinates: NAD83(2011) minus ITRF2020 is E +1.038, N -0.988, U +0.906 m (EPSG parameters,
// as in checks_test.cpp).
constexpr double kBaseLatitude = 47.6036, kBaseLongitude = -87.4, kBaseHeight = 150.0;
constexpr double kNorthDeg = 1 / 111'180.0, kEastDeg = 1 / (111'320.0 * 0.6743 * 1.0011);

support::Ecef base_in_nad83() {
  return support::ecef_of(kBaseLatitude, kBaseLongitude, kBaseHeight);
}
support::Ecef base_in_itrf() {
  return support::ecef_of(kBaseLatitude + 0.988 * kNorthDeg, kBaseLongitude - 1.038 * kEastDeg, kBaseHeight - 0.906);
}

constexpr const char* kMarks =
    "name,frame,coordinate_epoch,latitude_deg,longitude_deg,height_m,height_kind,sigma_horizontal_m,"
    "sigma_vertical_m,recovered,status,remarks\n"
    "NORTH,EPSG:6319,2010.0,47.6036,-87.4,150.0,ellipsoid,0.003,0.005,2026-05-02,base,\n"
    // Under the rover: 180 - 36 m of the antenna, less 1.871 m of pole.
    "HF-1,EPSG:6319,2010.0,47.6,-87.4,142.129,ellipsoid,0.003,0.005,2026-05-02,good,\n"
    "HF-2,EPSG:6319,2010.0,47.6,-87.4,141.0,ellipsoid,0.003,0.005,2026-05-02,good,a metre too low\n";

/// A day second by second: the receiver's sentences, and the frames of the base in between.
struct Day {
  config::Settings settings = support::settings();
  Session day{settings, geodesy::Frames::open(settings).value(), {}};
  std::vector<session::FinishedPoint> points;
  std::vector<session::Alert> raised, cleared;
  std::vector<session::Event> events;
  int t_s = 0;
  int station = 7;
  support::Ecef base = base_in_nad83();
  bool is_computed = false;
  bool sends = true, lost = false;
  std::string age = "1.0";

  explicit Day(bool with_marks = false) {
    if (with_marks) REQUIRE(day.set_marks(control::parse_marks(kMarks, "marks.csv")).has_value());
    day.feed(FeedState::open, "a test", SteadyTime{0});
  }
  void run(int seconds) {
    for (const int until = t_s + seconds; t_s < until; ++t_s) {
      Second second;
      second.t_s = t_s;
      second.age = age;
      second.up_m = 0.0001 * (t_s % 7);
      day.push(second.text(), SteadyTime{t_s * 1000 + 80});
      if (sends) bring(observations(station) + (t_s % 5 == 0 ? base_position(station, base, is_computed) : ""));
      collect();
    }
  }
  void bring(const std::string& bytes) { session::hear_corrections(day, bytes, lost, SteadyTime{t_s * 1000 + 300}); }
  void link(LinkState state, Stop reason, const std::string& detail = "") {
    session::hear_delivery(day, {state, reason, detail}, SteadyTime{t_s * 1000});
  }
  void collect() {
    session::Outputs out = day.take();
    std::move(out.points.begin(), out.points.end(), std::back_inserter(points));
    std::move(out.raised.begin(), out.raised.end(), std::back_inserter(raised));
    std::move(out.cleared.begin(), out.cleared.end(), std::back_inserter(cleared));
    std::move(out.events.begin(), out.events.end(), std::back_inserter(events));
  }
  const session::Alert* active(const std::string& key) const {
    const auto& all = day.alerts();
    const auto at = std::find_if(all.begin(), all.end(), [&](const auto& a) { return a.key == key && a.active; });
    return at == all.end() ? nullptr : &*at;
  }
  std::string text_of(const std::string& key) const { return active(key) != nullptr ? active(key)->text : ""; }
};

bool holds(const occupation::Point& point, occupation::HoldReason reason) {
  return std::find(point.reasons.begin(), point.reasons.end(), reason) != point.reasons.end();
}
bool has_flag(const occupation::Point& point, const char* flag) {
  return std::find(point.flags.begin(), point.flags.end(), flag) != point.flags.end();
}

TEST_CASE("a day whose corrections pass by another way says nothing of them") {
  Day d;
  d.sends = false;
  d.run(30);
  CHECK_FALSE(d.day.status().delivery);
  CHECK_FALSE(d.day.status().base);
  d.bring("what a program tells the receiver\r\n");
  d.run(30);
  CHECK_FALSE(d.day.status().delivery);
  CHECK(d.raised.empty());
}

TEST_CASE("frames that come are running, with the age of the newest by our clock") {
  Day d;
  d.run(10);
  const auto status = d.day.status();
  REQUIRE(status.delivery);
  CHECK(status.delivery->state == "running");
  CHECK(status.delivery->reason.empty());
  REQUIRE(status.delivery->age_s);
  CHECK(*status.delivery->age_s < 1.0);
  REQUIRE(status.base);
  CHECK(status.base->station == 7);
  REQUIRE(status.base->distance_m);
  CHECK(*status.base->distance_m == doctest::Approx(400.2).epsilon(0.01));  // 0.0036 degrees of latitude
  CHECK(d.raised.empty());
}

TEST_CASE("ten seconds without a frame are told once, with the second of the last one and not of the notice") {
  Day d;
  d.link(LinkState::running, Stop::none);
  d.run(20);
  d.sends = false;
  d.run(9);
  CHECK(d.active("corrections-stopped") == nullptr);
  d.run(3);
  CHECK(d.text_of("corrections-stopped") == "no corrections since 14:00:19: the caster answers, this mount is silent");
  const auto status = d.day.status();
  CHECK(status.delivery->state == "stopped");
  CHECK(status.delivery->reason == "mount-silent");
  CHECK(status.delivery->text == "none for 12 s. The caster answers, this mount is silent (stopped at 14:00:19).");
  d.sends = true;
  d.run(7);
  CHECK(d.active("corrections-stopped") == nullptr);
  CHECK(d.raised.size() == 1);
}

TEST_CASE("each reason is told apart: the link's own first, then what has come") {
  struct Row {
    const char* name;
    LinkState state;
    Stop told;
    bool damaged, lost;
    const char* reason;
  };
  for (const Row& row :
       {Row{"the host refuses", LinkState::stopped, Stop::refused, false, false, "refused"},
        Row{"the login", LinkState::stopped, Stop::login_refused, false, false, "login-refused"},
        Row{"nothing came of it yet", LinkState::connecting, Stop::none, false, false, "caster-silent"},
        Row{"the mount is silent", LinkState::running, Stop::none, false, false, "mount-silent"},
        Row{"bytes without a frame", LinkState::running, Stop::none, true, false, "damaged"},
        Row{"the receiver's link is full", LinkState::running, Stop::none, false, true, "receiver-stalled"},
        Row{"a program on the relay", LinkState::none, Stop::none, false, false, "program-silent"}}) {
    CAPTURE(row.name);
    Day d;
    if (row.state != LinkState::none) d.link(LinkState::running, Stop::none);
    d.run(10);
    if (row.state != LinkState::none) d.link(row.state, row.told);
    d.lost = row.lost;
    for (int i = 0; i < 12; ++i) {
      d.sends = row.lost;
      d.run(1);
      if (row.damaged) d.bring("garbage of another format");
    }
    REQUIRE(d.day.status().delivery);
    CHECK(d.day.status().delivery->state == "stopped");
    CHECK(d.day.status().delivery->reason == row.reason);
    CHECK(d.active("corrections-stopped") != nullptr);
  }
}

TEST_CASE("what follows from corrections that stopped is not announced beside it") {
  Day d;
  d.link(LinkState::running, Stop::none);
  d.run(20);
  d.sends = false;
  for (int i = 0; i < 20; ++i) {
    d.age = std::to_string(1 + i) + ".0";
    d.run(1);
    const bool stopped = d.active("corrections-stopped") != nullptr, stale = d.active("corrections-stale") != nullptr,
               coasting = d.active("corrections-coasting") != nullptr;
    CAPTURE(i);
    // Each alert lingers for a while when its cause has another one; what is raised is what matters.
    if (stopped && stale) CHECK(d.raised.back().key == "corrections-stale");
    if (stopped && coasting) CHECK(d.raised.back().key == "corrections-stopped");
  }
  CHECK(d.text_of("corrections-stale") ==
        "none since 14:00:19, no second counts: the caster answers, this mount is silent");
}

TEST_CASE("a stop that makes the age too old within two seconds is announced once, as that") {
  for (const double ahead_s : {-0.4, 0.0, 0.4, 0.8, 1.2}) {  // of the receiver's age against the last frame
    CAPTURE(ahead_s);
    Day d;
    d.link(LinkState::running, Stop::none);
    d.run(20);
    d.raised.clear();
    d.sends = false;
    for (int second = 1; second <= 20; ++second) {
      d.age = fixed(second - ahead_s, 1);
      d.run(1);
    }
    const auto is_told = [&](const char* key) {
      return std::any_of(d.raised.begin(), d.raised.end(), [&](const auto& alert) { return alert.key == key; });
    };
    CHECK(is_told("corrections-stale"));
    CHECK_FALSE(is_told("corrections-stopped"));
  }
}

TEST_CASE("frames that reach a receiver whose age goes on growing are not used by it") {
  Day d;
  d.link(LinkState::running, Stop::none);
  d.run(30);
  for (int i = 2; i < 10; ++i) {
    d.age = std::to_string(i) + ".0";
    d.run(1);
  }
  CHECK(d.active("receiver-not-using") == nullptr);
  d.age = "10.0";
  d.run(1);
  CHECK(d.text_of("receiver-not-using") ==
        "corrections reach the receiver, and it does not use them: its own age of them goes on growing");
  d.age = "1.0";
  d.run(7);
  CHECK(d.active("receiver-not-using") == nullptr);
}

TEST_CASE("a receiver that has just got its corrections back is given time to use them") {
  Day d;
  d.link(LinkState::running, Stop::none);
  d.run(20);
  d.sends = false;
  d.run(8);
  d.sends = true;
  d.age = "10.0";
  d.run(14);
  CHECK(d.active("receiver-not-using") == nullptr);
  d.run(3);
  CHECK(d.active("receiver-not-using") != nullptr);
}

TEST_CASE("another base ends the stay, which is held for it, and stops the work until somebody has seen it") {
  Day d;
  d.run(20);
  REQUIRE(d.day.occupy({"CUL-14"}).done);
  d.run(40);
  d.station = 9;
  d.run(4);
  CHECK(d.points.empty());
  d.run(3);
  REQUIRE(d.points.size() == 1);
  const occupation::Point& p = d.points[0].point;
  CHECK(p.status == occupation::PointStatus::held);
  CHECK(p.reasons == std::vector{occupation::HoldReason::base_changed});
  REQUIRE(d.active("base-changed") != nullptr);
  CHECK(d.active("base-changed")->severity == session::Severity::stop_work);
  CHECK(d.active("base-changed")->text == "corrections come from another base, station 9 instead of 7: begin again");
  d.run(30);
  CHECK(d.active("base-changed") != nullptr);
  d.day.seen("base-changed");
  d.run(1);
  CHECK(d.active("base-changed") == nullptr);
}

TEST_CASE("a base that stands two centimetres elsewhere ends the stay too") {
  Day d;
  d.run(20);
  REQUIRE(d.day.occupy({"CUL-14"}).done);
  d.run(40);
  d.base[2] += 0.02;
  d.run(6);
  REQUIRE(d.points.size() == 1);
  CHECK(holds(d.points[0].point, occupation::HoldReason::base_changed));
  CHECK(d.text_of("base-changed") == "base 7 says that it stands 0.020 m elsewhere than before: begin again");
}

TEST_CASE("a base that changes under a receiver that works by satellites alone ends nothing") {
  Day d;
  d.run(20);
  d.station = 9;
  for (int i = 0; i < 10; ++i) {
    Second second;
    second.t_s = d.t_s;
    second.quality = 2;
    second.station = "0131";
    second.age = "5";
    second.sigma_m = 0.4;
    d.day.push(second.text(), SteadyTime{d.t_s * 1000 + 80});
    d.bring(observations(9));
    d.collect();
    ++d.t_s;
  }
  CHECK(d.active("base-changed") == nullptr);
  CHECK(d.day.status().base->station == 9);
}

TEST_CASE("a point carries the base it rests on and where that base says it stands") {
  Day d;
  d.run(20);
  REQUIRE(d.day.occupy({"CUL-14"}).done);
  d.run(40);
  REQUIRE(d.day.keep().done);
  d.collect();
  const occupation::Point& p = d.points.at(0).point;
  CHECK(p.status == occupation::PointStatus::accepted);
  CHECK(p.base_station == 7);
  REQUIRE(p.base_x_m);
  CHECK(*p.base_x_m == doctest::Approx(d.base[0]).epsilon(1e-9));
  CHECK(*p.base_y_m == doctest::Approx(d.base[1]).epsilon(1e-9));
  CHECK(*p.base_z_m == doctest::Approx(d.base[2]).epsilon(1e-9));
  CHECK_FALSE(has_flag(p, "frame-proven"));
}

TEST_CASE("one stop is told with one time, whenever it is told") {
  Day d;
  d.link(LinkState::running, Stop::none);
  d.run(20);
  d.sends = false;
  d.run(1);
  const auto at = d.day.status().delivery->last_frame_utc;
  REQUIRE(at);
  for (int second = 0; second < 30; ++second) {
    for (int ms = 100; ms < 1000; ms += 100) {  // between the receiver's seconds too
      d.day.advance(SteadyTime{(d.t_s - 1) * 1000 + ms});
      CHECK(d.day.status().delivery->last_frame_utc == at);
    }
    d.run(1);
  }
}

TEST_CASE("a base that sends its published place in the configured frame proves it") {
  Day d(true);
  d.run(20);
  const auto base = d.day.status().base;
  REQUIRE(base);
  CAPTURE(base->proof_text);
  CHECK(base->proof_state == FrameProofState::proven);
  CHECK(base->proof_text.find("NORTH") != std::string::npos);
  REQUIRE(d.day.occupy({"CUL-14"}).done);
  d.run(40);
  REQUIRE(d.day.keep().done);
  d.collect();
  CHECK(has_flag(d.points.at(0).point, "frame-proven"));
  CHECK(d.active("frame-contradicted") == nullptr);
}

TEST_CASE("a base that speaks another frame than the configuration says stops the work and holds points") {
  Day d(true);
  d.base = base_in_itrf();
  d.run(20);
  const auto base = d.day.status().base;
  REQUIRE(base);
  CAPTURE(base->proof_text);
  CHECK(base->proof_state == FrameProofState::contradicted);
  REQUIRE(d.active("frame-contradicted") != nullptr);
  CHECK(d.active("frame-contradicted")->severity == session::Severity::stop_work);
  REQUIRE(d.day.occupy({"CUL-14"}).done);
  d.run(40);
  CHECK(d.day.status().occupation->keep_why == std::vector{occupation::HoldReason::frame_contradicted});
  REQUIRE(d.day.keep().done);
  d.collect();
  const occupation::Point& p = d.points.at(0).point;
  CHECK(p.status == occupation::PointStatus::held);
  CHECK(p.reasons == std::vector{occupation::HoldReason::frame_contradicted});
  CHECK_FALSE(has_flag(p, "frame-proven"));
}

TEST_CASE("a base that is worked out near the rover proves nothing, and says so") {
  Day d(true);
  d.is_computed = true;
  d.base = base_in_itrf();
  d.run(20);
  const auto base = d.day.status().base;
  REQUIRE(base);
  CHECK(base->is_virtual);
  CHECK(base->proof_state == FrameProofState::open);
  CHECK(base->proof_text == "base 7 is worked out near you by the network, so that it proves no frame");
  CHECK(d.active("frame-contradicted") == nullptr);
}

TEST_CASE("a base that follows the rover under one number is worked out, whatever it says of itself") {
  Day d(true);
  d.base = support::ecef_of(47.55, -87.4, 150.0);
  d.run(10);
  d.base = base_in_itrf();
  d.run(10);
  const auto base = d.day.status().base;
  REQUIRE(base);
  CHECK(base->is_virtual);
  CHECK(base->proof_state == FrameProofState::open);
}

TEST_CASE("a base of which no published place is known leaves the frame open, and says what is missing") {
  Day d(true);
  d.base = support::ecef_of(47.8, -87.4, 150.0);
  d.run(20);
  const auto base = d.day.status().base;
  REQUIRE(base);
  CHECK(base->proof_state == FrameProofState::open);
  CHECK(base->proof_text ==
        "no published place of base 7 is among the marks (status base), so that it proves no frame");
}

/// A base that is published nowhere, and a check on a mark.
struct Unpublished : Day {
  Unpublished() : Day(true) {
    base = support::ecef_of(47.8, -87.4, 150.0);
    run(20);
  }
  void check(const char* mark) {
    REQUIRE(day.check(mark).done);
    run(40);
    REQUIRE(day.keep().done);
    collect();
  }
  occupation::Point keep() {
    REQUIRE(day.occupy({"CUL-14"}).done);
    run(40);
    REQUIRE(day.keep().done);
    collect();
    return points.at(points.size() - 1).point;
  }
  FrameProofState state() const { return day.status().base->proof_state; }
};

TEST_CASE("a check that passed proves the frame where the base's place says nothing, with its figures and its date") {
  Unpublished d;
  CHECK(d.state() == FrameProofState::open);
  d.check("HF-1");
  CHECK(d.state() == FrameProofState::proven);
  const std::string text = d.day.status().base->proof_text;
  CAPTURE(text);
  CHECK(text.starts_with("the check on HF-1 passed 0.00"));
  CHECK(text.find("NAD83(2011)") != std::string::npos);
  // 1.696 m by EPSG's parameters from ITRF2020 of the day, as above; the ITRF of 2010 is 16 years of the plate nearer.
  CHECK(text.find(", as configured; it is 1.52 m from that in EPSG:7909 ITRF2000 of 2010.00") != std::string::npos);
  CHECK(text.ends_with("(2026-06-03)"));
  const auto said = std::count_if(d.events.begin(), d.events.end(), [&](const auto& e) { return e.text == text; });
  CHECK(said == 1);
  CHECK(has_flag(d.keep(), "frame-proven"));
  d.run(60);
  CHECK(d.day.status().base->proof_text == text);
}

TEST_CASE("a check proves the frame of a base that is worked out near the rover as well") {
  Unpublished d;
  d.is_computed = true;
  d.run(10);
  d.check("HF-1");
  CHECK(d.state() == FrameProofState::proven);
}

TEST_CASE("a check that failed proves no frame") {
  Unpublished d;
  d.check("HF-2");
  CHECK(d.state() == FrameProofState::open);
}

TEST_CASE("a check under one base says nothing of another") {
  Unpublished d;
  d.check("HF-1");
  d.station = 9;
  d.run(20);
  CHECK(d.state() == FrameProofState::open);
}

TEST_CASE("a check does not outvote a base that contradicts the frame by its published place") {
  Day d(true);
  d.base = base_in_itrf();
  d.run(20);
  REQUIRE(d.day.check("HF-1").done);
  d.run(40);
  REQUIRE(d.day.keep().done);
  CHECK(d.day.status().base->proof_state == FrameProofState::contradicted);
}

TEST_CASE("what a base writes is kept among the events, without what cannot be seen") {
  Day d;
  d.run(5);
  d.bring(support::base_text("off at noon\x1b[2J"));
  d.collect();
  const auto said =
      std::find_if(d.events.begin(), d.events.end(), [](const auto& e) { return e.text.starts_with("the base says"); });
  REQUIRE(said != d.events.end());
  CHECK(said->text == "the base says: off at noon?[2J");
}

TEST_CASE("a receiver that is not there is one cause: corrections that do not reach it are not told beside it") {
  Day d;
  d.link(LinkState::running, Stop::none);
  d.run(20);
  d.day.feed(FeedState::waiting, "tcp 127.0.0.1:9000: connection refused", SteadyTime{d.t_s * 1000});
  d.lost = true;
  for (int i = 0; i < 30; ++i, ++d.t_s) d.bring(observations(7));
  d.collect();
  CHECK(d.active("feed-unavailable") != nullptr);
  CHECK(d.active("corrections-stopped") == nullptr);
}

}  // namespace
