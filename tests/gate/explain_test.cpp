// Every reason as people read it. Each value has a digit more than is shown.

#include <doctest/doctest.h>

#include <array>
#include <set>

#include "gate/judge.hpp"
#include "support/epochs.hpp"

namespace {

using namespace stillpoint;
using gate::Reason;

gate::Judged full() {
  gate::Judged j;
  j.epoch = support::fixed_epoch(0);
  j.epoch.hdop = 2.346;
  j.epoch.pdop = 4.056;
  j.epoch.vdop = 3.456;
  j.epoch.satellites = 5;
  j.epoch.position->minute_decimals = 4;
  j.epoch.late_s = 8.23;
  j.epoch.clock_days = 3134;
  j.epoch.height_decimals = 1;
  j.match.source = 0;
  j.match.station = 417;
  j.freshness.age_s = 12.34;
  j.freshness.settle_left_s = 2.34;
  j.error.emplace();
  j.error->error95_horizontal_m = 0.06123;
  j.error->error95_vertical_m = 0.09345;
  j.speed_mps = 1.2345;
  return j;
}

std::string text_of(Reason reason, gate::Judged j) {
  j.reasons.reset();
  j.reasons.set(static_cast<std::size_t>(reason));
  auto sources = support::settings().sources;
  sources[0].gate.max_vdop = 3.0;
  sources[0].gate.min_altitude_decimals = 2;
  const auto texts = gate::explain(j, sources);
  REQUIRE(texts.size() == 1);
  CHECK(texts[0].reason == reason);
  return texts[0].text;
}

struct Row {
  Reason reason;
  const char* text;
  const char* missing;  ///< with nothing known of the second; empty: the same
};

const Row kRows[] = {
    {Reason::quality, "quality rtk-fixed, source \"county network\" wants rtk-fixed", ""},
    {Reason::unknown_source, "no source takes quality rtk-fixed", ""},
    {Reason::unlisted_station, "station 417 is not in your configuration (station in [source] match)",
     "a blank station is not in your configuration (station in [source] match)"},
    {Reason::no_date, "no date from the receiver yet (RMC or ZDA)", ""},
    {Reason::no_position, "no position in this epoch", ""},
    {Reason::no_height, "no height: altitude or geoid separation is missing", ""},
    {Reason::time_repeated, "the receiver printed this time twice", ""},
    {Reason::late, "it comes 8.2 s late: what it tells was so before", ""},
    {Reason::date_contradicted, "its date, 2026-06-03, stands 3134 days after this computer's clock", ""},
    {Reason::jump, "the position jumped while the pole stood still", ""},
    {Reason::outlier, "too far from the other seconds of this stay", ""},
    {Reason::other_segment, "belongs to a part of the stay that was not kept", ""},
    {Reason::frozen, "the receiver repeats itself: everything it says but its time stands still", ""},
    {Reason::frame, "the receiver says (DTM) that it shifts its output to another datum than the source's frame", ""},
    {Reason::correction_age, "correction age 12.3 s, limit 10 s", "correction age is not given, limit 10 s"},
    {Reason::corrections_stale, "no proof of corrections for 12.3 s, limit 10 s", ""},
    {Reason::correction_age_missing, "the receiver gives no correction age, and the source wants one", ""},
    {Reason::settling, "settling: corrections are good again, counts in 2.3 s", ""},
    {Reason::hdop, "HDOP 2.35, limit 2", "HDOP is not given, limit 2"},
    {Reason::pdop, "PDOP 4.06, limit 4", "PDOP is not given, limit 4"},
    {Reason::vdop, "VDOP 3.46, limit 3", "VDOP is not given, limit 3"},
    {Reason::satellites, "5 satellites, at least 6 wanted", "the number of satellites is not given, at least 6 wanted"},
    {Reason::horizontal_error, "horizontal error at 95 % 0.061 m, limit 0.05 m",
     "horizontal error at 95 % is not given, limit 0.05 m"},
    {Reason::vertical_error, "vertical error at 95 % 0.093 m, limit 0.08 m",
     "vertical error at 95 % is not given, limit 0.08 m"},
    {Reason::error_missing, "the receiver gives no error of its own (GST) for this second", ""},
    {Reason::moving, "moving: speed 1.23 m/s, limit 0.1 m/s", "moving: speed is not given, limit 0.1 m/s"},
    {Reason::coarse_coordinates, "coordinates have 4 decimals of a minute, at least 6 wanted",
     "the position is not given, at least 6 wanted"},
    {Reason::coarse_altitude, "decimals of the height: 1, at least 2 wanted",
     "the height is not given, at least 2 wanted"},
};

}  // namespace

TEST_CASE("each reason has its sentence, with the value as short as it says enough, and the limit") {
  std::set<Reason> told;
  for (const Row& row : kRows) {
    CAPTURE(std::string(to_word(row.reason)));
    CHECK(text_of(row.reason, full()) == row.text);
    if (*row.missing == '\0') continue;
    gate::Judged nothing = full();
    nothing.epoch = {};
    nothing.match.station.reset();
    nothing.freshness.age_s.reset();
    nothing.error.reset();
    nothing.speed_mps.reset();
    CHECK(text_of(row.reason, nothing) == row.missing);
  }
  for (const Row& row : kRows) told.insert(row.reason);
  told.insert(Reason::conflict);  // its sentences have a test of their own
  CHECK(told.size() == static_cast<std::size_t>(gate::kReasonCount));
}

TEST_CASE("a date that jumped says which way and how far") {
  gate::Judged j = full();
  j.epoch.clock_days.reset();
  j.epoch.jumped_days = 400;
  CHECK(text_of(Reason::date_contradicted, j) ==
        "its date, 2026-06-03, stands 400 days after those it gave until then");
  j.epoch.jumped_days = -1;
  CHECK(text_of(Reason::date_contradicted, j) == "its date, 2026-06-03, stands 1 day before those it gave until then");
}

TEST_CASE("a value that would round to its limit is shown with as many digits as tell them apart") {
  gate::Judged j = full();
  j.epoch.hdop = 2.004;
  CHECK(text_of(Reason::hdop, j) == "HDOP 2.004, limit 2");
  j.epoch.hdop = 2.0000001;
  CHECK(text_of(Reason::hdop, j) == "HDOP 2.0000001, limit 2");
  j.epoch.hdop = 2.000000001;
  CHECK(text_of(Reason::hdop, j) == "HDOP 2.000000001, limit 2");
}

TEST_CASE("a quality without a source is told by what it is, and a fault of the frame in its own words") {
  gate::Judged j = full();
  j.match.source.reset();
  j.epoch.quality = Quality::none;
  CHECK(text_of(Reason::quality, j) == "the receiver has no position");
  j.epoch.quality = Quality::autonomous;
  CHECK(text_of(Reason::quality, j) == "quality autonomous: no corrections in use");
  j.frame_fault = "outside the area of use";
  CHECK(text_of(Reason::frame, j) == "outside the area of use");
}
