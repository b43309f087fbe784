#include "session/corrections_watch.hpp"

#include <doctest/doctest.h>

#include "support/epochs.hpp"

namespace {

using namespace stillpoint;
using corrections::State;
using session::AlertBoard;
using session::AlertKind;
using session::CorrectionsWatch;
using session::FeedState;

/// A watch over the county network (fresh to 3 s, coasting to 10 s) and satellites, looked at second by second.
struct Watched {
  std::vector<config::Source> sources{support::network(), support::sbas()};
  CorrectionsWatch watch{sources};
  session::Link link{3.0};
  session::Delivery delivery;
  AlertBoard board;
  session::Outputs out;
  gate::Judged last;
  std::string change;

  Watched() {
    link.tell(FeedState::open, "a test", SteadyTime{0});
    last.epoch = support::fixed_epoch(0);
    last.match.source = 0;
  }

  void look(std::int64_t ms, State state, std::optional<double> age_s, bool unheard = false) {
    corrections::Freshness fresh;
    fresh.state = state;
    fresh.age_s = age_s;
    if (age_s) fresh.coast_left_s = 10 - *age_s;
    const CorrectionsWatch::Look now{{SteadyTime{ms}, UtcTime{ms}}, last, fresh, {false, unheard}, delivery};
    board.begin_look();
    change = watch.note_source(now);
    watch.look(now, board);
    watch.note_outage(now, {link, "CUL-14"}, out);
  }
  bool is_up(AlertKind kind) const { return board.is_active(kind); }
};

TEST_CASE("the first source in use is no change, another one is, and an unusable one is not in use") {
  Watched w;
  w.look(0, State::fresh, 1.0);
  CHECK(w.change.empty());
  CHECK(w.watch.source() == 0u);
  w.last.match.source = 1;
  w.look(1000, State::stale, 1300.0);
  CHECK(w.change.empty());
  w.look(2000, State::fresh, 4.0);
  CHECK(w.change == "source changed from \"county network\" to \"sbas\": take one mark under both");
  CHECK(w.watch.source() == 1u);
}

TEST_CASE("each state of the corrections says when it can next change by time") {
  struct Case {
    State state;
    std::optional<double> age_s;
    std::int64_t next_ms;
  };
  constexpr std::int64_t kNever = session::kNotByTime;
  for (const Case& c :
       {Case{State::fresh, 1.0, 2000}, Case{State::coasting, 4.0, 4000}, Case{State::coasting, 9.0, 1000},
        Case{State::stale, 11.0, kNever}, Case{State::none, std::nullopt, kNever}}) {
    CAPTURE(static_cast<int>(c.state));
    CAPTURE(c.age_s.value_or(-1));
    Watched w;
    w.look(0, c.state, c.age_s);
    CHECK(w.board.next_look_ms() == c.next_ms);
  }
}

TEST_CASE("an outage at a pace lasted as long as the receiver's clock says, and a clock that was set says nothing") {
  struct Case {
    const char* name;
    std::int64_t ours_ms;
    double theirs_s;
    std::size_t outages;
    double lasted_s;
  };
  for (const Case& c :
       {Case{"real time", 25'000, 25.2, 1, 25.0}, Case{"at pace 20", 1'250, 25.0, 1, 25.0},
        Case{"at pace 20, too short", 50, 1.0, 0, 0}, Case{"the clock was set", 20'000, 32'420.0, 1, 20.0},
        Case{"the clock stepped back", 20'000, -3600.0, 1, 20.0}}) {
    CAPTURE(c.name);
    Watched w;
    w.look(0, State::fresh, 1.0);
    w.last.epoch = support::fixed_epoch(1);
    w.look(100, State::stale, 11.0);
    w.last.epoch = support::fixed_epoch(1 + c.theirs_s);
    w.look(100 + c.ours_ms, State::fresh, 1.0);
    REQUIRE(w.watch.outages(SteadyTime{200 + c.ours_ms}).size() == c.outages);
    if (c.outages > 0) CHECK(w.watch.outages(SteadyTime{200 + c.ours_ms})[0].lasted_s == doctest::Approx(c.lasted_s));
  }
}

TEST_CASE("coasting is told five seconds after it began, stale at once") {
  Watched w;
  w.look(0, State::fresh, 1.0);
  w.look(1000, State::coasting, 7.9);
  CHECK_FALSE(w.is_up(AlertKind::corrections_coasting));
  w.look(2000, State::coasting, 8.0);
  CHECK(w.is_up(AlertKind::corrections_coasting));
  CHECK(w.board.all().back().brief == "corrections late, over 3 s");
  w.look(3000, State::stale, 10.1);
  CHECK(w.is_up(AlertKind::corrections_stale));
  CHECK(w.board.take_raised().back().text == "corrections 10.1 s old, limit 10.0 s: seconds do not count");
}

TEST_CASE("corrections that were used and are none for two seconds are lost; those never used are not") {
  Watched never;
  never.look(0, State::none, std::nullopt);
  never.look(60'000, State::none, std::nullopt);
  CHECK_FALSE(never.is_up(AlertKind::corrections_stale));
  Watched w;
  w.look(0, State::fresh, 1.0);
  w.watch.pass(SteadyTime{900});
  w.look(1000, State::none, std::nullopt);
  CHECK(w.board.next_look_ms() == 2900);
  w.look(2899, State::none, std::nullopt);
  CHECK_FALSE(w.is_up(AlertKind::corrections_stale));
  w.look(2900, State::none, std::nullopt);
  CHECK(w.is_up(AlertKind::corrections_stale));
}

TEST_CASE("while nothing is heard no alert about corrections begins or ends") {
  Watched w;
  w.look(0, State::stale, 11.0);
  REQUIRE(w.is_up(AlertKind::corrections_stale));
  w.look(60'000, State::fresh, 1.0, true);
  CHECK(w.is_up(AlertKind::corrections_stale));
  Watched calm;
  calm.look(0, State::fresh, 1.0);
  calm.look(60'000, State::stale, 61.0, true);
  CHECK_FALSE(calm.is_up(AlertKind::corrections_stale));
}

TEST_CASE("an outage of two seconds counts, a shorter one does not, and the day's end sums them up") {
  struct Case {
    std::int64_t lasted_ms;
    std::size_t outages;
  };
  for (const Case& c : {Case{1999, 0}, Case{2000, 1}}) {
    CAPTURE(c.lasted_ms);
    Watched w;
    w.look(0, State::fresh, 1.0);
    w.look(1000, State::stale, 11.0);
    w.look(1000 + c.lasted_ms, State::fresh, 1.0);
    const auto outages = w.watch.outages(SteadyTime{9000});
    REQUIRE(outages.size() == c.outages);
    w.watch.sum_up({SteadyTime{9000}, UtcTime{9000}}, w.out);
    REQUIRE(w.out.events.size() == 2 * c.outages);
    if (outages.empty()) continue;
    CHECK(outages[0].why == "corrections too old");
    CHECK(outages[0].point == "CUL-14");
    CHECK(w.out.events[0].text == "corrections out for 2 s: corrections too old, near 47.60000 -87.40000, on CUL-14");
    CHECK(w.out.events[1].text == "1 outage of corrections, 2 s in all, the longest 2 s");
  }
}

TEST_CASE("an outage that goes on is last and has no end") {
  Watched w;
  w.look(0, State::fresh, 1.0);
  w.look(1000, State::fresh, 1.0, true);
  CHECK(w.watch.outages(SteadyTime{2999}).empty());
  const auto outages = w.watch.outages(SteadyTime{4000});
  REQUIRE(outages.size() == 1);
  CHECK(outages[0].lasted_s == doctest::Approx(3.0));
  CHECK(outages[0].why == "no data from the receiver");
  CHECK_FALSE(outages[0].until_utc);
}

}  // namespace
