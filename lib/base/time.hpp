#pragma once
/// Two kinds of time that the compiler keeps apart.
///
/// Units:   milliseconds in 64-bit integers.
/// Time:    `UtcTime` is data that the receiver sent; `SteadyTime` is arrival time handed in by the caller and
///          drives every timer. Nothing here reads a clock.
/// Threads: plain values.
/// Errors:  parsers return an empty optional; nothing throws.

#include <compare>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace stillpoint {

/// A calendar date in the proleptic Gregorian calendar.
struct Date {
  int year = 1970;
  int month = 1;  ///< 1 to 12
  int day = 1;    ///< 1 to 31
  auto operator<=>(const Date&) const = default;
};

/// True when the month has such a day.
bool is_valid(const Date& date) noexcept;

/// Days since 1970-01-01. The date must be valid.
std::int64_t days_from_civil(const Date& date) noexcept;
Date civil_from_days(std::int64_t days) noexcept;

/// An instant on the UTC scale as POSIX counts it (a leap second has the number of the second that follows it).
struct UtcTime {
  std::int64_t ms = 0;  ///< milliseconds since 1970-01-01T00:00:00Z
  auto operator<=>(const UtcTime&) const = default;
};

/// An instant of the caller's steady clock, or of a log's own time. The origin is arbitrary.
struct SteadyTime {
  std::int64_t ms = 0;
  auto operator<=>(const SteadyTime&) const = default;
};

constexpr double seconds_between(UtcTime from, UtcTime to) noexcept {
  return static_cast<double>(to.ms - from.ms) / 1000.0;
}
constexpr double seconds_between(SteadyTime from, SteadyTime to) noexcept {
  return static_cast<double>(to.ms - from.ms) / 1000.0;
}

Date date_of(UtcTime time) noexcept;

/// Decimal year: 2026.0 is 2026-01-01T00:00Z; the length of the year is its own 365 or 366 days.
double decimal_year(UtcTime time) noexcept;

/// `2026-06-03T14:05:10Z`; with three decimals of a second only when they are not all zero.
std::string to_text(UtcTime time);
/// Appends what `to_text` gives to `out`.
void append_text(std::string& out, UtcTime time);
/// `14:05:10`
std::string clock_text(UtcTime time);

/// Reads `2026-06-03T14:05:10Z`, fractions of a second allowed (digits past milliseconds are cut off), nothing else.
std::optional<UtcTime> parse_utc(std::string_view text) noexcept;
/// Reads `2026-06-03`.
std::optional<Date> parse_date(std::string_view text) noexcept;

}  // namespace stillpoint
