#include "epoch/assembler.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "epoch/feed.hpp"

namespace stillpoint {
namespace {

using epoch::TimeStep;
using test::at;
using test::Feed;
using test::gga;
using test::gns;
using test::gsa;
using test::gst;
using test::rmc;
using test::vtg;

constexpr std::int64_t kTwo = at(14, 0, 0);

TEST_CASE("one burst makes one epoch with everything it said") {
  Feed feed;
  feed.say({gga(kTwo), gsa("0.80", 1.5, 1.2), gst(kTwo, 0.013), rmc(kTwo, "030626", 1), test::kGsv});
  CHECK(feed.epochs.empty());
  feed.finish();
  REQUIRE(feed.epochs.size() == 1);
  const epoch::Epoch& e = feed.epochs[0];
  CHECK(to_text(*e.utc) == "2026-06-03T14:00:00Z");
  CHECK(e.stream_ms == kTwo);
  CHECK(e.step == TimeStep::first);
  CHECK(e.quality == Quality::rtk_fixed);
  CHECK(e.position->latitude_deg == doctest::Approx(47.6));
  CHECK(e.ellipsoid_height_m() == 183.20 - 33.90);
  CHECK(e.satellites == 12);
  CHECK(e.hdop == 0.8);
  CHECK(e.pdop == 1.5);
  CHECK(e.vdop == 1.2);
  CHECK(e.gsa_hdop == 0.8);
  CHECK(e.age == nmea::Age{1.0, false});
  CHECK(e.station == 417);
  CHECK(e.error->sigma_latitude_m == 0.013);
  CHECK(*e.speed_mps == doctest::Approx(1852.0 / 3600));
  CHECK(e.rmc_valid == true);
  CHECK(e.rmc_mode == 'R');
  CHECK(!e.from_gns);
  CHECK(!e.conflicting);
  CHECK(e.lifted_days == 0);
  CHECK(!e.clock_dated);
}

TEST_CASE("a new time closes the epoch before it") {
  Feed feed;
  feed.say({gga(kTwo), gst(kTwo), gga(kTwo + 1000)});
  REQUIRE(feed.epochs.size() == 1);
  CHECK(feed.epochs[0].stream_ms == kTwo);
  feed.finish();
  REQUIRE(feed.epochs.size() == 2);
  CHECK(feed.epochs[1].step == TimeStep::forward);
  CHECK(!feed.epochs[1].error);
}

TEST_CASE("arrivals are those of the first and the last sentence of the epoch") {
  Feed feed;
  feed.say(gga(kTwo), 5000);
  feed.say(rmc(kTwo), 5040);
  feed.say(test::kGsv, 5090);
  feed.finish();
  REQUIRE(feed.epochs.size() == 1);
  CHECK(feed.epochs[0].first_arrival.ms == 5000);
  CHECK(feed.epochs[0].last_arrival.ms == 5040);
}

TEST_CASE("an instant without a position report is a fragment") {
  Feed feed;
  feed.say({rmc(kTwo), gst(kTwo), rmc(kTwo + 200), gga(kTwo + 400), rmc(kTwo + 400)});
  feed.finish();
  CHECK(feed.epochs.size() == 1);
  CHECK(feed.assembler.counters().epochs == 1);
  CHECK(feed.assembler.counters().fragments == 2);
}

TEST_CASE("an empty position report is an epoch all the same") {
  Feed feed;
  feed.say({"GPGGA,140000,,,,,0,00,,,M,,M,,", "GPRMC,140000,V,,,,,,,030626,,"});
  feed.finish();
  REQUIRE(feed.epochs.size() == 1);
  CHECK(feed.epochs[0].quality == Quality::none);
  CHECK(!feed.epochs[0].position);
  CHECK(feed.epochs[0].utc);
  CHECK(feed.epochs[0].rmc_valid == false);
}

TEST_CASE("a GGA without a time is an epoch of its own and takes nothing in") {
  Feed feed;
  feed.say({"GNRMC,,V,,,,,,,,,,N,V", "GNVTG,,,,,,,,,N", "GNGGA,,,,,,0,00,99.99,,,,,,",
            "GNGSA,A,1,,,,,,,,,,,,,9.9,9.9,9.9,1"});
  feed.say({"GNRMC,,V,,,,,,,,,,N,V", "GNVTG,,,,,,,,,N", "GNGGA,,,,,,0,00,99.99,,,,,,", gga(kTwo), gst(kTwo)});
  feed.finish();
  REQUIRE(feed.epochs.size() == 3);
  for (const std::size_t i : {0U, 1U}) {
    CHECK(!feed.epochs[i].utc);
    CHECK(!feed.epochs[i].stream_ms);
    CHECK(feed.epochs[i].quality == Quality::none);
    CHECK(!feed.epochs[i].pdop);
    CHECK(!feed.epochs[i].rmc_valid);
  }
  CHECK(feed.epochs[2].step == TimeStep::first);
  CHECK(feed.epochs[2].error);
  CHECK(feed.assembler.counters().late_sentences == 0);
}

TEST_CASE("the same report twice is counted, a different one is a conflict") {
  struct Row {
    const char* name;
    std::vector<std::string> bodies;
    std::uint64_t duplicates;
    bool conflicting;
  };
  const std::vector<Row> rows{
      {"the same GGA", {gga(kTwo), gga(kTwo)}, 1, false},
      {"another position", {gga(kTwo), gga(kTwo, {.minutes = 36.000002})}, 1, true},
      {"another quality", {gga(kTwo), gga(kTwo, {.quality = 5})}, 1, true},
      {"the same place printed more coarsely",
       {gga(kTwo), "GPGGA,140000.00,4736.0000,N,08724.0000,W,4,12,0.8,183.2,M,-33.9,M,1.0,0417"},
       1,
       false},
      {"another place printed more coarsely",
       {gga(kTwo), "GPGGA,140000.00,4736.0002,N,08724.0000,W,4,12,0.8,183.2,M,-33.9,M,1.0,0417"},
       1,
       true},
      {"a GGA without a position", {gga(kTwo), "GPGGA,140000.00,,,,,4,12,0.8,,M,,M,1.0,0417"}, 1, true},
      {"a GNS that agrees", {gga(kTwo), gns(kTwo)}, 0, false},
      {"a GNS that disagrees", {gga(kTwo), gns(kTwo, "RRAN", 36.1)}, 0, true},
      {"a GGA that disagrees with the GNS", {gns(kTwo, "RRAN", 36.1), gga(kTwo)}, 0, true},
      {"GNS of each system",
       {gga(kTwo), gns(kTwo), "GPGNS,140000.00,,,,,,6,,,,1.0,0", "GLGNS,140000.00,,,,,,4,,,,1.0,0"},
       0,
       false},
      {"two GST", {gga(kTwo), gst(kTwo, 0.01), gst(kTwo, 0.02)}, 1, false},
      {"two RMC", {gga(kTwo), rmc(kTwo), rmc(kTwo)}, 1, false},
      {"two VTG", {gga(kTwo), vtg(1), vtg(1)}, 1, false},
      {"two ZDA", {gga(kTwo), test::zda(kTwo), test::zda(kTwo)}, 1, false},
  };
  for (const Row& row : rows) {
    CAPTURE(std::string(row.name));
    Feed feed;
    feed.say(row.bodies);
    feed.finish();
    REQUIRE(feed.epochs.size() == 1);
    CHECK(feed.assembler.counters().duplicate_sentences == row.duplicates);
    CHECK(feed.epochs[0].conflicting == row.conflicting);
    CHECK(feed.epochs[0].quality == Quality::rtk_fixed);
    if (feed.epochs[0].error) CHECK(feed.epochs[0].error->sigma_latitude_m == 0.01);
  }
}

TEST_CASE("each value comes from the sentence that knows it best") {
  struct Row {
    const char* name;
    std::vector<std::string> bodies;
    std::optional<double> hdop;
    std::optional<int> satellites;
    std::optional<double> speed_knots;
  };
  const std::vector<Row> rows{
      {"HDOP of GGA first", {gga(kTwo), gns(kTwo), gsa("0.90")}, 0.8, 25, {}},
      {"HDOP of GNS where GGA has none", {gga(kTwo, {.hdop = ""}), gns(kTwo), gsa("0.90")}, 0.7, 25, {}},
      {"HDOP of GSA where neither has", {gga(kTwo, {.hdop = ""}), gsa("0.90")}, 0.9, 12, {}},
      {"an HDOP of 0 is none", {gga(kTwo, {.hdop = "0.0"}), gsa("0.90")}, 0.9, 12, {}},
      {"an HDOP of 0 everywhere", {gga(kTwo, {.hdop = "0.0"}), gsa("0.00")}, {}, 12, {}},
      {"a blank count of satellites", {gga(kTwo, {.satellites = ""})}, 0.8, {}, {}},
      {"the count of GNS where GGA has none", {gga(kTwo, {.satellites = ""}), gns(kTwo)}, 0.8, 25, {}},
      {"the larger count of GGA", {gga(kTwo, {.satellites = "31"}), gns(kTwo)}, 0.8, 31, {}},
      {"speed of RMC first", {gga(kTwo), vtg(2), rmc(kTwo, "030626", 1)}, 0.8, 12, 1},
      {"speed of VTG without RMC", {gga(kTwo), vtg(2)}, 0.8, 12, 2},
  };
  for (const Row& row : rows) {
    CAPTURE(std::string(row.name));
    Feed feed;
    feed.say(row.bodies);
    feed.finish();
    REQUIRE(feed.epochs.size() == 1);
    CHECK(feed.epochs[0].hdop == row.hdop);
    CHECK(feed.epochs[0].satellites == row.satellites);
    REQUIRE(feed.epochs[0].speed_mps.has_value() == row.speed_knots.has_value());
    if (row.speed_knots) CHECK(*feed.epochs[0].speed_mps == doctest::Approx(*row.speed_knots * 1852 / 3600));
  }
}

TEST_CASE("several GSA count with their worst values") {
  Feed feed;
  feed.say({gga(kTwo), gsa("0.80", 1.5, 1.2), gsa("0.90", 1.4, 2.2), gsa("0.00", 0, 0)});
  feed.finish();
  REQUIRE(feed.epochs.size() == 1);
  CHECK(feed.epochs[0].pdop == 1.5);
  CHECK(feed.epochs[0].gsa_hdop == 0.9);
  CHECK(feed.epochs[0].vdop == 2.2);
}

TEST_CASE("height and separation never come from two sentences") {
  Feed feed;
  feed.say({gga(kTwo, {.separation = ""}), gns(kTwo)});
  feed.finish();
  REQUIRE(feed.epochs.size() == 1);
  CHECK(feed.epochs[0].altitude_m);
  CHECK(!feed.epochs[0].geoid_separation_m);
  CHECK(!feed.epochs[0].ellipsoid_height_m());
}

TEST_CASE("without GGA the best letter of GNS gives the quality") {
  struct Row {
    const char* modes;
    Quality quality;
  };
  for (const Row& row : std::vector<Row>{{"A", Quality::autonomous},
                                         {"NNN", Quality::none},
                                         {"", Quality::none},
                                         {"AD", Quality::differential},
                                         {"DFN", Quality::rtk_float},
                                         {"FFR", Quality::rtk_fixed},
                                         {"AP", Quality::pps},
                                         {"E", Quality::estimated},
                                         {"M", Quality::manual},
                                         {"S", Quality::simulated}}) {
    CAPTURE(std::string(row.modes));
    Feed feed;
    feed.say({gns(kTwo, row.modes), gst(kTwo)});
    feed.finish();
    REQUIRE(feed.epochs.size() == 1);
    const epoch::Epoch& e = feed.epochs[0];
    CHECK(e.from_gns);
    CHECK(e.quality == row.quality);
    CHECK(e.position.has_value() == (row.quality != Quality::none));
    CHECK(e.satellites == 25);
    CHECK(e.hdop == 0.7);
    CHECK(e.station == 417);
    CHECK(std::string_view(e.gns_modes.data()) == row.modes);
    CHECK(e.error);
  }
}

TEST_CASE("a GNS of one system adds its age where the main one has none") {
  Feed feed;
  feed.say({"GNGNS,140000.00,4736.0,N,08724.0,W,FFNNN,10,1.2,403.6,-32.133,,", "GPGNS,140000.00,,,,,,6,,,,1.0,7"});
  feed.finish();
  REQUIRE(feed.epochs.size() == 1);
  CHECK(feed.epochs[0].age == nmea::Age{1.0, false});
  CHECK(feed.epochs[0].station == 7);
  CHECK(feed.epochs[0].satellites == 10);
  CHECK(feed.epochs[0].quality == Quality::rtk_float);
}

TEST_CASE("where GGA comes too, a GNS without it is no epoch") {
  Feed feed;
  for (int s = 0; s < 4; ++s) feed.say({gns(kTwo + s * 1000), gga(kTwo + s * 1000)});
  feed.say({gns(kTwo + 4000), gns(kTwo + 5000), gga(kTwo + 5000)});
  feed.finish();
  CHECK(feed.epochs.size() == 5);
  CHECK(feed.assembler.counters().fragments == 1);
  for (const auto& e : feed.epochs) CHECK(!e.from_gns);
}

TEST_CASE("a GNS without a time is an instant of its own where no GGA comes, and nothing where one does") {
  const std::string timeless = "GNGNS,,,,,,NNN,00,,,,,";
  for (const bool with_gga : {false, true}) {
    CAPTURE(with_gga);
    Feed feed;
    for (int s = 0; s < 3; ++s) {
      if (with_gga) feed.say({gga(kTwo + s * 1000)});
      feed.say({timeless});
    }
    feed.finish();
    REQUIRE(feed.epochs.size() == 3);
    for (const auto& e : feed.epochs) {
      CHECK(e.utc.has_value() == false);
      CHECK(e.stream_ms.has_value() == with_gga);
      CHECK(e.from_gns != with_gga);
    }
  }
}

TEST_CASE("a receiver that stops sending GGA is followed by its GNS") {
  Feed feed;
  for (int s = 0; s < 3; ++s) feed.say({gns(kTwo + s * 1000), gga(kTwo + s * 1000)});
  for (int s = 3; s < 50; ++s) feed.say({gns(kTwo + s * 1000), gst(kTwo + s * 1000)});
  feed.finish();
  CHECK(feed.epochs.back().from_gns);
  CHECK(feed.assembler.counters().fragments == 30);  // how often GGA comes is not known after three
}

TEST_CASE("of seconds with GNS only the first is no epoch, for its GGA may be lost, and the next ones are") {
  struct Row {
    const char* name;
    int gga_every, lost_from, lost_to;
    std::size_t from_gns;
    std::uint64_t fragments;
  };
  for (const Row& row : {Row{"one GGA lost", 1, 20, 21, 0, 1}, Row{"four lost", 1, 20, 24, 3, 1},
                         Row{"no GGA any more", 1, 20, 60, 39, 1}, Row{"GGA every five seconds", 5, 60, 60, 0, 48}}) {
    CAPTURE(row.name);
    Feed feed;
    for (int s = 0; s < 60; ++s) {
      const std::int64_t t = kTwo + s * 1000;
      const bool lost = s % row.gga_every != 0 || (s >= row.lost_from && s < row.lost_to);
      feed.say({gns(t)});
      if (!lost) feed.say({gga(t)});
      feed.say({gst(t)});
    }
    feed.finish();
    CHECK(static_cast<std::size_t>(std::count_if(feed.epochs.begin(), feed.epochs.end(),
                                                 [](const auto& e) { return e.from_gns; })) == row.from_gns);
    CHECK(feed.assembler.counters().fragments == row.fragments);
  }
}

TEST_CASE("the datum last heard holds until another one says otherwise") {
  const std::string local = "GPDTM,999,,0.08,S,0.07,W,-47.7,W84";
  const std::string plain = "GPDTM,W84,,0.0,N,0.0,E,0.0,W84";
  Feed feed;
  feed.say({gga(kTwo), gga(kTwo + 1000), local, gga(kTwo + 2000), gga(kTwo + 3000), plain, gga(kTwo + 4000)});
  feed.finish();
  REQUIRE(feed.epochs.size() == 5);
  CHECK(!feed.epochs[0].datum);
  // It may have come before or behind the position of the epoch that was open: that one counts as shifted.
  for (const std::size_t i : {1U, 2U, 3U}) CHECK(std::string_view(feed.epochs[i].datum->local.data()) == "999");
  CHECK(std::string_view(feed.epochs[4].datum->local.data()) == "W84");
}

TEST_CASE("a burst gone idle is closed by a tick") {
  struct Row {
    const char* name;
    std::int64_t interval_ms, limit_ms;
  };
  for (const Row& row :
       {Row{"one a second", 1000, 400}, Row{"five a second", 200, 250}, Row{"one in five seconds", 5000, 2000}}) {
    CAPTURE(std::string(row.name));
    Feed feed;
    for (int i = 0; i < 4; ++i) {
      feed.say(gga(kTwo + i * row.interval_ms), i * row.interval_ms);
      feed.say(gst(kTwo + i * row.interval_ms), i * row.interval_ms + 20);
    }
    REQUIRE(feed.epochs.size() == 3);
    const std::int64_t last_ms = 3 * row.interval_ms + 20;
    feed.tick(last_ms + row.limit_ms - 1);
    CHECK(feed.epochs.size() == 3);
    feed.tick(last_ms + row.limit_ms);
    REQUIRE(feed.epochs.size() == 4);
    CHECK(feed.epochs[3].error);
    feed.tick(last_ms + 10 * row.limit_ms);
    CHECK(feed.epochs.size() == 4);
  }
}

TEST_CASE("before the interval is known, a quarter of a second is idle") {
  Feed feed;
  feed.say(gga(kTwo), 1000);
  feed.tick(1249);
  CHECK(feed.epochs.empty());
  feed.tick(1250);
  CHECK(feed.epochs.size() == 1);
}

TEST_CASE("any sentence keeps the line from being idle") {
  Feed feed;
  feed.say(gga(kTwo), 1000);
  feed.say(test::kGsv, 1200);
  feed.tick(1449);
  CHECK(feed.epochs.empty());
  feed.tick(1450);
  CHECK(feed.epochs.size() == 1);
}

TEST_CASE("an outage does not stretch the learnt interval") {
  Feed feed;
  for (const std::int64_t s : {0, 1, 2, 9, 10}) feed.say(gga(kTwo + s * 1000), s * 1000);
  feed.tick(10'400);
  CHECK(feed.epochs.size() == 5);
}

TEST_CASE("the same UTC after its epoch has closed is a repeated epoch") {
  Feed feed;
  for (int i = 0; i < 3; ++i) {
    feed.say(rmc(kTwo), i * 1000);
    feed.say(gga(kTwo), i * 1000 + 20);
    feed.say(gst(kTwo), i * 1000 + 40);
    feed.tick(i * 1000 + 500);
  }
  REQUIRE(feed.epochs.size() == 3);
  CHECK(feed.epochs[0].step == TimeStep::first);
  CHECK(feed.epochs[1].step == TimeStep::repeated);
  CHECK(feed.epochs[2].step == TimeStep::repeated);
  CHECK(feed.epochs[2].error);
  CHECK(feed.epochs[2].rmc_valid);
  CHECK(feed.assembler.counters().late_sentences == 0);
}

TEST_CASE("a step back in time is delivered and counted") {
  Feed feed;
  for (const int s : {10, 11, 12, 11, 12, 13})
    feed.say({rmc(kTwo + s * 1000), gga(kTwo + s * 1000), gst(kTwo + s * 1000)});
  feed.finish();
  REQUIRE(feed.epochs.size() == 6);
  CHECK(feed.epochs[3].step == TimeStep::backward);
  CHECK(feed.epochs[3].stream_ms == kTwo + 11'000);
  CHECK(feed.epochs[3].rmc_valid);
  CHECK(feed.epochs[3].error);
  CHECK(feed.epochs[4].step == TimeStep::forward);
  CHECK(feed.assembler.counters().backward_times == 1);
  CHECK(feed.assembler.counters().late_sentences == 0);
}

TEST_CASE("what a slow kind says holds until it is due again, and no longer") {
  struct Row {
    const char* name;
    int gga_every_ms, gst_every_ms;
    int lost_ms;  ///< the GST of this time is lost; -1: none
  };
  const Row rows[] = {
      {"every position has its error", 1000, 1000, 20'000},
      {"errors every five seconds", 1000, 5000, -1},
      {"errors every five seconds, one of them lost", 1000, 5000, 40'000},
      {"errors at 1 Hz beside positions at 20 Hz", 50, 1000, -1},
      {"errors at 1 Hz beside positions at 10 Hz, one of them lost", 100, 1000, 30'000},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    test::Feed feed;
    for (std::int64_t ms = 0; ms < 60'000; ms += row.gga_every_ms) {
      const std::int64_t t = test::at(12, 0, 0) + ms;
      feed.say(test::gga(t), ms);
      if (ms % row.gst_every_ms == 0 && ms != row.lost_ms)
        feed.say(test::gst(t, 0.01 + 1e-6 * static_cast<double>(ms / 1000)), ms);
    }
    feed.finish();
    REQUIRE(feed.epochs.size() == static_cast<std::size_t>(60'000 / row.gga_every_ms));
    for (const auto& epoch : feed.epochs) {
      const std::int64_t ms = *epoch.stream_ms - test::at(12, 0, 0);
      CAPTURE(ms);
      const bool known = ms >= 4 * row.gst_every_ms;
      const bool own = ms % row.gst_every_ms == 0 && ms != row.lost_ms;
      const bool missed = row.lost_ms >= 0 && ms >= row.lost_ms && ms < row.lost_ms + row.gst_every_ms;
      if (known || own) CHECK(epoch.error.has_value() == (own || !missed));
      if (epoch.error && !own) CHECK(row.gst_every_ms > row.gga_every_ms);
    }
  }
}

TEST_CASE("a slow error figure holds for positions of its own quality only") {
  Feed feed;
  for (int second = 0; second < 40; ++second) {
    const std::int64_t t = at(12, 0, 0) + second * 1000;
    feed.say(gga(t, {.quality = second == 32 ? 5 : 4}), second * 1000);
    if (second % 5 == 0) feed.say(gst(t), second * 1000);
  }
  feed.finish();
  CHECK(feed.epochs[31].error);
  CHECK_FALSE(feed.epochs[32].error);
  CHECK(feed.epochs[33].error);
}

TEST_CASE("DOPs and speed that come at 1 Hz hold beside positions at 10 Hz") {
  test::Feed feed;
  for (std::int64_t ms = 0; ms < 20'000; ms += 100) {
    const std::int64_t t = test::at(12, 0, 0) + ms;
    feed.say(test::gga(t), ms);
    if (ms % 1000 != 0) continue;
    feed.say(test::gsa("0.80", 1.5), ms);
    feed.say(test::rmc(t, "030626", 0.5), ms);
  }
  feed.finish();
  for (const auto& epoch : feed.epochs) {
    const std::int64_t ms = *epoch.stream_ms - test::at(12, 0, 0);
    CAPTURE(ms);
    if (ms < 4000) continue;
    CHECK(epoch.pdop == 1.5);
    CHECK(epoch.speed_mps.has_value());
    CHECK(epoch.rmc_valid.has_value() == (ms % 1000 == 0));
  }
}

TEST_CASE("positions every five seconds beside RMC at 1 Hz are a rate") {
  test::Feed feed;
  for (std::int64_t s = 0; s < 100; ++s) {
    const std::int64_t t = test::at(12, 0, 0) + s * 1000;
    if (s % 5 == 0) feed.say(test::gga(t), s * 1000);
    feed.say(test::rmc(t), s * 1000);
  }
  feed.finish();
  REQUIRE(feed.epochs.size() == 20);
  CHECK(feed.epochs[2].interval_ms == 0);  // two steps are not yet a rate
  CHECK(feed.epochs[3].interval_ms == 5000);
  CHECK(feed.epochs.back().interval_ms == 5000);
  CHECK(epoch::gap_limit_ms(3000, feed.epochs.back().interval_ms) == 7500);
  CHECK(epoch::gap_limit_ms(3000, 1000) == 3000);
}

TEST_CASE("an interval is known after three equal steps, or after eight of any kind") {
  struct Row {
    const char* name;
    std::vector<std::int64_t> steps_ms;
    std::vector<std::int64_t> known_ms;  ///< with each step
  };
  const Row rows[] = {
      {"three equal ones", {1000, 1000, 1000, 1000}, {0, 0, 1000, 1000}},
      {"an epoch lost first", {2000, 1000, 1000, 1000, 1000, 1000, 1000, 1000}, {0, 0, 0, 0, 0, 0, 0, 1000}},
      {"a lost epoch behind three", {1000, 1000, 1000, 2000, 1000}, {0, 0, 1000, 1000, 1000}},
      {"a slower rate",
       {1000, 1000, 1000, 5000, 5000, 5000, 5000, 5000, 5000, 5000, 5000},
       {0, 0, 1000, 1000, 1000, 1000, 1000, 1000, 1000, 1000, 5000}},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Feed feed;
    std::int64_t t = kTwo;
    feed.say({gga(t)});
    for (const std::int64_t step_ms : row.steps_ms) feed.say({gga(t += step_ms)});
    feed.finish();
    REQUIRE(feed.epochs.size() == row.steps_ms.size() + 1);
    for (std::size_t i = 0; i < row.known_ms.size(); ++i) {
      CAPTURE(i);
      CHECK(feed.epochs[i + 1].interval_ms == row.known_ms[i]);
    }
  }
}

TEST_CASE("a burst that begins with its dilutions arrived when the first of them did") {
  Feed feed;
  // That a burst begins with them is learned from the first few.
  for (int s = 0; s < 6; ++s) {
    feed.say(gsa(), s * 1000 + 100);
    feed.say(gsa(), s * 1000 + 150);
    feed.say(gga(kTwo + s * 1000), s * 1000 + 200);
  }
  feed.finish();
  REQUIRE(feed.epochs.size() == 6);
  CHECK(feed.epochs.back().first_arrival.ms == 5100);
}

}  // namespace
}  // namespace stillpoint
