// Heights that come in steps of 0.1 m: a step of the last digit is no jump, no second level, and what does jump is
// named.

#include <doctest/doctest.h>

#include <algorithm>
#include <string>

#include "session/session.hpp"
#include "support/epochs.hpp"
#include "support/nmea_text.hpp"
#include "support/standing.hpp"

namespace {

using namespace stillpoint;
using occupation::HoldReason;
using support::Second;

struct Day {
  config::Settings settings = support::settings();
  session::Session session{settings, geodesy::Frames::open(settings).value(), {}};

  Day() { session.feed(session::FeedState::open, "a test", SteadyTime{0}); }
  void second(Second s) {
    s.up_m += 0.0001 * (s.t_s % 7);
    session.push(s.text(), SteadyTime{s.t_s * 1000 + 80});
  }
  /// The stop-work alert about a jump; empty: none.
  std::string jump() const {
    const auto& all = session.alerts();
    const auto found = std::find_if(all.begin(), all.end(), [](const auto& a) { return a.key == "position-jump"; });
    return found == all.end() ? "" : found->text;
  }
};

TEST_CASE("clean stays with heights to 0.1 m are never held for two levels, and raise no jump") {
  for (const double sigma_m : {0.008, 0.013, 0.033}) {  // in plan; half as much again in height
    for (const double altitude_m : {183.20, 183.225, 183.25}) {
      CAPTURE(sigma_m);
      CAPTURE(altitude_m);
      support::StandingReceiver receiver({.altitude_decimals = 1, .sigma_m = sigma_m, .altitude_m = altitude_m},
                                         static_cast<unsigned>(sigma_m * 1e4));
      auto settings = support::settings();
      settings.sources[0].gate.max_error95_horizontal_m.reset();
      settings.sources[0].gate.max_error95_vertical_m.reset();
      session::Session session(settings, geodesy::Frames::open(settings).value(), {});
      session.feed(session::FeedState::open, "a test", SteadyTime{0});
      int kept = 0, two_levels = 0, jumps = 0;
      for (int t = 0; t < 4020; ++t) {
        std::string text;
        for (const std::string& body : receiver.next()) text += support::sentence(body);
        session.push(text, SteadyTime{t * 1000 + 80});
        if (t % 100 == 20) session.occupy({"P" + std::to_string(t)});
        if (t % 100 == 19 && t > 100) session.keep();
        session::Outputs out = session.take();
        jumps += static_cast<int>(out.raised.size());
        for (const auto& each : out.points) {
          ++kept;
          const auto& why = each.point.reasons;
          two_levels += std::count(why.begin(), why.end(), HoldReason::unresolved) > 0 ? 1 : 0;
        }
      }
      CHECK(kept == 40);
      CHECK(two_levels == 0);
      CHECK(jumps == 0);
    }
  }
}

TEST_CASE("the alarm names the axis that jumped") {
  struct Row {
    const char* name;
    double north_m, up_m;
    const char* text;
  };
  const Row rows[] = {
      {"in plan", 0.50, 0.0,
       "position jumped 0.50 m horizontally on a standing pole (claim at 95 %: 0.022 m): set apart"},
      {"in height", 0.0, 0.50, "height jumped 0.50 m on a standing pole (claim at 95 %: 0.029 m): set apart"},
      {"in both", 0.31, 0.58, "position jumped 0.31 m horizontally, 0.58 m in height on a standing pole: set apart"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Day day;
    for (int t = 0; t < 43; ++t) {
      if (t == 10) REQUIRE(day.session.occupy({"A"}).done);
      Second s;
      s.t_s = t;
      if (t >= 40) {
        s.north_m = row.north_m;
        s.up_m = row.up_m;
      }
      day.second(s);
    }
    CHECK(day.jump() == row.text);
  }
}

}  // namespace
