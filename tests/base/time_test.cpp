#include "base/time.hpp"

#include <doctest/doctest.h>

#include <ctime>
#include <limits>

namespace {

using namespace stillpoint;

TEST_CASE("every day from 1950 to 2150 agrees with the C library's calendar") {
  Date previous = civil_from_days(-7306);
  for (std::int64_t days = -7305; days <= 65'744; ++days) {
    const std::time_t seconds = days * 86'400;
    std::tm expected{};
    gmtime_r(&seconds, &expected);
    const Date date = civil_from_days(days);
    REQUIRE(date.year == expected.tm_year + 1900);
    REQUIRE(date.month == expected.tm_mon + 1);
    REQUIRE(date.day == expected.tm_mday);
    REQUIRE(days_from_civil(date) == days);
    REQUIRE(previous < date);
    previous = date;
  }
}

TEST_CASE("a date is one that its month has") {
  struct Row {
    Date date;
    bool valid;
  };
  const Row rows[] = {
      {{2026, 1, 1}, true},    {{2026, 12, 31}, true}, {{2026, 0, 1}, false},  {{2026, 13, 1}, false},
      {{2026, 1, 0}, false},   {{2026, -1, 5}, false}, {{2026, 1, -1}, false}, {{2026, 1, 32}, false},
      {{2026, 4, 30}, true},   {{2026, 4, 31}, false}, {{2026, 6, 31}, false}, {{2026, 9, 31}, false},
      {{2026, 11, 31}, false}, {{2026, 2, 28}, true},  {{2026, 2, 29}, false}, {{2024, 2, 29}, true},
      {{2024, 2, 30}, false},  {{1900, 2, 29}, false}, {{2000, 2, 29}, true},  {{2024, 3, 31}, true},
  };
  for (const Row& row : rows) {
    CAPTURE(row.date.year);
    CAPTURE(row.date.month);
    CAPTURE(row.date.day);
    CHECK(is_valid(row.date) == row.valid);
  }
}

TEST_CASE("UTC is read and written") {
  struct Row {
    const char* name;
    const char* text;
    std::int64_t ms;  ///< -1: refused
    const char* back;
  };
  const Row rows[] = {
      {"a whole second (POSIX time from date(1): 1780495510)", "2026-06-03T14:05:10Z", 1'780'495'510'000,
       "2026-06-03T14:05:10Z"},
      {"a fraction", "2026-06-03T14:05:10.25Z", 1'780'495'510'250, "2026-06-03T14:05:10.250Z"},
      {"one digit of a fraction", "2026-06-03T14:05:10.5Z", 1'780'495'510'500, "2026-06-03T14:05:10.500Z"},
      {"digits past milliseconds are cut", "2026-06-03T14:05:10.2509Z", 1'780'495'510'250, "2026-06-03T14:05:10.250Z"},
      {"the epoch itself", "1970-01-01T00:00:00Z", 0, "1970-01-01T00:00:00Z"},
      {"a leap second has the number of the next", "2016-12-31T23:59:60Z", 1'483'228'800'000, "2017-01-01T00:00:00Z"},
      {"no zone", "2026-06-03T14:05:10", -1, ""},
      {"an offset instead of Z", "2026-06-03T14:05:10+00:00", -1, ""},
      {"a day the month has not", "2026-06-31T14:05:10Z", -1, ""},
      {"an hour the day has not", "2026-06-03T24:05:10Z", -1, ""},
      {"a dot without digits", "2026-06-03T14:05:10.Z", -1, ""},
      {"a space instead of T", "2026-06-03 14:05:10Z", -1, ""},
      {"empty", "", -1, ""},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const auto time = parse_utc(row.text);
    CHECK(time.has_value() == (row.ms >= 0));
    if (!time) continue;
    CHECK(time->ms == row.ms);
    CHECK(to_text(*time) == row.back);
  }
}

TEST_CASE("a time is printed with as many digits as it needs, and no fewer than ISO 8601 has") {
  struct Row {
    std::int64_t ms;
    const char* text;
  };
  for (const Row& row :
       {Row{0, "1970-01-01T00:00:00Z"}, Row{-1, "1969-12-31T23:59:59.999Z"},
        Row{1'780'495'510'007, "2026-06-03T14:05:10.007Z"}, Row{-62'135'596'800'000, "0001-01-01T00:00:00Z"},
        Row{-62'167'219'200'000, "0000-01-01T00:00:00Z"}, Row{-62'324'985'600'000, "-005-01-01T00:00:00Z"},
        Row{253'402'300'799'999, "9999-12-31T23:59:59.999Z"}, Row{253'402'300'800'000, "10000-01-01T00:00:00Z"},
        // The ends of 64-bit milliseconds, as Java's documentation of dates has them (from memory).
        Row{std::numeric_limits<std::int64_t>::max(), "292278994-08-17T07:12:55.807Z"},
        Row{std::numeric_limits<std::int64_t>::min(), "-292275055-05-16T16:47:04.192Z"}}) {
    CAPTURE(row.text);
    CHECK(to_text(UtcTime{row.ms}) == row.text);
  }
  CHECK(clock_text(UtcTime{-1}) == "23:59:59");
}

TEST_CASE("the decimal year counts the year's own days") {
  CHECK(decimal_year(*parse_utc("2026-01-01T00:00:00Z")) == 2026.0);
  CHECK(decimal_year(*parse_utc("2026-07-02T12:00:00Z")) == doctest::Approx(2026.5).epsilon(1e-12));
  CHECK(decimal_year(*parse_utc("2024-07-02T00:00:00Z")) == doctest::Approx(2024.5).epsilon(1e-12));  // a leap year
  CHECK(decimal_year(*parse_utc("2026-12-31T23:59:59Z")) < 2027.0);
  // By the definition: days passed of the year's 365 or 366 (a year divisible by 100 is none of 366, by 400 it is one).
  struct Row {
    const char* utc;
    double year;
  };
  for (const Row& row :
       {Row{"2024-02-29T00:00:00Z", 2024 + 59.0 / 366}, Row{"2024-03-01T00:00:00Z", 2024 + 60.0 / 366},
        Row{"2024-12-31T00:00:00Z", 2024 + 365.0 / 366}, Row{"2025-03-01T00:00:00Z", 2025 + 59.0 / 365},
        Row{"2025-12-31T12:00:00Z", 2025 + 364.5 / 365}, Row{"2025-01-01T06:00:00Z", 2025 + 0.25 / 365},
        Row{"1900-03-01T00:00:00Z", 1900 + 59.0 / 365}, Row{"2000-03-01T00:00:00Z", 2000 + 60.0 / 366},
        Row{"1969-12-31T00:00:00Z", 1969 + 364.0 / 365}, Row{"1970-01-01T00:00:00Z", 1970.0}}) {
    CAPTURE(row.utc);
    CHECK(decimal_year(*parse_utc(row.utc)) == row.year);
  }
}

}  // namespace
