#include "session/alert_board.hpp"

#include <doctest/doctest.h>

#include <array>

namespace {

using namespace stillpoint;
using session::AlertBoard;
using session::AlertKind;
using session::AlertRule;
using session::Condition;
using session::Severity;

constexpr std::array<AlertRule, 5> kRules{{{"late", Severity::notice, 2000, 5000, false},
                                           {"jump", Severity::stop_work, 0, 0, true},
                                           {"stale", Severity::stop_work, 0, 5000, false},
                                           {"plain", Severity::notice, 0, 0, false},
                                           {"stop", Severity::stop_work, 0, 0, false}}};
constexpr AlertKind kDelayed{0}, kLatched{1}, kStale{2}, kPlain{3}, kStop{4};
constexpr Condition kHolds{true}, kGone{false};

const auto kText = [] { return session::AlertText{"something is so: 7 s", "something is so"}; };

TEST_CASE("an alert waits for its on delay and its off delay, to the millisecond") {
  AlertBoard board(kRules);
  const auto at = [&](std::int64_t ms, bool holds) {
    board.report(kDelayed, {holds}, {SteadyTime{ms}, {}}, kText);
    return board.is_active(kDelayed);
  };
  CHECK_FALSE(at(0, true));
  CHECK_FALSE(at(1999, true));
  CHECK(at(2000, true));
  CHECK(at(3000, false));
  CHECK(at(7999, false));
  CHECK_FALSE(at(8000, false));
  const auto raised = board.take_raised(), cleared = board.take_cleared();
  REQUIRE(raised.size() == 1);
  CHECK(raised[0].text == "something is so: 7 s");
  CHECK(raised[0].brief == "something is so");
  CHECK(cleared.size() == 1);
}

TEST_CASE("what stands while nothing can be said is neither cleared nor counted again") {
  AlertBoard board(kRules);
  std::int64_t ms = 0;
  const auto report = [&](bool holds) { board.report(kStale, {holds}, {SteadyTime{ms += 1000}, {}}, kText); };
  for (int n = 0; n < 3; ++n) {
    report(true);
    for (int i = 0; i < 7; ++i) report(false);
  }
  REQUIRE(board.all().back().times == 3);
  REQUIRE(board.is_active(kStale));
  for (int i = 0; i < 100; ++i) {
    ms += 1000;
    board.stand(kStale);
  }
  CHECK(board.is_active(kStale));
  CHECK(board.all().back().times == 3);
  report(true);
  CHECK(board.all().back().times == 4);
  board.stand(kPlain);
  CHECK_FALSE(board.is_active(kPlain));
}

TEST_CASE("a condition that comes and goes faster than its delay is never announced") {
  AlertBoard board(kRules);
  for (std::int64_t ms = 0; ms < 100'000; ms += 1500) {
    board.report(kDelayed, {(ms / 1500) % 2 == 0}, {SteadyTime{ms}, {}}, kText);
  }
  CHECK(board.take_raised().empty());
}

TEST_CASE("a latched alert stays until it was seen") {
  AlertBoard board(kRules);
  board.report(kLatched, kHolds, {SteadyTime{0}, {}}, kText);
  board.report(kLatched, kGone, {SteadyTime{60'000}, {}}, kText);
  CHECK(board.is_active(kLatched));
  CHECK(board.seen("jump") == 1);
  board.report(kLatched, kGone, {SteadyTime{60'100}, {}}, kText);
  CHECK_FALSE(board.is_active(kLatched));
  const auto raised = board.take_raised(), cleared = board.take_cleared();
  REQUIRE(raised.size() == 1);
  CHECK(raised[0].text == "something is so: 7 s");
  CHECK(raised[0].brief == "something is so");
  CHECK(cleared.size() == 1);
}

TEST_CASE("one occurrence can be seen while another of its kind is not") {
  AlertBoard board(kRules);
  for (std::int64_t ms : {0, 70'000}) {
    board.report(kLatched, kHolds, {SteadyTime{ms}, {}}, kText);
    board.report(kLatched, kGone, {SteadyTime{ms + 1000}, {}}, kText);
    if (ms == 0) board.seen("jump", 1);
    board.report(kLatched, kGone, {SteadyTime{ms + 2000}, {}}, kText);
  }
  REQUIRE(board.all().size() == 2);
  CHECK(board.seen("jump", 1) == 0);
  CHECK(board.seen("other", 2) == 0);
  CHECK(board.is_active(kLatched));
  CHECK(board.seen("jump", 2) == 1);
}

TEST_CASE("what is gone but was not seen still shows, behind what goes on however severe it was") {
  AlertBoard board(kRules);
  board.report(kPlain, kHolds, {SteadyTime{0}, {}}, kText);
  board.report(kStop, kHolds, {SteadyTime{0}, {}}, kText);
  board.report(kStop, kGone, {SteadyTime{1}, {}}, kText);
  REQUIRE(board.showing().size() == 2);
  CHECK(board.showing()[0].key == "plain");
  CHECK(board.showing()[1].key == "stop");
  CHECK_FALSE(board.showing()[1].active);
  board.seen("");
  REQUIRE(board.showing().size() == 1);
  CHECK(board.showing()[0].key == "plain");
}

TEST_CASE("what comes a third time within a minute is one row that counts on, cleared after a quiet minute") {
  AlertBoard board(kRules);
  std::int64_t ms = 0;
  for (int i = 0; i < 8; ++i) {
    board.report(kPlain, kHolds, {SteadyTime{ms}, {}}, kText);
    board.report(kPlain, kGone, {SteadyTime{ms + 2000}, {}}, kText);
    ms += 5000;
  }
  CHECK(board.take_raised().size() == 3);
  CHECK(board.take_cleared().size() == 2);
  REQUIRE(board.showing().size() == 1);
  CHECK(board.showing()[0].times == 8);
  const std::int64_t gone_ms = ms - 3000;
  board.report(kPlain, kGone, {SteadyTime{gone_ms + 59'999}, {}}, kText);
  CHECK(board.is_active(kPlain));
  board.report(kPlain, kGone, {SteadyTime{gone_ms + 60'000}, {}}, kText);
  CHECK_FALSE(board.is_active(kPlain));
  CHECK(board.take_cleared().size() == 1);
  // After the quiet minute it is an ordinary alert again.
  board.report(kPlain, kHolds, {SteadyTime{gone_ms + 61'000}, {}}, kText);
  CHECK(board.take_raised().at(0).times == 1);
}

TEST_CASE("a stop-work alert that nobody has seen is told again, four times soon and then once a minute") {
  AlertBoard board(kRules);
  board.report(kLatched, kHolds, {SteadyTime{0}, {}}, kText);
  std::vector<std::int64_t> told_s;
  for (std::int64_t s = 0; s < 200; ++s) {
    if (!board.take_repeats(SteadyTime{s * 1000}).empty()) told_s.push_back(s);
  }
  CHECK(told_s == std::vector<std::int64_t>{15, 30, 45, 60, 120, 180});
  board.seen("jump");
  CHECK(board.take_repeats(SteadyTime{400'000}).empty());
}

}  // namespace
