#include "session/link.hpp"

#include <doctest/doctest.h>

namespace {

using namespace stillpoint;
using session::FeedState;
using session::Link;

constexpr SteadyTime at(std::int64_t ms) {
  return SteadyTime{ms};
}

/// Open since 0, with a sentence and an epoch at 1000 of a receiver at 1 Hz, and a silence limit of 3 s. A burst may be
/// 200 ms late, so the link is quiet from 4201 on.
Link heard(std::int64_t interval_ms = 1000) {
  Link link(3.0);
  link.tell(FeedState::open, "a test", at(0));
  link.hear_bytes(at(1000), at(1000));
  link.hear_sentence(at(1000), true);
  link.hear_epoch(at(1000), false, interval_ms);
  return link;
}

TEST_CASE("an open link is quiet when more than the silence limit passes, and what a burst may be late") {
  const Link link = heard();
  CHECK_FALSE(link.is_quiet(at(4200)));
  CHECK(link.is_quiet(at(4201)));
  CHECK(link.shown_state(at(4200)) == FeedState::open);
  CHECK(link.shown_state(at(4201)) == FeedState::silent);
  CHECK(link.silence_text(at(4201)) == "nothing from the receiver for 3 s");
}

TEST_CASE("positions that come every five seconds are a rate, and a talking receiver has ten seconds at first") {
  struct Row {
    const char* name;
    std::int64_t interval_ms;
    bool talks;  ///< sentences without a position go on
    std::int64_t last_ms;
  };
  for (const Row& row :
       {Row{"every five seconds, talking", 5000, true, 8700},
        Row{"every five seconds, saying nothing", 5000, false, 8700}, Row{"ten a second, talking", 100, true, 4200},
        Row{"rate unknown, talking", 0, true, 11'200}, Row{"rate unknown, saying nothing", 0, false, 4200}}) {
    CAPTURE(row.name);
    Link link = heard(row.interval_ms);
    for (std::int64_t ms = 2000; row.talks && ms <= row.last_ms; ms += 1000) link.hear_sentence(at(ms), false);
    CHECK_FALSE(link.is_quiet(at(row.last_ms)));
    CHECK(link.is_quiet(at(row.last_ms + 1)));
    Link before = heard(row.interval_ms);
    if (!row.talks) CHECK(before.look_for_silence(before.hearing(at(1500))).may_change_ms == row.last_ms + 1);
  }
}

TEST_CASE("a position whose epoch is still open is one") {
  Link link = heard();
  link.hear_sentence(at(4150), true);
  CHECK_FALSE(link.is_quiet(at(4500)));
}

TEST_CASE("bytes without a sentence are told as noise, sentences without an epoch as a receiver that talks") {
  Link noisy = heard();
  noisy.hear_bytes(at(3900), at(3900));
  CHECK(noisy.silence_text(at(4201)) == "bytes but no sentence from the receiver for 3 s; is the baud rate right?");
  Link talking = heard();
  talking.hear_sentence(at(3900), false);
  CHECK(talking.is_quiet(at(4201)));
  CHECK(talking.shown_state(at(4201)) == FeedState::open);
  CHECK(talking.silence_text(at(4201)) == "the receiver talks but gave no position for 3 s");
  CHECK(noisy.silence_alert(at(4201)).brief == "bytes but no sentence: is the baud rate right?");
  CHECK(talking.silence_alert(at(4201)).brief == "the receiver gives no position");
  CHECK(heard().silence_alert(at(4201)).brief == "receiver silent, over 3 s");
  CHECK(heard().silence_alert(at(4201)).whole == heard().silence_text(at(4201)));
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
  link.hear_epoch(at(5200), true, 1000);
  CHECK_FALSE(link.hearing(at(5300)).unheard);
}

TEST_CASE("a link falls quiet once, and again after it was heard") {
  Link link = heard();
  CHECK_FALSE(link.falls_quiet(at(4200)));
  CHECK(link.falls_quiet(at(4300)));
  CHECK_FALSE(link.falls_quiet(at(4400)));
  CHECK(link.hear_sentence(at(4500), true));
  link.hear_epoch(at(4500), true, 1000);
  CHECK_FALSE(link.hear_sentence(at(4600), false));
  CHECK_FALSE(link.falls_quiet(at(7700)));
  CHECK(link.falls_quiet(at(7800)));
}

TEST_CASE("a silence is over after five epochs of a new stretch, and says when it can begin") {
  Link link = heard();
  const auto look = [&](std::int64_t ms) { return link.look_for_silence(link.hearing(at(ms))); };
  CHECK_FALSE(look(1500).holds);
  CHECK(look(1500).may_change_ms == 4201);
  CHECK(look(4201).holds);
  for (int i = 0; i < 5; ++i) {
    CHECK(look(5000 + i * 1000).holds);
    link.hear_sentence(at(5000 + i * 1000), true);
    link.hear_epoch(at(5000 + i * 1000), i == 0, 1000);
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
  CHECK_FALSE(link.is_quiet(at(12'200)));
  CHECK(link.is_quiet(at(12'201)));
}

}  // namespace
