#include "session/alert_board.hpp"

#include <doctest/doctest.h>

namespace {

using namespace stillpoint;
using session::AlertBoard;
using session::AlertRule;
using session::Severity;

constexpr AlertRule kDelayed{"late", Severity::notice, 2000, 5000, false};
constexpr AlertRule kLatched{"jump", Severity::stop_work, 0, 0, true};

const auto kText = [] { return std::string("something is so"); };

TEST_CASE("an alert waits for its on delay and its off delay, to the millisecond") {
  AlertBoard board;
  const auto at = [&](std::int64_t ms, bool holds) {
    board.report(kDelayed, holds, SteadyTime{ms}, {}, kText);
    return board.is_active("late");
  };
  CHECK_FALSE(at(0, true));
  CHECK_FALSE(at(1999, true));
  CHECK(at(2000, true));
  CHECK(at(3000, false));
  CHECK(at(7999, false));
  CHECK_FALSE(at(8000, false));
  CHECK(board.take_raised().size() == 1);
  CHECK(board.take_cleared().size() == 1);
}

TEST_CASE("what stands while nothing can be said is neither cleared nor counted again") {
  constexpr AlertRule kRule{"stale", Severity::stop_work, 0, 5000, false};
  AlertBoard board;
  std::int64_t ms = 0;
  const auto report = [&](bool holds) { board.report(kRule, holds, SteadyTime{ms += 1000}, {}, kText); };
  for (int n = 0; n < 3; ++n) {
    report(true);
    for (int i = 0; i < 7; ++i) report(false);
  }
  REQUIRE(board.all().back().times == 3);
  REQUIRE(board.is_active("stale"));
  for (int i = 0; i < 100; ++i) {
    ms += 1000;
    board.stand(kRule);
  }
  CHECK(board.is_active("stale"));
  CHECK(board.all().back().times == 3);
  report(true);
  CHECK(board.all().back().times == 4);
  board.stand({"another", Severity::notice, 0, 0, false});
  CHECK_FALSE(board.is_active("another"));
}

TEST_CASE("a condition that comes and goes faster than its delay is never announced") {
  AlertBoard board;
  for (std::int64_t ms = 0; ms < 100'000; ms += 1500) {
    board.report(kDelayed, (ms / 1500) % 2 == 0, SteadyTime{ms}, {}, kText);
  }
  CHECK(board.take_raised().empty());
}

TEST_CASE("a latched alert stays until it was seen") {
  AlertBoard board;
  board.report(kLatched, true, SteadyTime{0}, {}, kText);
  board.report(kLatched, false, SteadyTime{60'000}, {}, kText);
  CHECK(board.is_active("jump"));
  CHECK(board.seen("jump") == 1);
  board.report(kLatched, false, SteadyTime{60'100}, {}, kText);
  CHECK_FALSE(board.is_active("jump"));
  CHECK(board.take_raised().size() == 1);
  CHECK(board.take_cleared().size() == 1);
}

TEST_CASE("one occurrence can be seen while another of its kind is not") {
  AlertBoard board;
  for (std::int64_t ms : {0, 70'000}) {
    board.report(kLatched, true, SteadyTime{ms}, {}, kText);
    board.report(kLatched, false, SteadyTime{ms + 1000}, {}, kText);
    if (ms == 0) board.seen("jump", 1);
    board.report(kLatched, false, SteadyTime{ms + 2000}, {}, kText);
  }
  REQUIRE(board.all().size() == 2);
  CHECK(board.seen("jump", 1) == 0);
  CHECK(board.seen("other", 2) == 0);
  CHECK(board.is_active("jump"));
  CHECK(board.seen("jump", 2) == 1);
}

TEST_CASE("what is gone but was not seen still shows, most severe first") {
  AlertBoard board;
  board.report({"a", Severity::notice, 0, 0, false}, true, SteadyTime{0}, {}, kText);
  board.report({"b", Severity::stop_work, 0, 0, false}, true, SteadyTime{0}, {}, kText);
  board.report({"b", Severity::stop_work, 0, 0, false}, false, SteadyTime{1}, {}, kText);
  REQUIRE(board.showing().size() == 2);
  CHECK(board.showing()[0].key == "b");
  CHECK_FALSE(board.showing()[0].active);
  board.seen("");
  REQUIRE(board.showing().size() == 1);
  CHECK(board.showing()[0].key == "a");
}

TEST_CASE("what comes a third time within a minute is one row that counts on, cleared after a quiet minute") {
  constexpr AlertRule kPlain{"late", Severity::notice, 0, 0, false};
  AlertBoard board;
  std::int64_t ms = 0;
  for (int i = 0; i < 8; ++i) {
    board.report(kPlain, true, SteadyTime{ms}, {}, kText);
    board.report(kPlain, false, SteadyTime{ms + 2000}, {}, kText);
    ms += 5000;
  }
  CHECK(board.take_raised().size() == 3);
  CHECK(board.take_cleared().size() == 2);
  REQUIRE(board.showing().size() == 1);
  CHECK(board.showing()[0].times == 8);
  const std::int64_t gone_ms = ms - 3000;
  board.report(kPlain, false, SteadyTime{gone_ms + 59'999}, {}, kText);
  CHECK(board.is_active("late"));
  board.report(kPlain, false, SteadyTime{gone_ms + 60'000}, {}, kText);
  CHECK_FALSE(board.is_active("late"));
  CHECK(board.take_cleared().size() == 1);
  // After the quiet minute it is an ordinary alert again.
  board.report(kPlain, true, SteadyTime{gone_ms + 61'000}, {}, kText);
  CHECK(board.take_raised().at(0).times == 1);
}

TEST_CASE("a stop-work alert that nobody has seen is told again, four times soon and then once a minute") {
  AlertBoard board;
  board.report(kLatched, true, SteadyTime{0}, {}, kText);
  std::vector<std::int64_t> told_s;
  for (std::int64_t s = 0; s < 200; ++s) {
    if (!board.take_repeats(SteadyTime{s * 1000}).empty()) told_s.push_back(s);
  }
  CHECK(told_s == std::vector<std::int64_t>{15, 30, 45, 60, 120, 180});
  board.seen("jump");
  CHECK(board.take_repeats(SteadyTime{400'000}).empty());
}

}  // namespace
