#include "epoch/time_watch.hpp"

#include <doctest/doctest.h>

#include <string>
#include <vector>

namespace stillpoint {
namespace {

using epoch::Epoch;
using epoch::TimeWatch;

constexpr std::int64_t kDay = 86'400'000;
constexpr std::int64_t kMostLateMs = 3000;
constexpr std::int64_t kStart = 14 * 3'600'000;

/// A stream of epochs whose receiver's time and whose arrival run on by themselves.
struct Link {
  explicit Link(bool stamped = true, bool invented = false) : watch(kMostLateMs, invented) {
    if (stamped) watch.stamped();
  }
  /// `time_ms` of the receiver's own time since the start, having arrived `arrived_ms` after it.
  Epoch& at(std::int64_t time_ms, std::int64_t arrived_ms) {
    newest = Epoch();
    newest.stream_ms = kStart + time_ms;
    newest.utc = UtcTime{20'607 * kDay + kStart + time_ms};
    newest.position = nmea::Position{47.6, -87.4, 7, 7};
    newest.first_arrival = newest.last_arrival = SteadyTime{1'000'000 + arrived_ms};
    return newest;
  }
  Epoch look(std::int64_t time_ms, std::int64_t arrived_ms) {
    at(time_ms, arrived_ms);
    watch.look(newest);
    return newest;
  }
  /// So many good seconds, the last of them at `seconds - 1`.
  void run(int seconds) {
    for (int s = 0; s < seconds; ++s) look(s * 1000, s * 1000 + 120);
  }
  TimeWatch watch;
  Epoch newest;
};

TEST_CASE("what comes later than allowed, against the best of the link, is late; exactly as late as allowed is not") {
  struct Row {
    const char* what;
    std::int64_t arrived_ms;
    bool late;
  };
  // The tenth second of a link whose seconds come 120 ms after their own time; the crystals may have drifted 1 ms.
  for (const Row& row : {Row{"in time", 10'120, false}, Row{"as late as allowed", 13'120, false},
                         Row{"a hundredth of a second more", 13'130, true}, Row{"eight seconds", 18'120, true}}) {
    CAPTURE(row.what);
    Link link;
    link.run(10);
    CHECK((link.look(10'000, row.arrived_ms).late_s > 0) == row.late);
  }
}

TEST_CASE(
    "a stalled link that goes on eight seconds behind is late for as long as it does, and not after it has caught up") {
  Link link;
  link.run(60);
  for (int s = 60; s < 4000; ++s) {
    CAPTURE(s);
    REQUIRE(link.look(s * 1000, s * 1000 + 8120).late_s == doctest::Approx(8.0).epsilon(0.01));
  }
  for (int s = 4000; s < 4010; ++s)
    CHECK(link.look(s * 1000, 4'008'120).late_s == doctest::Approx(s < 4005 ? 4008 - s : 0).epsilon(0.01));
  CHECK(link.look(4'010'000, 4'010'120).late_s == 0);
}

TEST_CASE("a link that falls behind little by little is late once it is too far behind") {
  Link link;
  int late_from = 0;
  for (int s = 0; s < 600 && late_from == 0; ++s) {
    if (link.look(s * 1000, s * 1010 + 120).late_s > 0) late_from = s;
  }
  CHECK(late_from >= 300);
  CHECK(late_from <= 305);
}

TEST_CASE("two crystals that run apart through a long day make nothing late") {
  for (const int ppm : {-90, 90}) {
    CAPTURE(ppm);
    Link link;
    for (std::int64_t s = 0; s < 24 * 3600; ++s) {
      REQUIRE(link.look(s * 1000, s * 1000 + s * ppm / 1000 + 120).late_s == 0);
    }
  }
}

TEST_CASE("a step of the receiver's own time is no lateness, and hides none") {
  for (const std::int64_t step_ms : {-18'000LL, -5000LL, -1000LL, 18'000LL, 36'000'000LL}) {
    for (const std::int64_t behind_ms : {0LL, 8000LL}) {
      CAPTURE(step_ms);
      CAPTURE(behind_ms);
      Link link;
      link.run(60);
      for (int s = 60; s < 120; ++s) link.look(s * 1000, s * 1000 + 120 + behind_ms);
      for (int s = 120; s < 180; ++s) {
        const bool late = link.look(s * 1000 + step_ms, s * 1000 + 120 + behind_ms).late_s > 0;
        // A step forward of more than the link is late looks like a link that has caught up.
        if (step_ms < 0 || behind_ms == 0) CHECK(late == (behind_ms > 0));
      }
    }
  }
}

TEST_CASE("a false time that comes and goes is no lateness") {
  Link link;
  link.run(60);
  CHECK(link.look(3'660'000, 60'120).late_s == 0);
  for (int s = 61; s < 90; ++s) CHECK(link.look(s * 1000, s * 1000 + 120).late_s == 0);
}

TEST_CASE("a receiver that had no time for a while may have another one after it") {
  Link link;
  link.run(60);
  for (int s = 60; s < 120; ++s) {
    link.at(0, s * 1000).stream_ms.reset();
    link.newest.utc.reset();
    link.watch.look(link.newest);
  }
  CHECK(link.look(102'000, 120'120).late_s == 0);
  CHECK(link.look(103'000, 121'120).late_s == 0);
  CHECK(link.look(104'000, 130'120).late_s > 0);
}

TEST_CASE("a link made anew is measured anew") {
  Link link;
  link.run(60);
  link.watch.cut();
  for (int s = 60; s < 90; ++s) CHECK(link.look(s * 1000, s * 1000 + 8120).late_s == 0);
  CHECK(link.look(90'000, 98'120 + 3500).late_s > 0);
}

TEST_CASE("arrivals that no clock stamped show no lateness") {
  Link link(false);
  link.run(60);
  CHECK(link.look(60'000, 160'120).late_s == 0);
}

/// `days`: by which the date of this second is wrong. `clock_days`: what the clock says of it.
struct Second {
  std::int64_t time_s;
  int days;
  std::optional<int> clock_days;
  bool contradicted;
};

std::vector<bool> contradicted(Link& link, const std::vector<Second>& seconds) {
  std::vector<bool> out;
  for (const Second& second : seconds) {
    Epoch& e = link.at(second.time_s * 1000, second.time_s * 1000 + 120);
    e.utc->ms += second.days * kDay;
    e.clock_days = second.clock_days;
    link.watch.look(e);
    out.push_back(e.date_contradicted);
  }
  return out;
}

TEST_CASE("a date is contradicted by the clock and by the stream before it") {
  struct Row {
    const char* what;
    bool stamped, invented;
    std::vector<Second> seconds;
  };
  const std::vector<Row> rows{
      {"good dates with a clock", true, false, {{0, 0, 0, false}, {1, 0, 0, false}}},
      {"good dates without", false, false, {{0, 0, {}, false}, {1, 0, {}, false}}},
      {"a day after the clock", true, false, {{0, 1, 1, true}, {1, 1, 1, true}}},
      {"years after the clock, then right", true, false, {{0, 3134, 3134, true}, {1, 0, 0, false}}},
      {"days before the clock: told, not contradicted", true, false, {{0, -179, -179, false}, {1, -179, -179, false}}},
      {"years before it, then right", true, false, {{0, -3287, -3287, false}, {1, 0, 0, false}}},
      {"right, then years before it, and right again",
       true,
       false,
       {{0, 0, 0, false}, {1, -3287, -3287, true}, {2, -3287, -3287, true}, {3, 0, 0, false}}},
      {"right, and years before it after a night without data",
       true,
       false,
       {{0, 0, 0, false}, {40'000, -3287, -3287, true}}},
      {"five days without data", true, false, {{0, 0, -179, false}, {5 * 86'400, 0, -179, false}}},
      {"a jump in a log without a clock, and back",
       false,
       false,
       {{0, 0, {}, false}, {1, 10, {}, true}, {2, 10, {}, true}, {100, 10, {}, true}, {101, 0, {}, false}}},
      {"a jump back by a day", false, false, {{0, 0, {}, false}, {1, -1, {}, true}, {2, 0, {}, false}}},
      {"another day's log behind the first",
       false,
       false,
       {{0, 0, {}, false}, {7200, 3, {}, false}, {7201, 3, {}, false}}},
      {"another day's log behind a jump",
       false,
       false,
       {{0, 0, {}, false}, {1, 10, {}, true}, {7200, 3, {}, false}, {7201, 3, {}, false}}},
      {"a rehearsal is of any day", true, true, {{0, 3134, 3134, false}, {1, 3134, 3134, false}}},
      {"and yet does not jump", true, true, {{0, 0, 0, false}, {1, 40, 40, true}, {2, 0, 0, false}}},
  };
  for (const Row& row : rows) {
    CAPTURE(row.what);
    Link link(row.stamped, row.invented);
    std::vector<bool> wanted;
    for (const Second& second : row.seconds) wanted.push_back(second.contradicted);
    CHECK(contradicted(link, row.seconds) == wanted);
  }
}

TEST_CASE("a receiver without a position may print any date") {
  Link link(false);
  Epoch& first = link.at(0, 120);
  first.position.reset();
  first.utc->ms -= 5000 * kDay;
  link.watch.look(first);
  CHECK_FALSE(first.date_contradicted);
  CHECK(contradicted(link, {{1, 0, {}, false}}) == std::vector<bool>{false});
}

TEST_CASE("how dates are taken is news once for each change") {
  Link link;
  const auto news = [&link](int lifted, int clock_days) {
    Epoch& e = link.at(0, 0);
    e.lifted_days = lifted;
    e.clock_days = clock_days;
    link.watch.look(e);
    return link.watch.take_news();
  };
  CHECK_FALSE(news(0, 0));
  const auto lifted = news(7168, 0);
  REQUIRE(lifted);
  CHECK(lifted->lifted_days == 7168);
  CHECK_FALSE(news(7168, 0));
  CHECK(news(0, 0));
  const auto behind = news(0, -179);
  REQUIRE(behind);
  CHECK(behind->behind_days == 179);
  CHECK_FALSE(news(0, -180));
  CHECK(news(0, 0));
}

}  // namespace
}  // namespace stillpoint
