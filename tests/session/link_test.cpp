#include "session/link.hpp"

#include <doctest/doctest.h>

namespace {

using namespace stillpoint;
using session::FeedState;
using session::Link;

constexpr SteadyTime at(std::int64_t ms) {
  return SteadyTime{ms};
}

/// Open since 0, with a sentence and an epoch at 1000, and a silence limit of 3 s.
Link heard() {
  Link link(3.0);
  link.tell(FeedState::open, "a test", at(0));
  link.hear_bytes(at(1000), at(1000));
  link.hear_sentence(at(1000));
  link.hear_epoch(at(1000), false);
  return link;
}

TEST_CASE("an open link is quiet from the silence limit on, and not a millisecond before") {
  const Link link = heard();
  CHECK_FALSE(link.is_quiet(at(3999)));
  CHECK(link.is_quiet(at(4000)));
  CHECK(link.shown_state(at(3999)) == FeedState::open);
  CHECK(link.shown_state(at(4000)) == FeedState::silent);
  CHECK(link.silence_text(at(4000)) == "nothing from the receiver for 3 s");
}

TEST_CASE("bytes without a sentence are told as noise, sentences without an epoch as a receiver that talks") {
  Link noisy = heard();
  noisy.hear_bytes(at(3900), at(3900));
  CHECK(noisy.silence_text(at(4000)) == "bytes but no sentence from the receiver for 3 s; is the baud rate right?");
  Link talking = heard();
  talking.hear_sentence(at(3900));
  CHECK(talking.is_quiet(at(4000)));
  CHECK(talking.shown_state(at(4000)) == FeedState::open);
  CHECK(talking.silence_text(at(4000)) == "the receiver talks but gave no position for 3 s");
}

TEST_CASE("what is no open feed is unheard and not quiet") {
  struct Case {
    const char* name;
    FeedState state;
  };
  for (const Case& c : {Case{"waiting", FeedState::waiting}, Case{"ended", FeedState::ended}}) {
    CAPTURE(c.name);
    Link link = heard();
    CHECK(link.tell(c.state, "a test", at(2000)));
    CHECK_FALSE(link.tell(c.state, "a test", at(2000)));
    CHECK(link.tell(c.state, "another", at(2000)));
    CHECK_FALSE(link.hearing(at(9000)).quiet);
    CHECK(link.hearing(at(9000)).unheard);
    link.hear_bytes(at(9000), at(9000));
    CHECK(link.state() == FeedState::open);
  }
}

TEST_CASE("a link that is back is unheard until its first epoch") {
  Link link = heard();
  link.tell(FeedState::waiting, "away", at(2000));
  link.tell(FeedState::open, "a test", at(5000));
  CHECK(link.hearing(at(5100)).unheard);
  CHECK_FALSE(link.hearing(at(5100)).quiet);
  link.hear_epoch(at(5200), true);
  CHECK_FALSE(link.hearing(at(5300)).unheard);
}

TEST_CASE("a link falls quiet once, and again after it was heard") {
  Link link = heard();
  CHECK_FALSE(link.falls_quiet(at(3900)));
  CHECK(link.falls_quiet(at(4000)));
  CHECK_FALSE(link.falls_quiet(at(4100)));
  CHECK(link.hear_sentence(at(4200)));
  link.hear_epoch(at(4200), true);
  CHECK_FALSE(link.hear_sentence(at(4300)));
  CHECK_FALSE(link.falls_quiet(at(4300)));
  CHECK(link.falls_quiet(at(7300)));
}

TEST_CASE("a silence is over after five epochs of a new stretch, and says when it can begin") {
  Link link = heard();
  const auto look = [&](std::int64_t ms) { return link.look_for_silence(link.hearing(at(ms))); };
  CHECK_FALSE(look(1500).holds);
  CHECK(look(1500).may_change_ms == 4000);
  CHECK(look(4000).holds);
  for (int i = 0; i < 5; ++i) {
    CHECK(look(5000 + i * 1000).holds);
    link.hear_sentence(at(5000 + i * 1000));
    link.hear_epoch(at(5000 + i * 1000), i == 0);
  }
  CHECK_FALSE(look(9000).holds);
}

TEST_CASE("a standstill is no silence: the limit counts from its end") {
  Link link = heard();
  link.stand_still("the disk is full");
  CHECK_FALSE(link.is_quiet(at(9000)));
  CHECK(link.hearing(at(9000)).unheard);
  CHECK(link.go_on(at(9000)));
  CHECK_FALSE(link.go_on(at(9000)));
  CHECK_FALSE(link.is_quiet(at(11'999)));
  CHECK(link.is_quiet(at(12'000)));
}

}  // namespace
