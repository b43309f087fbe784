#include "epoch/fingerprint.hpp"

#include <doctest/doctest.h>

#include <string>
#include <string_view>
#include <vector>

#include "feed.hpp"

using namespace stillpoint;
using namespace stillpoint::test;
using epoch::Fingerprint;

namespace {

const std::vector<std::string> kUsual{gga(0), rmc(0), gst(0), gsa(), "GPGSV,1,1,01,05,40,120,44,1"};

/// A receiver that prints the same sentences with every epoch.
struct Printer {
  Fingerprint fingerprint;
  std::int64_t ms = 0;
  std::int64_t interval_ms = 1000;
  int decimals = 7;
  std::vector<std::string> sentences = kUsual;
  std::string told;

  void epoch(bool positioned = true) {
    for (const std::string& body : sentences) fingerprint.sentence(nmea::decode(body));
    epoch::Epoch e;
    e.stream_ms = ms;
    e.quality = positioned ? Quality::rtk_fixed : Quality::none;
    if (positioned) e.position = nmea::Position{47.6, -87.4, decimals};
    told += fingerprint.epoch(e);
    ms += interval_ms;
  }
  void run(int count) {
    for (int i = 0; i < count; ++i) epoch();
  }
  void seconds(std::int64_t s) { run(static_cast<int>(s * 1000 / interval_ms)); }
};

std::vector<std::string> with_talker(std::string_view kind, std::string_view talker) {
  auto out = kUsual;
  for (std::string& body : out) {
    if (std::string_view(body).substr(2, 3) == kind) body.replace(0, 2, talker);
  }
  return out;
}

}  // namespace

TEST_CASE("what a receiver changes in its habits is told in one sentence, once") {
  struct Row {
    const char* name;
    void (*change)(Printer&);
    const char* says;
  };
  const Row rows[] = {
      {"nothing", [](Printer&) {}, ""},
      {"a kind stops", [](Printer& p) { p.sentences.erase(p.sentences.begin() + 2); }, "GST no longer comes"},
      {"a kind begins", [](Printer& p) { p.sentences.push_back(vtg(0)); }, "VTG comes now"},
      {"two things at once",
       [](Printer& p) {
         p.sentences.pop_back();
         p.sentences.push_back(zda(0));
       },
       "GSV no longer comes; ZDA comes now"},
      {"another talker of GGA", [](Printer& p) { p.sentences = with_talker("GGA", "GP"); },
       "GGA comes from talker GP, was GN"},
      {"another talker of RMC", [](Printer& p) { p.sentences = with_talker("RMC", "GP"); },
       "RMC comes from talker GP, was GN"},
      {"another talker of GST says nothing", [](Printer& p) { p.sentences = with_talker("GST", "GP"); }, ""},
      {"five times as often", [](Printer& p) { p.interval_ms = 200; }, "epochs come 5 a second, were 1 a second"},
      {"eight times as often", [](Printer& p) { p.interval_ms = 125; }, "epochs come 8 a second, were 1 a second"},
      {"half as often", [](Printer& p) { p.interval_ms = 2000; }, "epochs come 0.5 a second, were 1 a second"},
      {"other decimals", [](Printer& p) { p.decimals = 4; }, "coordinates have 4 decimals of a minute, had 7"},
      {"a clock that wanders is no other rate", [](Printer& p) { p.interval_ms = 1100; }, ""},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Printer p;
    p.seconds(60);
    REQUIRE(p.told.empty());
    row.change(p);
    p.seconds(60);
    CHECK(p.told == (*row.says == '\0' ? std::string() : "the receiver's settings changed: " + std::string(row.says)));
    p.told.clear();
    p.seconds(60);
    CHECK(p.told.empty());
  }
}

TEST_CASE("a change back is a change as well") {
  Printer p;
  p.seconds(60);
  p.decimals = 4;
  p.seconds(40);
  p.told.clear();
  p.decimals = 7;
  p.seconds(40);
  CHECK(p.told == "the receiver's settings changed: coordinates have 7 decimals of a minute, had 4");
}

TEST_CASE("one window of ten seconds that differs is no change, two are") {
  for (const int windows : {1, 2}) {
    CAPTURE(windows);
    Printer p;
    p.run(55);  // five windows of eleven epochs: the one that reaches ten seconds closes it
    p.decimals = 4;
    p.run(11 * windows);
    CHECK(p.told.empty() == (windows == 1));
    p.decimals = 7;
    p.told.clear();
    p.run(22);
    CHECK(p.told.empty() == (windows == 1));
  }
}

TEST_CASE("a kind that comes less than three times in ten seconds neither comes nor goes") {
  for (const int times : {1, 2, 3}) {
    CAPTURE(times);
    Printer p;
    p.seconds(60);
    for (int window = 0; window < 4; ++window) {
      for (int i = 0; i < 11; ++i) {
        p.sentences = kUsual;
        if (i < times) p.sentences.push_back(zda(0));
        p.epoch();
      }
    }
    CHECK(p.told == (times < 3 ? "" : "the receiver's settings changed: ZDA comes now"));
  }
}

TEST_CASE("a window with a gap or without a position tells nothing, and two whole ones are needed after it") {
  struct Row {
    const char* name;
    void (*disturb)(Printer&);
    bool whole;
  };
  const Row rows[] = {
      {"no gap", [](Printer&) {}, true},
      {"three seconds between epochs", [](Printer& p) { p.ms += 2000; }, true},
      {"more than three seconds", [](Printer& p) { p.ms += 2001; }, false},
      {"time that goes back", [](Printer& p) { p.ms -= 1500; }, false},
      {"an epoch without a position", [](Printer& p) { p.epoch(false); }, false},
      {"two windows in a row that end with their first epoch", [](Printer& p) { p.epoch(false), p.epoch(false); },
       false},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Printer p;
    p.run(55);
    p.decimals = 4;
    p.run(11);  // one whole window
    REQUIRE(p.told.empty());
    p.run(5);
    row.disturb(p);
    p.run(6);
    CHECK(p.told.empty() != row.whole);
    p.run(11);
    CHECK(p.told.empty() != row.whole);
    p.run(11);
    CHECK_FALSE(p.told.empty());
  }
}

TEST_CASE("an epoch without a time counts nowhere") {
  Fingerprint fingerprint;
  epoch::Epoch e;
  e.quality = Quality::rtk_fixed;
  e.position = nmea::Position{47.6, -87.4, 7};
  for (int i = 0; i < 100; ++i) {
    if (i == 50) e.position->minute_decimals = 4;
    CHECK(fingerprint.epoch(e).empty());
  }
}
