#include "corrections/monitor.hpp"

#include <doctest/doctest.h>

#include <vector>

#include "support/epochs.hpp"

namespace {

using namespace stillpoint;
using corrections::AgeFrom;
using corrections::Freshness;
using corrections::Monitor;
using corrections::State;

const config::Gate kLimits = support::network().gate;  // fresh 3 s, at most 10 s, settle 5 s

Freshness feed(Monitor& monitor, const epoch::Epoch& epoch, const config::Gate& limits = kLimits) {
  return monitor.observe(epoch, {0, &limits, epoch.station});
}

TEST_CASE("the state follows the age, and a limit belongs to the better side") {
  struct Row {
    const char* name;
    double age_s;
    State state;
  };
  const Row rows[] = {
      {"a young age is fresh", 1.0, State::fresh},
      {"the fresh limit itself is fresh", 3.0, State::fresh},
      {"one millisecond past the fresh limit coasts", 3.001, State::coasting},
      {"the longest age itself still coasts", 10.0, State::coasting},
      {"one millisecond past the window closes it", 10.001, State::stale},
      {"zero with a decimal point is a real age", 0.0, State::fresh},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Monitor monitor(3.0);
    const Freshness f = feed(monitor, support::fixed_epoch(0, row.age_s));
    CHECK(f.state == row.state);
    CHECK(f.age_s == row.age_s);
    CHECK(f.coast_left_s.has_value() == (row.state == State::coasting));
    if (f.coast_left_s) CHECK(*f.coast_left_s == doctest::Approx(10.0 - row.age_s));
  }
}

TEST_CASE("where a blank age is allowed, frames on their way to the receiver tell the age of what rests on a base") {
  config::Gate allow = kLimits;
  allow.age_missing = config::AgeMissing::allow;
  Monitor monitor(3.0);
  const auto blank = [](double t_s, Quality quality = Quality::rtk_fixed) {
    epoch::Epoch e = support::fixed_epoch(t_s);
    e.age.reset();
    e.quality = quality;
    return e;
  };
  CHECK(feed(monitor, blank(0), allow).from == AgeFrom::own_clock);
  monitor.hear_frame(SteadyTime{580});  // an epoch arrives 80 ms after its second
  const Freshness fresh = feed(monitor, blank(1), allow);
  CHECK(fresh.from == AgeFrom::corrections);
  CHECK(*fresh.age_s == doctest::Approx(0.5));
  CHECK(fresh.state == State::fresh);
  CHECK(to_word(fresh.from) == "corrections");
  CHECK(feed(monitor, blank(4), allow).state == State::coasting);
  CHECK(feed(monitor, blank(11), allow).state == State::stale);
  monitor.hear_frame(SteadyTime{11'500});
  CHECK(feed(monitor, blank(12), allow).state == State::fresh);
  // What comes by satellite rests on no base; what the receiver prints goes before; who refuses a blank age does so.
  CHECK(feed(monitor, blank(13, Quality::differential), allow).from == AgeFrom::own_clock);
  CHECK(feed(monitor, support::fixed_epoch(14), allow).from == AgeFrom::receiver);
  CHECK(feed(monitor, blank(15)).age_missing);
}

TEST_CASE("equal limits leave no window to coast in") {
  config::Gate limits = kLimits;
  limits.max_age_s = limits.fresh_age_s;
  CHECK(corrections::state_of(3.0, limits) == State::fresh);
  CHECK(corrections::state_of(3.001, limits) == State::stale);
}

TEST_CASE("settling runs from the first good second until it is over") {
  Monitor monitor(3.0);
  for (int t = 0; t <= 7; ++t) {
    CAPTURE(t);
    const Freshness f = feed(monitor, support::fixed_epoch(t));
    CHECK(f.settling == (t < 5));
    CHECK(f.settle_left_s == doctest::Approx(t < 5 ? 5 - t : 0));
  }
}

TEST_CASE("what starts settling anew, and what does not") {
  struct Row {
    const char* name;
    void (*spoil)(epoch::Epoch&);
    double at_s;  ///< time of the first good second after it
    bool settles;
  };
  const Row rows[] = {
      {"coasting needs no settling",
       [](epoch::Epoch& e) {
         e.age = nmea::Age{8.0, false};
       },
       21, false},
      {"stale does",
       [](epoch::Epoch& e) {
         e.age = nmea::Age{10.5, false};
       },
       21, true},
      {"another quality class does", [](epoch::Epoch& e) { e.quality = Quality::rtk_float; }, 21, true},
      {"another station does", [](epoch::Epoch& e) { e.station = 900; }, 21, true},
      {"an age that is missing does", [](epoch::Epoch& e) { e.age.reset(); }, 21, true},
      {"a second without time does", [](epoch::Epoch& e) { e.stream_ms.reset(); }, 21, true},
      {"a gap of exactly the silence limit does not", [](epoch::Epoch&) {}, 23, false},
      {"a longer gap does", [](epoch::Epoch&) {}, 23.1, true},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Monitor monitor(3.0);
    for (int t = 0; t < 20; ++t) feed(monitor, support::fixed_epoch(t));
    epoch::Epoch odd = support::fixed_epoch(20);
    row.spoil(odd);
    feed(monitor, odd);
    CHECK(feed(monitor, support::fixed_epoch(row.at_s)).settling == row.settles);
  }
}

TEST_CASE("a source that listens to nothing gives no freshness") {
  Monitor monitor(3.0);
  const Freshness f = monitor.observe(support::fixed_epoch(0), {});
  CHECK(f.state == State::none);
  CHECK_FALSE(f.age_s.has_value());
}

TEST_CASE("a blank age is refused or replaced by our own clock, as the source says") {
  config::Gate allow = kLimits;
  allow.age_missing = config::AgeMissing::allow;
  Monitor strict(3.0), lenient(3.0);
  for (int t = 0; t <= 30; ++t) {
    CAPTURE(t);
    epoch::Epoch e = support::fixed_epoch(t, 2.0);
    if (t >= 10) e.age.reset();               // the last printed age is that of second 9
    if (t >= 20) e.age = nmea::Age{0, true};  // and "00" means none as well
    const Freshness refused = feed(strict, e);
    const Freshness own = feed(lenient, e, allow);
    CHECK(refused.age_missing == (t >= 10));
    CHECK(refused.state == (t >= 10 ? State::none : State::fresh));
    if (t < 10) continue;
    CHECK(own.from == AgeFrom::own_clock);
    CHECK(*own.age_s == doctest::Approx(t - 9));
    CHECK(own.state == (t - 9 <= 3 ? State::fresh : t - 9 <= 10 ? State::coasting : State::stale));
  }
}

TEST_CASE("with ages never printed, the clock runs from the moment the class was gained") {
  config::Gate allow = kLimits;
  allow.age_missing = config::AgeMissing::allow;
  Monitor monitor(3.0);
  for (int t = 0; t <= 12; ++t) {
    epoch::Epoch e = support::fixed_epoch(t);
    e.age.reset();
    CAPTURE(t);
    CHECK(*feed(monitor, e, allow).age_s == doctest::Approx(t));
  }
}

TEST_CASE("a feed that repeats all it says is frozen, standing values are not") {
  struct Row {
    const char* name;
    bool repeats, same_position, same_age;
    double age_s;
    int frozen_at;  ///< first second at which it is frozen; -1 never
  };
  const Row rows[] = {
      {"everything but the time repeats", true, true, true, 1.0, 0},
      {"position, DOPs and age stand, something else lives", false, true, true, 1.0, -1},
      {"a constant age of 1.0 while the position lives", false, false, true, 1.0, -1},
      {"a standing position while the age counts", false, true, false, 1.0, -1},
      {"an age that stands still above the fresh limit", false, false, true, 5.0, 3},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Monitor monitor(3.0);
    for (int t = 0; t < 12; ++t) {
      CAPTURE(t);
      epoch::Epoch e = support::fixed_epoch(t, row.same_age ? row.age_s : row.age_s + 0.1 * t);
      if (row.same_position) e.position->digits_hash = 7;
      e.repeats = row.repeats;
      CHECK(feed(monitor, e).frozen == (row.frozen_at >= 0 && t >= row.frozen_at));
    }
  }
}

TEST_CASE("after a frozen feed the corrections settle again only if it lasted longer than a gap may") {
  struct Row {
    const char* name;
    int frozen_s;
    bool settles;
  };
  const Row rows[] = {{"one second", 1, false},
                      {"as long as a gap may be", 4, false},
                      {"a second longer", 5, true},
                      {"long", 10, true}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Monitor monitor(3.0);
    for (int t = 0; t < 20; ++t) feed(monitor, support::fixed_epoch(t));
    for (int t = 20; t < 20 + row.frozen_s; ++t) {
      epoch::Epoch e = support::fixed_epoch(t);
      e.repeats = true;
      const Freshness f = feed(monitor, e);
      CHECK(f.frozen);
    }
    for (int i = 0; i <= 6; ++i) {
      CAPTURE(i);
      CHECK(feed(monitor, support::fixed_epoch(20 + row.frozen_s + i)).settling == (row.settles && i < 5));
    }
  }
}

TEST_CASE("while nothing arrives the age runs on and the window closes by the tick") {
  Monitor monitor(3.0);
  const epoch::Epoch e = support::fixed_epoch(0, 2.0);
  feed(monitor, e);
  const auto after = [&](std::int64_t ms) { return monitor.at(SteadyTime{e.last_arrival.ms + ms}); };
  CHECK(after(1000).state == State::fresh);
  CHECK(after(1001).state == State::coasting);
  CHECK(*after(1001).coast_left_s == doctest::Approx(6.999));
  CHECK(after(8000).state == State::coasting);
  CHECK(after(8001).state == State::stale);
  CHECK_FALSE(after(8001).coast_left_s.has_value());
}

TEST_CASE("our own clock is renewed by a gained class alone") {
  struct Row {
    const char* name;
    void (*spoil)(epoch::Epoch&);
    bool renewed;
  };
  const Row rows[] = {
      {"a station that runs out proves nothing", [](epoch::Epoch& e) { e.station.reset(); }, false},
      {"another station proves nothing", [](epoch::Epoch& e) { e.station = 900; }, false},
      {"a second without time proves nothing", [](epoch::Epoch& e) { e.stream_ms.reset(); }, false},
      {"a class lost and gained is a proof", [](epoch::Epoch& e) { e.quality = Quality::autonomous; }, true},
  };
  config::Gate allow = kLimits;
  allow.age_missing = config::AgeMissing::allow;
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Monitor monitor(3.0);
    for (int t = 0; t <= 20; ++t) {
      epoch::Epoch e = support::fixed_epoch(t);
      if (t > 0) e.age.reset();
      if (t == 8) row.spoil(e);
      const auto belongs =
          may_have_source(e.quality) ? corrections::Belongs{0, &allow, e.station} : corrections::Belongs{};
      const Freshness f = monitor.observe(e, belongs);
      if (t == 20) CHECK(*f.age_s == doctest::Approx(row.renewed ? 11 : 20));
    }
  }
}

TEST_CASE("a clock put back makes no age negative") {
  config::Gate allow = kLimits;
  allow.age_missing = config::AgeMissing::allow;
  Monitor monitor(3.0);
  feed(monitor, support::fixed_epoch(3600), allow);
  epoch::Epoch e = support::fixed_epoch(5);
  e.age.reset();
  CHECK(*feed(monitor, e, allow).age_s >= 0);
  e = support::fixed_epoch(25);
  e.age.reset();
  const Freshness f = feed(monitor, e, allow);
  CHECK(*f.age_s >= 20);
  CHECK(f.state == State::stale);
}

}  // namespace
