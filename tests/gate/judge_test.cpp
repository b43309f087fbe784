#include "gate/judge.hpp"

#include <doctest/doctest.h>

#include <cstring>

#include "corrections/monitor.hpp"
#include "geodesy/local.hpp"
#include "support/epochs.hpp"

namespace {

using namespace stillpoint;
using gate::Reason;

/// Judges one epoch under the table of `support::settings`, with corrections that have long settled.
gate::Judged judge(const epoch::Epoch& epoch, const config::Settings& settings) {
  gate::Matcher matcher(settings.sources);
  gate::Judge judge(settings.sources);
  gate::Judged out;
  out.epoch = epoch;
  out.match = matcher.match(epoch);
  if (out.match.source) {
    const config::Gate& limits = settings.sources[*out.match.source].gate;
    if (epoch.age && !epoch.age->integer_zero) {
      out.freshness.age_s = epoch.age->seconds;
      out.freshness.state = corrections::state_of(epoch.age->seconds, limits);
    } else {
      out.freshness.age_missing = true;
    }
  }
  judge.judge(out);
  return out;
}

std::string words(const gate::Judged& judged) {
  std::string out;
  for (int i = 0; i < gate::kReasonCount; ++i) {
    if (judged.reasons.test(static_cast<std::size_t>(i))) out += std::string(to_word(static_cast<Reason>(i))) + " ";
  }
  if (!out.empty()) out.pop_back();
  return out;
}

void set_datum(epoch::Epoch& e, const char* local, double latitude_offset_min) {
  nmea::Dtm dtm;
  std::strncpy(dtm.local.data(), local, dtm.local.size() - 1);
  std::strncpy(dtm.reference.data(), "W84", dtm.reference.size() - 1);
  dtm.latitude_offset_min = latitude_offset_min;
  e.datum = dtm;
}

struct Row {
  const char* name;
  void (*change)(epoch::Epoch&);
  const char* reasons;
};

TEST_CASE("limits are inclusive, missing values never pass, and every reason is named") {
  const Row rows[] = {
      {"a good second", [](epoch::Epoch&) {}, ""},
      {"HDOP at its limit", [](epoch::Epoch& e) { e.hdop = 2.0; }, ""},
      {"HDOP a hundredth above", [](epoch::Epoch& e) { e.hdop = 2.01; }, "hdop"},
      {"no HDOP", [](epoch::Epoch& e) { e.hdop.reset(); }, "hdop"},
      {"PDOP at its limit", [](epoch::Epoch& e) { e.pdop = 4.0; }, ""},
      {"PDOP above", [](epoch::Epoch& e) { e.pdop = 4.01; }, "pdop"},
      {"no PDOP (no GSA)", [](epoch::Epoch& e) { e.pdop.reset(); }, "pdop"},
      {"six satellites", [](epoch::Epoch& e) { e.satellites = 6; }, ""},
      {"five satellites", [](epoch::Epoch& e) { e.satellites = 5; }, "satellites"},
      {"satellites not given", [](epoch::Epoch& e) { e.satellites.reset(); }, "satellites"},
      {"speed at its limit", [](epoch::Epoch& e) { e.speed_mps = 0.10; }, ""},
      {"speed above", [](epoch::Epoch& e) { e.speed_mps = 0.101; }, "moving"},
      {"speed not known at all", [](epoch::Epoch& e) { e.speed_mps.reset(); }, "moving"},
      {"no GST", [](epoch::Epoch& e) { e.error.reset(); }, "error-missing"},
      {"horizontal claim too large", [](epoch::Epoch& e) { e.error->semi_major_m = 0.03; }, "horizontal-error"},
      {"vertical claim too large", [](epoch::Epoch& e) { e.error->sigma_altitude_m = 0.041; }, "vertical-error"},
      {"age at its limit",
       [](epoch::Epoch& e) {
         e.age = nmea::Age{10.0, false};
       },
       ""},
      {"age above",
       [](epoch::Epoch& e) {
         e.age = nmea::Age{10.1, false};
       },
       "correction-age"},
      {"age missing", [](epoch::Epoch& e) { e.age.reset(); }, "correction-age-missing"},
      {"five decimals of a minute", [](epoch::Epoch& e) { e.position->minute_decimals = 5; }, "coarse-coordinates"},
      {"six decimals of a minute", [](epoch::Epoch& e) { e.position->minute_decimals = 6; }, ""},
      {"no date", [](epoch::Epoch& e) { e.utc.reset(); }, "no-date"},
      {"no geoid separation", [](epoch::Epoch& e) { e.geoid_separation_m.reset(); }, "no-height"},
      {"no altitude", [](epoch::Epoch& e) { e.altitude_m.reset(); }, "no-height"},
      {"no position", [](epoch::Epoch& e) { e.position.reset(); }, "no-position"},
      {"a float is the network's, but not wanted", [](epoch::Epoch& e) { e.quality = Quality::rtk_float; }, "quality"},
      {"code corrections from the network's station", [](epoch::Epoch& e) { e.quality = Quality::differential; },
       "quality"},
      {"autonomous gives that reason alone",
       [](epoch::Epoch& e) {
         e.quality = Quality::autonomous;
         e.hdop = 9.0;
         e.utc.reset();
       },
       "quality"},
      {"no fix gives that reason alone",
       [](epoch::Epoch& e) {
         e.quality = Quality::none;
         e.position.reset();
       },
       "quality"},
      {"a foreign station", [](epoch::Epoch& e) { e.station = 500; }, "unlisted-station"},
      {"the same time twice", [](epoch::Epoch& e) { e.step = epoch::TimeStep::repeated; }, "time-repeated"},
      {"late", [](epoch::Epoch& e) { e.late_s = 8; }, "late"},
      {"a date that is contradicted", [](epoch::Epoch& e) { e.date_contradicted = true; }, "date-contradicted"},
      {"a date before the clock is told, not refused", [](epoch::Epoch& e) { e.clock_days = -179; }, ""},
      {"two positions of one second", [](epoch::Epoch& e) { e.conflicting = true; }, "conflict"},
      {"all at once",
       [](epoch::Epoch& e) {
         e.hdop = 3;
         e.pdop = 5;
         e.satellites = 4;
         e.speed_mps = 1.2;
         e.error.reset();
       },
       "hdop pdop satellites error-missing moving"},
      {"the receiver says W84 without a shift", [](epoch::Epoch& e) { set_datum(e, "W84", 0.0); }, ""},
      {"the receiver shifts its output", [](epoch::Epoch& e) { set_datum(e, "W84", 0.01); }, "frame"},
      {"the receiver is on a datum of its own", [](epoch::Epoch& e) { set_datum(e, "999", 0.0); }, "frame"},
      {"the receiver shifts to the very datum of the source", [](epoch::Epoch& e) { set_datum(e, "NAR", 0.01); }, ""},
  };
  const auto settings = support::settings();
  for (const Row& row : rows) {
    CAPTURE(row.name);
    auto epoch = support::fixed_epoch(0);
    row.change(epoch);
    const auto judged = judge(epoch, settings);
    CHECK(words(judged) == row.reasons);
    CHECK(judged.accepted() == (std::string(row.reasons).empty()));
    CHECK(gate::explain(judged, settings.sources).size() == judged.reasons.count());
    for (const auto& why : gate::explain(judged, settings.sources)) CHECK_FALSE(why.text.empty());
  }
}

TEST_CASE("an absent limit is not applied") {
  auto settings = support::settings();
  settings.sources[0].gate.max_hdop.reset();
  settings.sources[0].gate.max_pdop.reset();
  settings.sources[0].gate.min_satellites.reset();
  settings.sources[0].gate.max_speed_mps.reset();
  auto epoch = support::fixed_epoch(0);
  epoch.hdop.reset();
  epoch.pdop.reset();
  epoch.satellites.reset();
  epoch.speed_mps.reset();
  CHECK(words(judge(epoch, settings)).empty());
}

TEST_CASE("VDOP has a limit of its own: equal passes, just over and missing do not") {
  struct Vdop {
    const char* name;
    std::optional<double> vdop;
    const char* reasons;
    const char* text;
  };
  const Vdop rows[] = {{"at its limit", 3.0, "", ""},
                       {"a thousandth above", 3.001, "vdop", "VDOP 3.001, limit 3"},
                       {"a hundredth above", 3.01, "vdop", "VDOP 3.01, limit 3"},
                       {"no VDOP (no GSA)", std::nullopt, "vdop", "VDOP is not given, limit 3"}};
  auto settings = support::settings();
  settings.sources[0].gate.max_vdop = 3.0;
  for (const Vdop& row : rows) {
    CAPTURE(row.name);
    auto epoch = support::fixed_epoch(0);
    epoch.vdop = row.vdop;
    const auto judged = judge(epoch, settings);
    CHECK(words(judged) == row.reasons);
    const auto why = gate::explain(judged, settings.sources);
    CHECK((why.empty() ? "" : why[0].text) == row.text);
  }
  settings.sources[0].gate.max_vdop.reset();
  auto epoch = support::fixed_epoch(0);
  epoch.vdop = 50.0;
  CHECK(words(judge(epoch, settings)).empty());
}

TEST_CASE("without a printed speed, positions a second apart give it") {
  const auto settings = support::settings();
  gate::Judge judge(settings.sources);
  gate::Matcher matcher(settings.sources);
  const auto run = [&](double t_s, double north_m) {
    gate::Judged j;
    j.epoch = support::fixed_epoch(t_s);
    j.epoch.speed_mps.reset();
    j.epoch.position->latitude_deg = 47.6 + north_m / 111'170.0;  // a metre of latitude at 47.6 N, to 0.1 %
    j.match = matcher.match(j.epoch);
    judge.judge(j);
    return j.speed_mps;
  };
  CHECK_FALSE(run(0.0, 0.0).has_value());
  CHECK_FALSE(run(0.5, 0.0).has_value());  // too short a base line
  CHECK(*run(1.0, 0.5) == doctest::Approx(0.5).epsilon(0.01));
  CHECK(*run(2.0, 1.7) == doctest::Approx(1.2).epsilon(0.01));
  CHECK_FALSE(run(6.0, 1.7).has_value());  // the last position is too old
}

TEST_CASE("the speed is the distance in the vicinity by the time, also where epochs come ten times a second") {
  const auto settings = support::settings();
  gate::Judge judge(settings.sources);
  gate::Matcher matcher(settings.sources);
  const double by_epoch_deg = 0.3 / 111'170.0;
  const auto at = [&](int tenth) {
    return geodesy::Geographic{47.6 + by_epoch_deg * tenth, -87.4,
                               support::fixed_epoch(0).ellipsoid_height_m().value()};
  };
  const double by_epoch_m = geodesy::Vicinity(at(0)).distance_m(at(1));
  for (int tenth = 0; tenth < 60; ++tenth) {
    CAPTURE(tenth);
    gate::Judged j;
    j.epoch = support::fixed_epoch(tenth / 10.0);
    j.epoch.speed_mps.reset();
    j.epoch.position->latitude_deg = at(tenth).latitude_deg;
    j.match = matcher.match(j.epoch);
    judge.judge(j);
    REQUIRE(j.speed_mps.has_value() == (tenth >= 10));
    if (j.speed_mps) CHECK(*j.speed_mps == doctest::Approx(10 * by_epoch_m).epsilon(1e-6));
  }
}

TEST_CASE("the digits of the height have a limit: equal passes, one fewer and no height do not") {
  struct Digits {
    const char* name;
    std::optional<double> separation_m;
    int decimals;
    const char* reasons;
    const char* text;
  };
  const Digits rows[] = {
      {"at the limit", -36.0, 2, "", ""},
      {"more", -36.0, 3, "", ""},
      {"one fewer", -36.0, 1, "coarse-altitude", "decimals of the height: 1, at least 2 wanted"},
      {"whole metres", -36.0, 0, "coarse-altitude", "decimals of the height: 0, at least 2 wanted"},
      {"no separation", std::nullopt, 3, "no-height", "no height: altitude or geoid separation is missing"}};
  auto settings = support::settings();
  for (const bool limited : {true, false}) {
    settings.sources[0].gate.min_altitude_decimals = limited ? std::optional(2) : std::nullopt;
    for (const Digits& row : rows) {
      CAPTURE(row.name);
      auto epoch = support::fixed_epoch(0);
      epoch.geoid_separation_m = row.separation_m;
      epoch.height_decimals = row.decimals;
      const auto judged = judge(epoch, settings);
      const bool told = limited || !row.separation_m;
      CHECK(words(judged) == (told ? row.reasons : ""));
      const auto why = gate::explain(judged, settings.sources);
      CHECK((why.empty() ? "" : why[0].text) == (told ? row.text : ""));
    }
  }
}

TEST_CASE("positions every five seconds give a speed where that is their rate, and none over a gap") {
  for (const int interval_ms : {0, 1000, 5000}) {
    CAPTURE(interval_ms);
    const auto settings = support::settings();
    gate::Judge judge(settings.sources);
    gate::Matcher matcher(settings.sources);
    std::optional<double> speed_mps;
    for (int t = 0; t < 20; t += 5) {
      gate::Judged j;
      j.epoch = support::fixed_epoch(t);
      j.epoch.interval_ms = interval_ms;
      j.epoch.speed_mps.reset();
      j.match = matcher.match(j.epoch);
      judge.judge(j);
      speed_mps = j.speed_mps;
    }
    CHECK(speed_mps.has_value() == (interval_ms == 5000));
  }
}

TEST_CASE("one second without a printed speed takes it from the positions before it") {
  const auto settings = support::settings();
  gate::Judge judge(settings.sources);
  gate::Matcher matcher(settings.sources);
  for (int t = 0; t < 5; ++t) {
    gate::Judged j;
    j.epoch = support::fixed_epoch(t);
    j.epoch.position->latitude_deg = 47.6 + 0.05 * t / 111'170.0;
    if (t == 4) j.epoch.speed_mps.reset();
    j.match = matcher.match(j.epoch);
    judge.judge(j);
    CAPTURE(t);
    REQUIRE(j.speed_mps.has_value());
    CHECK(*j.speed_mps == doctest::Approx(t == 4 ? 0.05 : 0.02).epsilon(0.01));
  }
}

TEST_CASE("sentences carry the value and its limit") {
  const auto settings = support::settings();
  struct Text {
    const char* name;
    void (*change)(epoch::Epoch&);
    const char* text;
  };
  const Text rows[] = {
      {"age",
       [](epoch::Epoch& e) {
         e.age = nmea::Age{1212, false};
       },
       "correction age 1212 s, limit 10 s"},
      {"an age just above is not printed as its limit",
       [](epoch::Epoch& e) {
         e.age = nmea::Age{10.001, false};
       },
       "correction age 10.001 s, limit 10 s"},
      {"HDOP", [](epoch::Epoch& e) { e.hdop = 2.4; }, "HDOP 2.4, limit 2"},
      {"no PDOP", [](epoch::Epoch& e) { e.pdop.reset(); }, "PDOP is not given, limit 4"},
      {"speed", [](epoch::Epoch& e) { e.speed_mps = 1.2; }, "moving: speed 1.2 m/s, limit 0.1 m/s"},
      {"station", [](epoch::Epoch& e) { e.station = 500; },
       "station 500 is not in your configuration (station in [source] match)"},
      {"satellites", [](epoch::Epoch& e) { e.satellites = 4; }, "4 satellites, at least 6 wanted"},
      {"quality", [](epoch::Epoch& e) { e.quality = Quality::rtk_float; },
       "quality rtk-float, source \"county network\" wants rtk-fixed"},
      {"autonomous", [](epoch::Epoch& e) { e.quality = Quality::autonomous; },
       "quality autonomous: no corrections in use"},
  };
  for (const Text& row : rows) {
    CAPTURE(row.name);
    auto epoch = support::fixed_epoch(0);
    row.change(epoch);
    const auto why = gate::explain(judge(epoch, settings), settings.sources);
    REQUIRE(why.size() == 1);
    CHECK(why[0].text == row.text);
  }
}

TEST_CASE("sentences of one second that claim less than GGA are a conflict, healthy differences are not") {
  struct Claim {
    const char* name;
    void (*spoil)(epoch::Epoch&);
    bool conflict;
  };
  const Claim rows[] = {
      {"nothing beside GGA", [](epoch::Epoch&) {}, false},
      {"RMC void beside a fixed GGA", [](epoch::Epoch& e) { e.rmc_valid = false; }, true},
      {"RMC mode R", [](epoch::Epoch& e) { e.rmc_mode = 'R'; }, false},
      {"RMC mode D beside fixed occurs on healthy receivers", [](epoch::Epoch& e) { e.rmc_mode = 'D'; }, false},
      {"RMC mode F beside fixed", [](epoch::Epoch& e) { e.rmc_mode = 'F'; }, true},
      {"RMC mode A beside fixed", [](epoch::Epoch& e) { e.rmc_mode = 'A'; }, true},
      {"RMC mode E beside fixed", [](epoch::Epoch& e) { e.rmc_mode = 'E'; }, true},
      {"GNS with one system fixed and others unused",
       [](epoch::Epoch& e) {
         e.gns_modes = {'N', 'R', 'N'};
       },
       false},
      {"GNS all autonomous beside fixed",
       [](epoch::Epoch& e) {
         e.gns_modes = {'A', 'A', 'N'};
       },
       true},
      {"a PDOP of its parts",
       [](epoch::Epoch& e) {
         e.pdop = 1.3;
         e.gsa_hdop = 0.7;
         e.vdop = 1.1;
       },
       false},
      {"a PDOP smaller than VDOP",
       [](epoch::Epoch& e) {
         e.pdop = 0.9;
         e.gsa_hdop = 0.7;
         e.vdop = 1.9;
       },
       true},
      {"a PDOP as far below its parts as tenths can be rounded",
       [](epoch::Epoch& e) {
         e.pdop = 1.0;
         e.gsa_hdop = 1.0;
         e.vdop = 0.499;
       },
       false},
      {"a PDOP below that",
       [](epoch::Epoch& e) {
         e.pdop = 1.0;
         e.gsa_hdop = 1.0;
         e.vdop = 0.501;
       },
       true},
      {"large DOPs are compared",
       [](epoch::Epoch& e) {
         e.pdop = 60.0;
         e.gsa_hdop = 99.8;
         e.vdop = 50.0;
       },
       true},
      {"what stands for a DOP too large to print is not",
       [](epoch::Epoch& e) {
         e.pdop = 60.0;
         e.gsa_hdop = 99.9;
         e.vdop = 50.0;
       },
       false},
      {"a PDOP larger than its parts, as some receivers print",
       [](epoch::Epoch& e) {
         e.pdop = 3.9;
         e.gsa_hdop = 2.9;
         e.vdop = 1.0;
       },
       false},
  };
  const auto settings = support::settings();
  for (const Claim& row : rows) {
    CAPTURE(row.name);
    gate::Judge judge(settings.sources);
    gate::Judged judged;
    judged.epoch = support::fixed_epoch(0);
    row.spoil(judged.epoch);
    judged.match.source = 0;
    judge.judge(judged);
    CHECK(judged.reasons.test(static_cast<std::size_t>(gate::Reason::conflict)) == row.conflict);
    const auto texts = gate::explain(judged, settings.sources);
    for (const auto& text : texts) CHECK_FALSE(text.text.empty());
  }
}

TEST_CASE("a datum that the receiver names contradicts every frame but its own, and a shift every one") {
  struct Datum {
    const char* local;
    double north_min, east_min, up_m;
    const char* frame;
    bool contradicts;
  };
  const Datum rows[] = {
      {"W84", 0, 0, 0, "EPSG:9989", false},   {"", 0, 0, 0, "EPSG:9989", false},
      {"NAR", 0, 0, 0, "EPSG:9989", true},    {"NAR", 0, 0, 0, "ITRF2020", true},
      {"NAR", 0, 0, 0, "EPSG:6319", false},   {"NAR", 0, 0, 0, "EPSG:6782", false},
      {"NAR", 0, 0, 0, "EPSG:8254", false},   {"NAR", 0, 0, 0, "EPSG:6321", false},
      {"NAR", 0, 0, 0, "EPSG:6324", false},   {"NAR", 0, 0, 0, "NAD83(2011)", false},
      {"NAR", 0, 0, 0, "plain NAD83", false}, {"EUR", 0, 0, 0, "EPSG:6319", true},
      {"W84", 0.01, 0, 0, "EPSG:6319", true}, {"W84", 0, 0.01, 0, "EPSG:6319", true},
      {"W84", 0, 0, 0.5, "EPSG:6319", true},  {"NAR", 0.01, 0, 0, "EPSG:6319", false},
  };
  for (const Datum& row : rows) {
    CAPTURE(std::string(row.local));
    CAPTURE(std::string(row.frame));
    nmea::Dtm dtm;
    std::strncpy(dtm.local.data(), row.local, dtm.local.size() - 1);
    dtm.latitude_offset_min = row.north_min;
    dtm.longitude_offset_min = row.east_min;
    dtm.altitude_offset_m = row.up_m;
    config::Source source = support::network();
    source.frame = row.frame;
    CHECK(gate::contradicts(dtm, source) == row.contradicts);
  }
}

TEST_CASE("who waits for corrections to settle reads how long, to a tenth of a second") {
  const auto settings = support::settings();
  gate::Judged judged;
  judged.epoch = support::fixed_epoch(0);
  judged.match.source = 0;
  judged.freshness.settle_left_s = 2.34;
  judged.reasons.set(static_cast<std::size_t>(gate::Reason::settling));
  const auto texts = gate::explain(judged, settings.sources);
  REQUIRE(texts.size() == 1);
  CHECK(texts[0].text == "settling: corrections are good again, counts in 2.3 s");
}

TEST_CASE(
    "forty percent of the satellites lost within a second are told until they are back or the source has settled") {
  struct Loss {
    const char* name;
    int left;
    double after_s;
    int told;  ///< of the ten seconds from the loss on
  };
  const Loss rows[] = {
      {"five of twelve left", 5, 1.0, 5},
      {"eight of twelve left is under the share", 8, 1.0, 0},
      {"a loss over two seconds is none at once", 5, 2.0, 0},
  };
  const auto settings = support::settings();
  for (const Loss& row : rows) {
    CAPTURE(row.name);
    gate::Judge judge(settings.sources);
    int told = 0;
    for (int t = 0; t < 20; ++t) {
      gate::Judged judged;
      judged.epoch = support::fixed_epoch(t < 10 ? t : t - 1 + row.after_s);
      judged.epoch.satellites = t < 10 ? 12 : row.left;
      judged.match.source = 0;
      judge.judge(judged);
      if (!judged.satellites_before) continue;
      ++told;
      CHECK(*judged.satellites_before == 12);
      CHECK(judged.accepted() == (row.left >= 6));
    }
    CHECK(told == row.told);
  }
}

}  // namespace
