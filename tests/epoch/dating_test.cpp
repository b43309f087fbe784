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

TEST_CASE("a date counts as it is printed, and no guess lifts it") {
  struct Row {
    const char* name;
    std::string sentence;
    const char* utc;
  };
  const std::vector<Row> rows{
      {"RMC", rmc(kTwo), "2026-06-03T14:00:00Z"},
      {"RMC without a valid fix", "GNRMC,140000.00,V,,,,,,,030626,,", "2026-06-03T14:00:00Z"},
      {"ZDA", zda(kTwo), "2026-06-03T14:00:00Z"},
      {"the last day of 2019", rmc(kTwo, "311219"), "2019-12-31T14:00:00Z"},
      {"2017", rmc(kTwo, "030617"), "2017-06-03T14:00:00Z"},
      {"2006 by ZDA", zda(kTwo, "18,10,2006"), "2006-10-18T14:00:00Z"},
      {"the first days that are no cold start", zda(kTwo, "03,01,2000"), "2000-01-03T14:00:00Z"},
      {"years to come", zda(kTwo, "01,01,2079"), "2079-01-01T14:00:00Z"},
      {"a cold start by RMC", rmc(kTwo, "060180"), "none"},
      {"a cold start by ZDA", zda(kTwo, "06,01,1980"), "none"},
      {"the first day of all by ZDA", zda(kTwo, "01,01,1970"), "none"},
      {"the last year of the old century", rmc(kTwo, "311299"), "none"},
      {"a day that the month has not", rmc(kTwo, "310626"), "none"},
      {"zeros", rmc(kTwo, "000000"), "none"},
      {"blank", rmc(kTwo, ""), "none"},
      {"a date without a time", "GNRMC,,V,,,,,,,030626,,", "none"},
  };
  for (const Row& row : rows) {
    CAPTURE(std::string(row.name));
    Feed feed;
    feed.say({gga(kTwo), row.sentence});
    feed.finish();
    REQUIRE(feed.epochs.size() == 1);
    CHECK(utc_of(feed.epochs[0]) == row.utc);
    CHECK(feed.epochs[0].lifted_days == 0);
    CHECK(!feed.epochs[0].clock_days);
    CHECK(!feed.epochs[0].clock_dated);
  }
}

// Sums by Python 3.11 datetime. 7168 days lie between the two rollovers of the GPS week, 1999-08-22 and 2019-04-07
// (dates from memory of the published notices).
TEST_CASE("the computer's clock lifts a date to within 1024 weeks of it, and never a day after it") {
  struct Row {
    const char* name;
    const char* clock;
    const char* printed;
    const char* utc;
    int lifted_days, clock_days;
  };
  for (const Row& row :
       {Row{"the day itself", "2026-06-03T14:00:05Z", "03,06,2026", "2026-06-03T14:00:00Z", 0, 0},
        Row{"1024 weeks early", "2026-06-03T14:00:05Z", "18,10,2006", "2026-06-03T14:00:00Z", 7168, 0},
        Row{"the clock 23 h behind", "2026-06-02T15:00:00Z", "18,10,2006", "2026-06-03T14:00:00Z", 7168, 0},
        Row{"the clock 25 h behind", "2026-06-02T13:00:00Z", "18,10,2006", "2006-10-18T14:00:00Z", 0, -7167},
        Row{"the clock 24 h behind", "2026-06-02T14:00:00Z", "18,10,2006", "2006-10-18T14:00:00Z", 0, -7167},
        Row{"half a year before the clock", "2026-11-29T14:00:00Z", "03,06,2026", "2026-06-03T14:00:00Z", 0, -179},
        Row{"nine years before it", "2026-06-03T14:00:00Z", "03,06,2017", "2017-06-03T14:00:00Z", 0, -3287},
        Row{"1378 weeks before it", "2026-06-03T14:00:00Z", "03,01,2000", "2019-08-19T14:00:00Z", 7168, -2480},
        Row{"2048 weeks early", "2039-04-04T14:00:00Z", "03,01,2000", "2039-04-04T14:00:00Z", 14336, 0},
        Row{"23 h after it", "2026-06-02T15:00:00Z", "03,06,2026", "2026-06-03T14:00:00Z", 0, 0},
        Row{"a day after it", "2026-06-02T14:00:00Z", "03,06,2026", "2026-06-03T14:00:00Z", 0, 1},
        Row{"years after it", "2026-06-03T14:00:00Z", "01,01,2035", "2035-01-01T14:00:00Z", 0, 3134}}) {
    CAPTURE(std::string(row.name));
    Feed feed;
    feed.assembler.calendar().judge_by(SteadyTime{0}, *parse_utc(row.clock));
    feed.say({gga(kTwo), zda(kTwo, row.printed)});
    feed.finish();
    REQUIRE(feed.epochs.size() == 1);
    CHECK(utc_of(feed.epochs[0]) == row.utc);
    CHECK(feed.epochs[0].lifted_days == row.lifted_days);
    CHECK(feed.epochs[0].clock_days == row.clock_days);
  }
}

TEST_CASE("the clock that judges dates runs on with the arrivals, and dates nothing itself") {
  Feed feed;
  feed.assembler.calendar().judge_by(SteadyTime{500}, *parse_utc("2026-06-01T14:00:00Z"));
  feed.say(gga(kTwo), 500);
  feed.say(gga(kTwo + 1000), 500 + 2 * kDay);
  feed.say(zda(kTwo + 1000, "18,10,2006"), 500 + 2 * kDay);
  feed.finish();
  REQUIRE(feed.epochs.size() == 2);
  CHECK(utc_of(feed.epochs[0]) == "none");
  CHECK(utc_of(feed.epochs[1]) == "2026-06-03T14:00:01Z");
  CHECK(feed.epochs[1].lifted_days == 7168);
}

TEST_CASE("an archive that rolled over is lifted once, where it lies before the last rollover") {
  struct Row {
    const char* printed;
    const char* utc;
    int lifted_days;
  };
  for (const Row& row :
       {Row{"18,10,2006", "2026-06-03T14:00:00Z", 7168}, Row{"03,06,2017", "2037-01-17T14:00:00Z", 7168},
        Row{"06,04,2019", "2038-11-20T14:00:00Z", 7168}, Row{"07,04,2019", "2019-04-07T14:00:00Z", 0},
        Row{"03,06,2026", "2026-06-03T14:00:00Z", 0}, Row{"03,01,2000", "2019-08-19T14:00:00Z", 7168}}) {
    CAPTURE(row.printed);
    Feed feed;
    feed.assembler.calendar().rolled_over();
    feed.say({gga(kTwo), zda(kTwo, row.printed)});
    feed.finish();
    REQUIRE(feed.epochs.size() == 1);
    CHECK(utc_of(feed.epochs[0]) == row.utc);
    CHECK(feed.epochs[0].lifted_days == row.lifted_days);
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
