// What checks are made of: sources tied to each other, the turn test, and notices that are told for a while.

#include <doctest/doctest.h>

#include <cmath>

#include "session/notices.hpp"
#include "session/overlaps.hpp"
#include "session/turn_test.hpp"

namespace {

using namespace stillpoint;
using session::AlertBoard;
using session::AlertKind;
using session::FinishedCheck;
using session::Overlaps;
using session::TurnTest;

control::SourceShot shot(const std::string& source, double east_m) {
  control::SourceShot out;
  out.source = source;
  out.residual.east_m = east_m;
  out.residual.covariance_m2 = {1e-4, 0, 1e-4, 1e-4};
  out.at.covariance_enu_m2 = {1e-4, 0, 1e-4, 1e-4};
  return out;
}

TEST_CASE("the first point's source is the day's own, and any other waits for a mark under both") {
  Overlaps overlaps;
  CHECK(overlaps.due("sbas").empty());
  overlaps.keep("");
  CHECK(overlaps.due("sbas").empty());
  overlaps.keep("network");
  overlaps.keep("sbas");
  CHECK(overlaps.due("network").empty());
  CHECK(overlaps.due("").empty());
  CHECK(overlaps.due("sbas") ==
        "no mark has passing checks under \"sbas\" and under \"network\"; check one mark under both");
}

TEST_CASE("a small step between two sources on one mark ties them, a large one says so, on two marks nothing is said") {
  struct Case {
    const char* mark;
    double step_m;
    std::size_t overlaps;
    bool tied;
  };
  for (const Case& c : {Case{"VM-11", 0.005, 1, true}, Case{"VM-11", 0.9, 1, false}, Case{"VM-12", 0.005, 0, false}}) {
    CAPTURE(c.mark);
    CAPTURE(c.step_m);
    Overlaps overlaps;
    CHECK(overlaps.pass("VM-11", shot("network", 0)).empty());
    const auto found = overlaps.pass(c.mark, shot("sbas", c.step_m));
    REQUIRE(found.size() == c.overlaps);
    CHECK(overlaps.due("sbas").empty() == c.tied);
    if (!found.empty() && !c.tied) CHECK(overlaps.due("sbas") == found[0].text);
  }
}

FinishedCheck facing(const std::string& mark, double deg) {
  FinishedCheck done;
  done.mark.name = mark;
  constexpr double kLean_m = 0.020;
  const double a = deg * std::acos(-1.0) / 180;
  done.residual = control::Residual{kLean_m * std::sin(a), kLean_m * std::cos(a), {}, {1e-6, 0, 1e-6, 1e-6}};
  done.point.at.emplace().covariance_enu_m2 = {1e-6, 0, 1e-6, 1e-6};
  return done;
}

TEST_CASE("four headings on one mark tell the lean of the pole; another mark begins anew") {
  TurnTest test;
  const auto turn = [&](const std::string& mark, const char* word) {
    const session::Heading* heading = session::heading_of(word);
    REQUIRE(heading != nullptr);
    FinishedCheck done = facing(mark, heading->deg);
    test.take(*heading, done);
    return done;
  };
  CHECK(turn("VM-12", "N").verdict.text.find("stay 1 of 4 on VM-12") == 0);
  CHECK(turn("VM-11", "N").verdict.text.find("stay 1 of 4 on VM-11") == 0);
  CHECK(turn("VM-11", "E").verdict.text.find("turn the pole to face south") != std::string::npos);
  CHECK(turn("VM-11", "E").verdict.text.find("stay 2 of 4") == 0);
  CHECK_FALSE(turn("VM-11", "S").turn);
  const FinishedCheck last = turn("VM-11", "W");
  REQUIRE(last.turn);
  CHECK(last.turn->leans);
  CHECK(last.verdict.outcome == control::Outcome::stop);
  CHECK(turn("VM-11", "W").verdict.text.find("stay 1 of 4") == 0);
  test.forget();
  CHECK(turn("VM-11", "S").verdict.text.find("stay 1 of 4") == 0);
  CHECK(session::heading_of("NE") == nullptr);
}

TEST_CASE("what happened once is told for a minute, and a second time within it is an alert of its own") {
  AlertBoard board;
  session::Notices notices;
  const auto look = [&](std::int64_t ms) {
    board.begin_look();
    notices.look({SteadyTime{ms}, {}}, board);
    return board.is_active(AlertKind::source_changed);
  };
  CHECK_FALSE(look(0));
  CHECK(board.next_look_ms() == session::kNotByTime);
  notices.note(AlertKind::source_changed, {"first", "1"}, {SteadyTime{1000}, {}}, board);
  CHECK(look(1000));
  CHECK(board.next_look_ms() == 61'000);
  notices.note(AlertKind::source_changed, {"second", "2"}, {SteadyTime{31'000}, {}}, board);
  CHECK(look(31'000));
  CHECK(look(90'999));
  CHECK_FALSE(look(91'000));
  REQUIRE(board.all().size() == 2);
  CHECK(board.all()[0].text == "first");
  CHECK(board.all()[1].text == "second");
}

}  // namespace
