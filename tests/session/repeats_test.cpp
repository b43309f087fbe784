#include "occupation/repeats.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "session/session.hpp"
#include "support/epochs.hpp"
#include "support/nmea_text.hpp"

namespace {

using namespace stillpoint;
using occupation::Point;

constexpr int kLater_s = 46 * 60;

bool flagged(const Point& point) {
  return std::find(point.flags.begin(), point.flags.end(), occupation::kSameInitialization) != point.flags.end();
}

/// One receiver at 1 Hz; points come out of `take`.
struct Crew {
  config::Settings settings = support::settings();
  session::Session day{settings, geodesy::Frames::open(settings).value(), {}};
  int t_s = 0;
  std::vector<Point> points;

  void run(int seconds, int quality = 4) {
    for (const int end_s = t_s + seconds; t_s < end_s; ++t_s) {
      support::Second second;
      second.t_s = t_s;
      second.quality = quality;
      second.up_m = 0.0001 * (t_s % 7);
      day.push(second.text(), SteadyTime{t_s * 1000 + 80});
    }
  }
  session::OccupationStatus visit(bool again) {
    REQUIRE(day.occupy({"CUL-14", "", "", again}).done);
    run(40);
    const auto status = *day.status().occupation;
    REQUIRE(day.keep().done);
    for (auto& finished : day.take().points) points.push_back(std::move(finished.point));
    return status;
  }
};

TEST_CASE("an open stay, handed out for a crash, says what it says when it is finished") {
  Crew crew;
  crew.run(10);
  crew.visit(false);
  crew.run(60);
  REQUIRE(crew.day.occupy({"CUL-14", "", "", true}).done);
  crew.run(40);
  const auto open = crew.day.open_stay();
  REQUIRE(open);
  CHECK_FALSE(open->on_mark);
  crew.day.finish();
  const auto finished = crew.day.take().points;
  REQUIRE(finished.size() == 1);
  CHECK(flagged(finished[0].point));
  CHECK(open->stay.point.flags == finished[0].point.flags);
}

TEST_CASE("a second visit is told when it counts, and is flagged unless the receiver began anew") {
  Crew crew;
  crew.run(10);
  const auto first = crew.visit(false);
  CHECK_FALSE(first.counts_from_utc.has_value());
  CHECK(first.next_counts_from_utc == UtcTime{parse_utc("2026-06-03T14:00:49Z")->ms + 45 * 60'000});
  const auto soon = crew.visit(true);
  CHECK(soon.counts_from_utc == first.next_counts_from_utc);
  CHECK(soon.advice == "Too soon after visit 1: a new visit counts after 14:46 UTC.");
  CHECK(flagged(crew.points.at(1)));
  crew.run(kLater_s);
  const auto same = crew.visit(true);
  CHECK_FALSE(same.counts_from_utc.has_value());
  CHECK(same.advice == "Not initialized anew since visit 2: restart the receiver, then measure.");
  CHECK(flagged(crew.points.at(2)));
  crew.run(kLater_s);
  crew.run(5, 5);  // float for five seconds
  crew.run(10);
  const auto anew = crew.visit(true);
  CHECK(anew.advice.find("visit 3") == std::string::npos);
  CHECK_FALSE(flagged(crew.points.at(3)));
  std::vector<const Point*> visits;
  for (const Point& point : crew.points) visits.push_back(&point);
  const auto combined = session::combined(crew.day, visits);
  REQUIRE(combined.size() == 1);
  CHECK(combined[0].counted.size() == 2);
  CHECK(combined[0].left_out.size() == 2);
  CHECK_FALSE(combined[0].error_scale_verified);
}

TEST_CASE("a break of the link counts as a new beginning only when it lasted a minute") {
  for (const int away_s : {10, 61}) {
    CAPTURE(away_s);
    Crew crew;
    crew.run(10);
    crew.visit(false);
    crew.run(kLater_s / 2);
    crew.t_s += away_s;
    crew.run(kLater_s / 2);
    crew.visit(true);
    CHECK(flagged(crew.points.at(1)) == (away_s < 60));
  }
}

}  // namespace
