#include <doctest/doctest.h>

#include <cmath>
#include <string>

#include "session/session.hpp"
#include "support/epochs.hpp"
#include "support/nmea_text.hpp"

namespace {

using namespace stillpoint;
using support::Second;

/// Minutes of a receiver in Honolulu (21.31 N 157.86 W): the lake's sentences with another place in them.
std::string in_honolulu(Second second) {
  constexpr double kNorthM = (21.31 - 47.6) * 111'170.0;
  second.north_m += kNorthM;
  const double cosine = std::cos(47.6 * 3.14159265358979 / 180);
  second.east_m += (-157.86 + 87.4) * 111'320.0 * cosine;
  return second.text();
}

occupation::Point point_of(const config::Settings& settings) {
  session::Session day(settings, geodesy::Frames::open(settings).value(), {});
  day.plan({{"A", 1, "", parse_utc("2026-06-03T14:00:10Z"), parse_utc("2026-06-03T14:01:10Z")}});
  for (int t = 0; t < 90; ++t) {
    Second s;
    s.t_s = t;
    s.up_m = 0.0001 * (t % 7);
    day.push(in_honolulu(s), SteadyTime{t * 1000});
  }
  day.finish();
  const auto out = day.take();
  REQUIRE(out.points.size() == 1);
  return out.points[0].point;
}

TEST_CASE("seconds where a frame's area is in doubt do not count before somebody has looked") {
  config::Settings settings = support::settings();
  const auto refused = point_of(settings);
  CHECK(refused.epochs_used == 0);
  CHECK(refused.refused[static_cast<std::size_t>(gate::Reason::frame)] == 60);
  settings.project.area_looked_at = {"NAD83(PA11)"};
  const auto counted = point_of(settings);
  CHECK(counted.epochs_used == 60);
  CHECK(counted.refused[static_cast<std::size_t>(gate::Reason::frame)] == 0);
}

TEST_CASE("the status of a second in doubt says which frame is made for the place") {
  const config::Settings settings = support::settings();
  session::Session day(settings, geodesy::Frames::open(settings).value(), {});
  for (int t = 0; t < 10; ++t) {
    Second s;
    s.t_s = t;
    day.push(in_honolulu(s), SteadyTime{t * 1000});
  }
  const auto status = day.status();
  CHECK_FALSE(status.accepted);
  REQUIRE_FALSE(status.reasons.empty());
  CHECK(status.reasons.front().text.find("in Hawaii, for which EPSG:6321 NAD83(PA11) is made") != std::string::npos);
}

}  // namespace
