#pragma once
/// A crew whose receiver stands still at 1 Hz, for tests of what becomes of kept points.
///
/// Units: seconds of the stream, metres. Threads: one.

#include <doctest/doctest.h>

#include <string>

#include "session/session.hpp"
#include "support/epochs.hpp"
#include "support/nmea_text.hpp"

namespace stillpoint::session::test {

/// One receiver at 1 Hz, and a crew that keeps points.
struct KeepingCrew {
  config::Settings settings = support::settings();
  session::Session day{settings, geodesy::Frames::open(settings).value(), {}};
  int t_s = 0;

  void run(int seconds, double north_m = 0) {
    for (const int end_s = t_s + seconds; t_s < end_s; ++t_s) {
      support::Second second;
      second.t_s = t_s;
      second.north_m = north_m;
      second.up_m = 0.0001 * (t_s % 7);
      day.push(second.text(), SteadyTime{t_s * 1000 + 80});
    }
  }
  occupation::Point point(const std::string& name, double north_m = 0) {
    run(20, north_m);
    session::OccupyCommand command;
    command.name = name;
    REQUIRE(day.occupy(command).done);
    run(70, north_m);
    REQUIRE(day.keep().done);
    return day.take().points.at(0).point;
  }
};

}  // namespace stillpoint::session::test
