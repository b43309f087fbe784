#include "occupation/occupation.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <string>
#include <vector>

#include "support/epochs.hpp"

namespace {

using namespace stillpoint;
using gate::Reason;
using occupation::Elsewhere;
using occupation::HoldReason;
using occupation::PointStatus;

constexpr double kMetresPerDegree = 111'170.0;  // of latitude at 47.6 N, to 0.1 %

std::size_t bit(Reason reason) {
  return static_cast<std::size_t>(reason);
}

/// A second of the county network that counts, so far north of where it stands, with 10 mm and 20 mm in height.
gate::Judged good(double t_s, double north_m = 0, double up_m = 0) {
  gate::Judged j;
  j.epoch = support::fixed_epoch(t_s);
  j.epoch.position->latitude_deg = 47.6 + north_m / kMetresPerDegree;
  j.epoch.altitude_m = 180.0 + up_m;
  j.match.source = 0;
  j.match.station = 417;
  j.freshness.state = corrections::State::fresh;
  j.freshness.age_s = 1.0;
  j.error = gate::EpochError{1e-4, 0, 1e-4, 4e-4, 0.0245, 0.0392, false};
  return j;
}

/// A second under the satellites' corrections.
gate::Judged by_satellites(double t_s) {
  gate::Judged j = good(t_s);
  j.epoch.quality = Quality::sbas;
  j.match.source = 1;
  j.match.station.reset();
  j.error = gate::EpochError{0.16, 0, 0.16, 0.36, 0.98, 1.18, false};
  return j;
}

gate::Judged refused(double t_s, std::vector<Reason> reasons) {
  gate::Judged j = good(t_s);
  for (const Reason reason : reasons) j.refuse(reason);
  return j;
}

struct Stay {
  config::Settings settings = support::settings();
  geodesy::Frames frames = geodesy::Frames::open(settings).value();
  occupation::Occupation stay;

  explicit Stay(const occupation::Stand& stand = {"CUL-14", 2, "CUL-U", "upstream", 1.871, true, false},
                const config::Settings& given = support::settings())
      : settings(given), frames(geodesy::Frames::open(settings).value()), stay(stand, settings, frames) {}
  occupation::Observed give(const gate::Judged& judged) { return stay.observe(judged); }
  /// One a second; a millimetre to either side, as a receiver that stands does.
  void run(int from_s, int to_s, double north_m = 0) {
    for (int t = from_s; t < to_s; ++t) give(good(t, north_m + 0.001 * (t % 3 - 1)));
  }
  occupation::Point point() const { return stay.finish(); }
};

}  // namespace

TEST_CASE("a stay of good seconds becomes a point with everything it rests on") {
  Stay s;
  CHECK(s.stay.empty());
  CHECK_FALSE(s.stay.timed());
  s.run(0, 42);
  CHECK(s.stay.timed());
  CHECK(s.stay.observed() == 42);
  CHECK(s.stay.lasted_s() == 41.0);
  const auto p = s.point();
  CHECK(p.status == PointStatus::accepted);
  CHECK(p.name == "CUL-14");
  CHECK(p.visit == 2);
  CHECK(p.code == "CUL-U");
  CHECK(p.note == "upstream");
  CHECK(p.rules == occupation::kRules);
  CHECK(p.frame == "EPSG:6319");
  CHECK(p.antenna_height_m == 1.871);
  CHECK(p.started_utc == parse_utc("2026-06-03T14:00:00Z"));
  CHECK(p.finished_utc == parse_utc("2026-06-03T14:00:41Z"));
  CHECK(p.epochs_used == 42);
  CHECK(p.epochs_refused == 0);
  CHECK(p.source == "county network");
  CHECK(p.station == 417);
  CHECK(p.quality == Quality::rtk_fixed);
  CHECK(p.error_scale == 1.0);
  CHECK(p.reasons.empty());
  CHECK(p.flags == std::vector<std::string>{"claim-not-proven", "error-scale-not-verified"});
  REQUIRE(p.at.has_value());
  CHECK(p.at->latitude_deg == doctest::Approx(47.6).epsilon(1e-11));
  CHECK(p.at->longitude_deg == doctest::Approx(-87.4).epsilon(1e-11));
  CHECK(p.at->ellipsoid_height_m == doctest::Approx(180.0 - 36.0 - 1.871).epsilon(1e-9));
  CHECK(p.at->coordinate_epoch == 2010.0);
  // Millimetres to either side in turn scatter by the root of two thirds.
  CHECK(p.at->repeatability_m == doctest::Approx(0.001 * std::sqrt(2.0 / 3)).epsilon(2e-3));
  CHECK(p.at->effective_epochs == doctest::Approx(1.0).epsilon(0.02));
}

TEST_CASE("a point wants its epochs and its seconds, and says what it lacks of each") {
  struct Row {
    const char* name;
    int epochs;
    double interval_s;
    std::vector<HoldReason> reasons;
    std::vector<std::string> texts;
  };
  const Row rows[] = {
      {"both reached", 30, 1.0, {}, {}},
      {"one of each short",
       29,
       1.0,
       {HoldReason::too_few_epochs, HoldReason::too_short},
       {"29 epochs counted, at least 30 wanted", "29.0 s counted, at least 30.0 s wanted"}},
      {"epochs enough, seconds not", 59, 0.5, {HoldReason::too_short}, {"29.5 s counted, at least 30.0 s wanted"}},
      {"seconds enough, epochs not", 15, 2.0, {HoldReason::too_few_epochs}, {"15 epochs counted, at least 30 wanted"}},
      {"a single epoch",
       1,
       1.0,
       {HoldReason::too_few_epochs, HoldReason::too_short},
       {"1 epoch counted, at least 30 wanted", "0.0 s counted, at least 30.0 s wanted"}},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Stay s;
    for (int i = 0; i < row.epochs; ++i) s.give(good(i * row.interval_s, 0.001 * (i % 3 - 1)));
    const auto p = s.point();
    CHECK(p.reasons == row.reasons);
    CHECK(p.reason_texts == row.texts);
    CHECK(p.status == (row.reasons.empty() ? PointStatus::accepted : PointStatus::held));
    const auto progress = s.stay.progress();
    CHECK(progress.enough == row.reasons.empty());
    CHECK(progress.accepted == static_cast<std::uint64_t>(row.epochs));
    CHECK(progress.refused == 0);
    CHECK(progress.counted_s == doctest::Approx(row.epochs == 1 ? 0.0 : row.epochs * row.interval_s));
  }
  const Stay nothing;
  CHECK(nothing.point().status == PointStatus::none);
  CHECK_FALSE(nothing.point().at.has_value());
  CHECK_FALSE(nothing.stay.progress().enough);
}

TEST_CASE("a step longer than the silence limit interrupts a stay, and so does a step back") {
  struct Row {
    const char* name;
    double step_s;
    bool interrupted;
    const char* why;
  };
  for (const Row& row : {Row{"the limit itself", 3.0, false, ""},
                         Row{"a millisecond more", 3.001, true, "the receiver's data broke off during the stay"},
                         Row{"a step back", -0.001, true, "the receiver's clock stepped back during the stay"}}) {
    CAPTURE(row.name);
    Stay s;
    s.run(0, 40);
    for (int i = 0; i < 40; ++i) s.give(good(39 + row.step_s + i, 0.001 * (i % 3 - 1)));
    const auto p = s.point();
    CHECK((p.reasons == std::vector{HoldReason::interrupted}) == row.interrupted);
    CHECK(p.epochs_used == (row.interrupted ? 40 : 80));  // nothing is joined over a gap
    if (row.interrupted) CHECK(p.reason_texts == std::vector<std::string>{row.why});
  }
  Stay begun;
  begun.stay.interrupt();  // nothing to break off yet
  begun.run(0, 40);
  CHECK(begun.point().status == PointStatus::accepted);
}

TEST_CASE("what a second was like is told of the point, if the second is in it") {
  struct Row {
    const char* flag;
    void (*spoil)(gate::Judged&);
  };
  const Row rows[] = {
      {"assumed-sigma", [](gate::Judged& j) { j.error->assumed = true; }},
      {"date-behind-clock", [](gate::Judged& j) { j.epoch.clock_days = -179; }},
      {"clock-dated", [](gate::Judged& j) { j.epoch.clock_dated = true; }},
      {"coasted", [](gate::Judged& j) { j.freshness.state = corrections::State::coasting; }},
      {"satellites-lost", [](gate::Judged& j) { j.satellites_before = 12; }},
      {"week-rollover", [](gate::Judged& j) { j.epoch.lifted_days = 7168; }},
  };
  for (const Row& row : rows) {
    for (const bool counts : {true, false}) {
      CAPTURE(row.flag);
      CAPTURE(counts);
      Stay s;
      s.run(0, 20);
      gate::Judged spoilt = good(20);
      row.spoil(spoilt);
      if (!counts) spoilt.refuse(Reason::hdop);
      s.give(spoilt);
      s.run(21, 60);
      std::vector<std::string> flags{"claim-not-proven", "error-scale-not-verified"};
      if (counts) flags.emplace_back(row.flag);
      std::sort(flags.begin(), flags.end());
      CHECK(s.point().flags == flags);
      CHECK(s.stay.progress().assumed_sigma == (counts && std::string(row.flag) == "assumed-sigma"));
    }
  }
}

TEST_CASE("flags of the source, of training and of heights that look wrong") {
  const auto flags_of = [](const config::Settings& settings, bool training, void (*change)(gate::Judged&)) {
    Stay s({"CUL-14", 1, "", "", 1.871, true, training}, settings);
    for (int t = 0; t < 40; ++t) {
      gate::Judged j = good(t, 0.001 * (t % 3 - 1));
      change(j);
      s.give(j);
    }
    return s.point().flags;
  };
  using Flags = std::vector<std::string>;
  config::Settings verified = support::settings();
  verified.sources[0].error_scale = 1.3;
  verified.sources[0].error_scale_evidence = config::ScaleEvidence{10, "2026-06-03"};
  const auto nothing = [](gate::Judged&) {};
  CHECK(flags_of(verified, false, nothing).empty());
  CHECK(flags_of(verified, true, nothing) == Flags{"training"});
  const auto separation = [](gate::Judged& j) { j.epoch.geoid_separation_m = 0.0; };
  CHECK(flags_of(verified, false, separation) == Flags{"constant-separation"});
  CHECK(flags_of(verified, false, [](gate::Judged& j) { j.epoch.altitude_m = -15.0; }).empty());
  CHECK(flags_of(verified, false, [](gate::Judged& j) { j.epoch.altitude_m = -15.001; }) ==
        Flags{"ellipsoidal-altitude"});
  const auto swinging = [](double north, double up) {
    Stay s;
    for (int t = 0; t < 240; ++t) {
      const double swing = std::sin(0.05 * t);
      s.give(good(t, north * swing, up * swing));
    }
    return s.point().flags;
  };
  CHECK(swinging(0, 0) == Flags{"claim-not-proven", "error-scale-not-verified"});
  // Four sigma of swing, slow enough to be let in: refuted by what scatters, in plan alone and in height alone.
  CHECK(swinging(0.04, 0) == Flags{"claim-not-proven", "error-scale-not-verified", "receiver-error-refuted"});
  CHECK(swinging(0, 0.08) == Flags{"claim-not-proven", "error-scale-not-verified", "receiver-error-refuted"});
}

TEST_CASE("a stay that drifts is held, and says how far, in which time and against what claim") {
  struct Row {
    const char* name;
    double north_m, up_m;  ///< a second
    const char* text;      ///< its beginning; empty: not held
  };
  const Row rows[] = {{"in plan", 0.003, 0, "the position drifts: 0.30 m in 100 s, the receiver claims "},
                      {"in height", 0, 0.006, "the height drifts: 0.60 m in 100 s, the receiver claims "},
                      {"within the claim", 0.0002, 0, ""}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Stay s;
    for (int t = 0; t < 100; ++t) s.give(good(t, row.north_m * t, row.up_m * t));
    const occupation::Point p = s.point();
    const auto reason = std::find(p.reasons.begin(), p.reasons.end(), occupation::HoldReason::drifting);
    CHECK((reason != p.reasons.end()) == (row.text[0] != '\0'));
    if (reason == p.reasons.end()) continue;
    CHECK(p.status == occupation::PointStatus::held);
    const std::string& text = p.reason_texts[static_cast<std::size_t>(reason - p.reasons.begin())];
    CHECK(text.find(row.text) == 0);
    CHECK(text.find(": visit the point again") != std::string::npos);
  }
}

TEST_CASE("digits coarser than the claim are flagged, in plan and in height") {
  struct Row {
    const char* name;
    int minute_decimals, height_decimals;
    bool coarse;
  };
  const Row rows[] = {
      {"millimetres", 7, 3, false}, {"five decimals of a minute", 5, 3, true}, {"0.1 m in height", 7, 1, true}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Stay s;
    for (int t = 0; t < 40; ++t) {
      gate::Judged j = good(t, 0.001 * (t % 3 - 1));
      j.epoch.position->minute_decimals = row.minute_decimals;
      j.epoch.height_decimals = row.height_decimals;
      s.give(j);
    }
    const auto flags = s.point().flags;
    CHECK((std::find(flags.begin(), flags.end(), "coarse-digits") != flags.end()) == row.coarse);
  }
}

TEST_CASE("refused seconds are counted by every reason, far ones as outlier and then as jumps") {
  Stay s;
  s.run(0, 40);
  s.give(refused(40, {Reason::hdop, Reason::pdop}));
  s.give(refused(41, {Reason::hdop}));
  const auto first = s.give(good(42, 5.0));
  CHECK_FALSE(first.counted);
  CHECK(first.reasons.test(bit(Reason::outlier)));
  CHECK(first.apart_m == doctest::Approx(5.0).epsilon(1e-3));
  CHECK(first.claimed95_m == 0.0245);
  const auto second = s.give(good(43, 5.0));
  CHECK(second.reasons.test(bit(Reason::jump)));
  CHECK_FALSE(second.reasons.test(bit(Reason::outlier)));
  s.run(44, 46);
  CHECK(s.give(good(46, -5.0)).reasons.test(bit(Reason::outlier)));  // the second in between counted
  s.run(47, 50);
  const auto p = s.point();
  CHECK(p.epochs_used == 45);
  CHECK(p.epochs_refused == 5);
  CHECK(p.refused[bit(Reason::hdop)] == 2);
  CHECK(p.refused[bit(Reason::pdop)] == 1);
  CHECK(p.refused[bit(Reason::outlier)] == 2);
  CHECK(p.refused[bit(Reason::jump)] == 1);
  const auto progress = s.stay.progress();
  CHECK(progress.accepted == 45);
  CHECK(progress.refused == 5);
  const auto records = s.stay.epochs();
  REQUIRE(records.size() == 50);
  CHECK(records[40].reasons.count() == 2);
  CHECK_FALSE(records[40].latitude_deg.has_value());
  CHECK(records[42].reasons.test(bit(Reason::outlier)));
  CHECK(records[43].reasons.test(bit(Reason::jump)));
  CHECK_FALSE(records[43].accepted);
  CHECK(records[39].accepted);
  CHECK(records[39].reasons.none());
}

TEST_CASE("a second that is kept is at the mark in the project frame, with its error as scaled") {
  config::Settings settings = support::settings();
  settings.sources[0].error_scale = 1.5;
  Stay s({"CUL-14", 1, "", "", 2.0, true, false}, settings);
  s.give(good(0));
  const auto records = s.stay.epochs();
  REQUIRE(records.size() == 1);
  const auto& r = records[0];
  CHECK(r.utc == parse_utc("2026-06-03T14:00:00Z"));
  CHECK(r.quality == Quality::rtk_fixed);
  CHECK(r.station == 417);
  CHECK(r.source == "county network");
  CHECK(r.age_s == 1.0);
  CHECK(r.correction == corrections::State::fresh);
  CHECK(r.latitude_deg.value() == doctest::Approx(47.6).epsilon(1e-12));
  CHECK(r.ellipsoid_height_m.value() == doctest::Approx(142.0).epsilon(1e-12));
  CHECK(r.sigma_east_m.value() == doctest::Approx(0.015));
  CHECK(r.sigma_north_m.value() == doctest::Approx(0.015));
  CHECK(r.sigma_up_m.value() == doctest::Approx(0.030));
  // The age as printed where the state of corrections tells none.
  gate::Judged other = good(1);
  other.freshness.age_s.reset();
  other.epoch.age = nmea::Age{4.0, false};
  s.give(other);
  CHECK(s.stay.epochs()[1].age_s == 4.0);
  Stay without({"CUL-14", 1, "", "", 2.0, false, false});
  without.run(0, 40);
  CHECK(without.stay.epochs().empty());
  CHECK(without.point().epochs_used == 40);
}

TEST_CASE("seconds of another class are in the stay and not in its point") {
  Stay s;
  occupation::Observed last;
  for (int t = 0; t < 10; ++t) last = s.give(by_satellites(t));
  CHECK(last.in_point);
  CHECK(last.elsewhere == Elsewhere::no);
  for (int t = 10; t < 39; ++t) {
    last = s.give(good(t, 0.001 * (t % 3 - 1)));
    if (t > 10) continue;
    CHECK(last.in_point);  // the better class at once
    CHECK(last.lost == 10);
    CHECK(last.gained == 0);
  }
  last = s.give(by_satellites(39));
  CHECK(last.counted);
  CHECK_FALSE(last.in_point);
  CHECK(last.elsewhere == Elsewhere::corrections);
  const auto p = s.point();
  CHECK(p.quality == Quality::rtk_fixed);
  CHECK(p.epochs_used == 29);
  CHECK(p.refused[bit(Reason::other_segment)] == 11);
  CHECK(p.at->coordinate_epoch == 2010.0);
  const auto records = s.stay.epochs();
  CHECK(records[0].reasons.test(bit(Reason::other_segment)));
  CHECK_FALSE(records[0].accepted);
  CHECK(records[20].accepted);
}

TEST_CASE("a class that is complete is the point before a better one that is not") {
  for (const int fixed : {29, 30}) {
    CAPTURE(fixed);
    Stay s;
    for (int t = 0; t < 40; ++t) s.give(by_satellites(t));
    for (int t = 40; t < 40 + fixed; ++t) s.give(good(t, 0.001 * (t % 3 - 1)));
    CHECK(s.point().quality == (fixed == 30 ? Quality::rtk_fixed : Quality::sbas));
    CHECK(s.point().status == PointStatus::accepted);
  }
}

TEST_CASE("a second place in one stay is told with both levels, and with the seconds that change sides") {
  Stay s;
  s.run(0, 40);
  occupation::Observed last;
  for (int t = 40; t < 45; ++t) last = s.give(good(t, 1.0 + 0.001 * (t % 3 - 1), 0.5));
  CHECK(last.counted);  // the fifth that agrees opens the place, with the four before it
  CHECK_FALSE(last.in_point);
  CHECK(last.elsewhere == Elsewhere::place);
  CHECK(last.lost == 0);
  CHECK(last.gained == 0);
  for (int t = 45; t < 80; ++t) last = s.give(good(t, 1.0 + 0.001 * (t % 3 - 1), 0.5));
  CHECK_FALSE(last.in_point);  // forty to forty: the earlier one stays
  const auto p = s.point();
  CHECK(p.status == PointStatus::held);
  CHECK(p.reasons == std::vector{HoldReason::unresolved});
  CHECK(p.reason_texts[0] == "two levels 1.00 m apart and 0.50 m in height (40 and 40 epochs): visit the point again");
  CHECK(p.refused[bit(Reason::outlier)] == 0);
  CHECK(p.refused[bit(Reason::jump)] == 0);
  CHECK(p.refused[bit(Reason::other_segment)] == 40);
  CHECK(s.stay.progress().other_level_epochs == 40);
  last = s.give(good(80, 1.0, 0.5));
  CHECK(last.in_point);
  CHECK(last.lost == 40);
  CHECK(last.gained == 40);
  CHECK(s.point().at->latitude_deg == doctest::Approx(47.6 + 1.0 / kMetresPerDegree).epsilon(1e-10));
  const auto records = s.stay.epochs();  // the four that waited for the fifth are of the second place too
  REQUIRE(records.size() == 81);
  for (std::size_t i = 0; i < records.size(); ++i) {
    CAPTURE(i);
    CHECK(records[i].accepted == (i >= 40));
  }
}

TEST_CASE("a second that cannot be brought into the project frame is refused with the sentence of the frame") {
  Stay s;
  gate::Judged dateless = good(0);
  dateless.match.source = 1;  // ITRF2020, which moves
  dateless.epoch.utc.reset();
  const auto no_date = s.give(dateless);
  CHECK_FALSE(no_date.counted);
  CHECK(no_date.reasons.test(bit(Reason::no_date)));
  CHECK_FALSE(no_date.frame_fault.empty());
  gate::Judged paris = good(1);
  paris.match.source = 1;
  paris.epoch.position->latitude_deg = 48.8566;
  paris.epoch.position->longitude_deg = 2.3522;
  const auto away = s.give(paris);
  CHECK(away.reasons.test(bit(Reason::frame)));
  CHECK(away.frame_fault.find("outside the area of use") != std::string::npos);
  const auto p = s.point();
  CHECK(p.status == PointStatus::none);
  CHECK(p.refused[bit(Reason::frame)] == 1);
  CHECK(p.refused[bit(Reason::no_date)] == 1);
  CHECK(p.epochs_refused == 2);
}
