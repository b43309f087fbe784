// A jump is what a standing receiver does; whoever walks away with a point open is told so.

#include <doctest/doctest.h>

#include <algorithm>
#include <functional>

#include "session/session.hpp"
#include "support/epochs.hpp"
#include "support/nmea_text.hpp"

namespace {

using namespace stillpoint;
using session::FeedState;
using session::Session;
using support::Second;

constexpr double kKnotsPerMps = 1.9438445;  // 3600 s / 1852 m

/// Where the pole is and how fast it moves, second by second.
struct Pace {
  double east_m = 0, mps = 0;
};

struct Day {
  config::Settings settings = support::settings();
  Session day;
  std::vector<session::Alert> raised, cleared;
  std::vector<session::FinishedPoint> points;
  bool rmc_speed = true;

  explicit Day(bool speed_limit)
      : settings(limited(speed_limit)), day(settings, geodesy::Frames::open(settings).value(), {}) {
    day.feed(FeedState::open, "a test", SteadyTime{0});
  }
  static config::Settings limited(bool speed_limit) {
    config::Settings out = support::settings();
    if (!speed_limit) out.sources[0].gate.max_speed_mps.reset();
    return out;
  }
  void run(int from_s, int to_s, const std::function<Pace(int)>& pace) {
    for (int t = from_s; t < to_s; ++t) {
      Second second;
      second.t_s = t;
      const Pace now = pace(t);
      second.east_m = now.east_m;
      second.up_m = 0.0001 * (t % 7);
      second.speed_knots = now.mps * kKnotsPerMps;
      std::string text = second.text();
      if (!rmc_speed) text = without_speed(text);
      day.push(text, SteadyTime{t * 1000 + 80});
      session::Outputs out = day.take();
      std::move(out.raised.begin(), out.raised.end(), std::back_inserter(raised));
      std::move(out.cleared.begin(), out.cleared.end(), std::back_inserter(cleared));
      std::move(out.points.begin(), out.points.end(), std::back_inserter(points));
    }
  }
  /// RMC as some receivers print it: the field of the speed is empty.
  static std::string without_speed(const std::string& text) {
    const auto at = text.find("$GNRMC");
    std::string body = text.substr(at + 1, text.find('*', at) - at - 1);
    std::size_t comma = 0;
    for (int i = 0; i < 7; ++i) comma = body.find(',', comma) + 1;
    body.erase(comma, body.find(',', comma) - comma);
    return text.substr(0, at) + support::sentence(body);
  }
  long count(const std::vector<session::Alert>& alerts, const std::string& key) const {
    return std::count_if(alerts.begin(), alerts.end(), [&](const auto& a) { return a.key == key; });
  }
};

/// 1.2 m/s from second 40 to 66: 31.2 m; then standing there.
Pace walk(int t) {
  const double walked_s = std::clamp(t - 40, 0, 26);
  return {1.2 * walked_s, t > 40 && t <= 66 ? 1.2 : 0.01};
}

TEST_CASE("walking away with a point open is no jump, and is told as what it is") {
  for (const bool limit : {true, false}) {
    for (const bool rmc_speed : {true, false}) {
      CAPTURE(limit);
      CAPTURE(rmc_speed);
      Day d(limit);
      d.rmc_speed = rmc_speed;
      d.run(0, 10, [](int) { return Pace{}; });
      REQUIRE(d.day.occupy({"CUL-9"}).done);
      d.run(10, 80, walk);
      CHECK(d.count(d.raised, "position-jump") == 0);
      REQUIRE(d.count(d.raised, "stay-left") == 1);
      const auto told =
          std::find_if(d.raised.begin(), d.raised.end(), [](const auto& a) { return a.key == "stay-left"; });
      CHECK(told->severity == session::Severity::warning);
      CHECK(told->text.find("CUL-9") != std::string::npos);
      if (limit) CHECK(told->text.find("31.2") != std::string::npos);
      CHECK(d.count(d.cleared, "stay-left") == 0);
      REQUIRE(d.day.drop().done);
      d.run(80, 82, walk);
      CHECK(d.count(d.cleared, "stay-left") == 1);
    }
  }
}

TEST_CASE("whoever comes back to the point is told no longer") {
  Day d(true);
  d.run(0, 10, [](int) { return Pace{}; });
  REQUIRE(d.day.occupy({"CUL-9"}).done);
  d.run(10, 68, walk);
  d.run(68, 94, [](int t) { return Pace{31.2 - 1.2 * (t - 67), 1.2}; });
  d.run(94, 110, [](int) { return Pace{}; });
  CHECK(d.count(d.raised, "stay-left") == 1);
  CHECK(d.count(d.cleared, "stay-left") == 1);
  CHECK(d.count(d.raised, "position-jump") == 0);
}

TEST_CASE("a receiver that stands and jumps is a jump, whatever its positions seem to move by") {
  for (const double jump_m : {0.5, 5.0, 31.76}) {
    for (const bool rmc_speed : {true, false}) {
      CAPTURE(jump_m);
      CAPTURE(rmc_speed);
      Day d(false);
      d.rmc_speed = rmc_speed;
      d.run(0, 10, [](int) { return Pace{}; });
      REQUIRE(d.day.occupy({"CUL-9"}).done);
      d.run(10, 44, [&](int t) { return Pace{t < 42 ? 0.0 : jump_m, 0.01}; });
      CHECK(d.count(d.raised, "position-jump") == 1);
      CHECK(d.count(d.raised, "stay-left") == 0);
    }
  }
}

TEST_CASE("a step of the pole explains no jump that is far longer") {
  Day d(true);
  d.run(0, 10, [](int) { return Pace{}; });
  REQUIRE(d.day.occupy({"CUL-9"}).done);
  d.run(10, 50, [](int t) { return Pace{t < 42 ? 0.0 : 30.0, t >= 40 && t < 42 ? 0.4 : 0.01}; });
  CHECK(d.count(d.raised, "position-jump") == 1);
  CHECK(d.count(d.raised, "stay-left") == 0);
}

}  // namespace
