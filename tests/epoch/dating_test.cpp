#include <doctest/doctest.h>

#include "epoch/feed.hpp"

namespace stillpoint {
namespace {

using epoch::TimeStep;
using test::at;
using test::Feed;
using test::gga;
using test::rmc;
using test::zda;

constexpr std::int64_t kTwo = at(14, 0, 0);
constexpr std::int64_t kDay = 86'400'000;

std::string utc_of(const epoch::Epoch& e) {
  return e.utc ? to_text(*e.utc) : "none";
}

TEST_CASE("a date counts from its own instant on") {
  Feed feed;
  feed.say({gga(kTwo), gga(kTwo + 1000), rmc(kTwo + 1000), gga(kTwo + 2000)});
  feed.finish();
  REQUIRE(feed.epochs.size() == 3);
  CHECK(utc_of(feed.epochs[0]) == "none");
  CHECK(utc_of(feed.epochs[1]) == "2026-06-03T14:00:01Z");
  CHECK(utc_of(feed.epochs[2]) == "2026-06-03T14:00:02Z");
}

TEST_CASE("which dates are believed") {
  struct Row {
    const char* name;
    std::string sentence;
    const char* utc;
    bool rollover;
  };
  // Sums by Python 3.11 datetime. 7168 days lie between the two rollovers of the GPS week, 1999-08-22 and 2019-04-07
  // (dates from memory of the published notices).
  const std::vector<Row> rows{
      {"RMC", rmc(kTwo), "2026-06-03T14:00:00Z", false},
      {"RMC without a valid fix", "GNRMC,140000.00,V,,,,,,,030626,,", "2026-06-03T14:00:00Z", false},
      {"ZDA", zda(kTwo), "2026-06-03T14:00:00Z", false},
      {"the first day taken as printed", rmc(kTwo, "010120"), "2020-01-01T14:00:00Z", false},
      {"the day before it is lifted", rmc(kTwo, "311219"), "2039-08-16T14:00:00Z", true},
      {"1024 weeks early", rmc(kTwo, "310305"), "2024-11-14T14:00:00Z", true},
      {"1024 weeks early by ZDA", zda(kTwo, "18,10,2006"), "2026-06-03T14:00:00Z", true},
      {"2048 weeks early", zda(kTwo, "03,01,2000"), "2039-04-04T14:00:00Z", true},
      {"a cold start by RMC", rmc(kTwo, "060180"), "none", false},
      {"a cold start by ZDA", zda(kTwo, "06,01,1980"), "none", false},
      {"the last year of the old century", rmc(kTwo, "311299"), "none", false},
      {"a day that the month has not", rmc(kTwo, "310626"), "none", false},
      {"zeros", rmc(kTwo, "000000"), "none", false},
      {"blank", rmc(kTwo, ""), "none", false},
      {"a date without a time", "GNRMC,,V,,,,,,,030626,,", "none", false},
  };
  for (const Row& row : rows) {
    CAPTURE(std::string(row.name));
    Feed feed;
    feed.say({gga(kTwo), row.sentence});
    feed.finish();
    REQUIRE(feed.epochs.size() == 1);
    CHECK(utc_of(feed.epochs[0]) == row.utc);
    CHECK(feed.epochs[0].week_rollover == row.rollover);
    CHECK(!feed.epochs[0].clock_dated);
  }
}

TEST_CASE("a cold-start date gives way to the real one") {
  Feed feed;
  feed.say({gga(kTwo), rmc(kTwo, "060180"), gga(kTwo + 1000), rmc(kTwo + 1000, "030626")});
  feed.finish();
  REQUIRE(feed.epochs.size() == 2);
  CHECK(utc_of(feed.epochs[0]) == "none");
  CHECK(utc_of(feed.epochs[1]) == "2026-06-03T14:00:01Z");
  CHECK(feed.epochs[1].step == TimeStep::forward);
}

TEST_CASE("midnight adds a day until a date says the same") {
  Feed feed;
  feed.say({rmc(kDay - 1000), gga(kDay - 1000), gga(0), gga(1000), rmc(1000, "040626"), gga(2000)});
  feed.finish();
  REQUIRE(feed.epochs.size() == 4);
  CHECK(utc_of(feed.epochs[0]) == "2026-06-03T23:59:59Z");
  CHECK(utc_of(feed.epochs[1]) == "2026-06-04T00:00:00Z");
  CHECK(utc_of(feed.epochs[2]) == "2026-06-04T00:00:01Z");
  CHECK(utc_of(feed.epochs[3]) == "2026-06-04T00:00:02Z");
  CHECK(feed.epochs[1].stream_ms == kDay);
  for (const std::size_t i : {1U, 2U, 3U}) CHECK(feed.epochs[i].step == TimeStep::forward);
  CHECK(feed.assembler.counters().backward_times == 0);
}

TEST_CASE("a step back over midnight takes the day back") {
  Feed feed;
  feed.say({rmc(kDay - 1000), gga(kDay - 1000), gga(0), gga(1000), gga(kDay - 1000), gga(0)});
  feed.finish();
  REQUIRE(feed.epochs.size() == 5);
  CHECK(utc_of(feed.epochs[3]) == "2026-06-03T23:59:59Z");
  CHECK(feed.epochs[3].step == TimeStep::backward);
  CHECK(utc_of(feed.epochs[4]) == "2026-06-04T00:00:00Z");
  CHECK(feed.epochs[4].step == TimeStep::forward);
}

TEST_CASE("a leap second is a second of its own and the next midnight in UTC") {
  Feed feed;
  feed.say({rmc(kDay - 1000, "311226"), gga(kDay - 1000)});
  feed.say({rmc(kDay, "311226"), gga(kDay)});
  feed.say({rmc(0, "010127"), gga(0)});
  feed.say({rmc(1000, "010127"), gga(1000)});
  feed.finish();
  REQUIRE(feed.epochs.size() == 4);
  CHECK(utc_of(feed.epochs[0]) == "2026-12-31T23:59:59Z");
  CHECK(utc_of(feed.epochs[1]) == "2027-01-01T00:00:00Z");
  CHECK(utc_of(feed.epochs[2]) == "2027-01-01T00:00:00Z");
  CHECK(utc_of(feed.epochs[3]) == "2027-01-01T00:00:01Z");
  for (const std::size_t i : {1U, 2U, 3U}) {
    CHECK(feed.epochs[i].step == TimeStep::forward);
    CHECK(*feed.epochs[i].stream_ms - *feed.epochs[i - 1].stream_ms == 1000);
  }
}

TEST_CASE("ZDA with a time of its own dates and closes nothing") {
  Feed feed;
  for (int s = 0; s < 3; ++s) {
    feed.say({gga(kTwo + s * 1000), zda(kTwo + s * 1000 + 50), rmc(kTwo + s * 1000, ""), test::gst(kTwo + s * 1000)});
  }
  feed.finish();
  REQUIRE(feed.epochs.size() == 3);
  CHECK(feed.assembler.counters().fragments == 0);
  CHECK(feed.assembler.counters().late_sentences == 0);
  for (const auto& e : feed.epochs) {
    CHECK(e.utc);
    CHECK(e.error);
    CHECK(e.rmc_valid);
  }
}

TEST_CASE("ZDA just past midnight dates the second before it rightly") {
  Feed feed;
  feed.say({gga(kDay - 1000), zda(50, "04,06,2026"), gga(0)});
  feed.finish();
  REQUIRE(feed.epochs.size() == 2);
  CHECK(utc_of(feed.epochs[0]) == "2026-06-03T23:59:59Z");
  CHECK(utc_of(feed.epochs[1]) == "2026-06-04T00:00:00Z");
}

TEST_CASE("ZDA goes before RMC, which prints no century") {
  Feed feed;
  feed.say({gga(kTwo), zda(kTwo, "03,06,2026"), rmc(kTwo, "030699")});
  feed.say({gga(kTwo + 1000), zda(kTwo + 1000, "03,06,2026"), rmc(kTwo + 1000, "040626")});
  feed.finish();
  REQUIRE(feed.epochs.size() == 2);
  CHECK(utc_of(feed.epochs[1]) == "2026-06-03T14:00:01Z");
}

TEST_CASE("days without data are seen by the date") {
  Feed feed;
  feed.say({rmc(kTwo, "030626"), gga(kTwo), rmc(at(9, 0, 0), "050626"), gga(at(9, 0, 0))});
  feed.finish();
  REQUIRE(feed.epochs.size() == 2);
  CHECK(utc_of(feed.epochs[1]) == "2026-06-05T09:00:00Z");
  CHECK(feed.epochs[1].step == TimeStep::forward);
  CHECK(*feed.epochs[1].stream_ms - *feed.epochs[0].stream_ms == 2 * kDay - 5 * 3'600'000);
}

TEST_CASE("the caller's clock dates only what the receiver does not") {
  struct Row {
    const char* name;
    const char* clock;
    std::int64_t time_of_day_ms;
    const char* utc;
  };
  for (const Row& row :
       {Row{"the same second", "2026-06-03T14:00:00Z", kTwo, "2026-06-03T14:00:00Z"},
        Row{"the clock an hour off", "2026-06-03T15:00:00Z", kTwo, "2026-06-03T14:00:00Z"},
        Row{"the clock just past midnight", "2026-06-04T00:00:02Z", kDay - 1000, "2026-06-03T23:59:59Z"},
        Row{"the clock just before midnight", "2026-06-03T23:59:58Z", 1000, "2026-06-04T00:00:01Z"}}) {
    CAPTURE(std::string(row.name));
    Feed feed;
    feed.assembler.set_clock(SteadyTime{0}, *parse_utc(row.clock));
    feed.say({gga(row.time_of_day_ms), gga(row.time_of_day_ms + 1000), rmc(row.time_of_day_ms + 1000, "010226")});
    feed.finish();
    REQUIRE(feed.epochs.size() == 2);
    CHECK(utc_of(feed.epochs[0]) == row.utc);
    CHECK(feed.epochs[0].clock_dated);
    CHECK(!feed.epochs[1].clock_dated);
  }
}

TEST_CASE("the clock runs on with the arrivals") {
  Feed feed;
  feed.assembler.set_clock(SteadyTime{500}, *parse_utc("2026-06-03T14:00:00Z"));
  feed.say(gga(at(13, 59, 59)), 500 + kDay);
  feed.finish();
  REQUIRE(feed.epochs.size() == 1);
  CHECK(utc_of(feed.epochs[0]) == "2026-06-04T13:59:59Z");
}

}  // namespace
}  // namespace stillpoint
