#include "base/time.hpp"

#include <array>
#include <cstdlib>

namespace stillpoint {
namespace {

constexpr std::int64_t kMsPerDay = 86'400'000;

std::int64_t floor_div(std::int64_t a, std::int64_t b) noexcept {
  return a / b - ((a % b != 0 && (a < 0) != (b < 0)) ? 1 : 0);
}

bool is_leap(int year) noexcept {
  return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
}

/// A day of the civil calendar by years that begin in March, so that the leap day comes last.
struct MarchDay {
  int year = 0;  ///< in which its March lies
  std::int64_t day_of_year = 0;
};

constexpr std::int64_t kDaysFromMarch = 306;  // to the end of December

MarchDay march_day(std::int64_t days) noexcept {
  const std::int64_t z = days + 719'468;
  const std::int64_t era = floor_div(z, 146'097);
  const std::int64_t day_of_era = z - era * 146'097;
  const std::int64_t year_of_era = (day_of_era - day_of_era / 1460 + day_of_era / 36'524 - day_of_era / 146'096) / 365;
  return {static_cast<int>(year_of_era + era * 400),
          day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100)};
}

/// Exactly `count` digits at `at`, as a number.
std::optional<int> digits(std::string_view text, std::size_t at, std::size_t count) noexcept {
  if (at + count > text.size()) return std::nullopt;
  int value = 0;
  for (const char c : text.substr(at, count)) {
    if (c < '0' || c > '9') return std::nullopt;
    value = value * 10 + (c - '0');
  }
  return value;
}

std::int64_t ms_of_day(UtcTime time) noexcept {
  const std::int64_t rest = time.ms % kMsPerDay;
  return rest < 0 ? rest + kMsPerDay : rest;
}

/// Writes `width` digits with zeros in front. Every function here returns the place behind what it wrote.
char* write_digits(char* at, int value, int width) noexcept {
  for (int i = width; i-- > 0; value /= 10) at[i] = static_cast<char>('0' + value % 10);
  return at + width;
}

/// Writes the year in four characters, a sign included, or in as many as it needs.
char* write_year(char* at, int year) noexcept {
  if (year < 0) *at++ = '-';
  int width = year < 0 ? 3 : 4;
  for (int more = std::abs(year) / (year < 0 ? 1000 : 10'000); more > 0; more /= 10) ++width;
  return write_digits(at, std::abs(year), width);
}

char* write_clock(char* at, int second_of_day) noexcept {
  at = write_digits(at, second_of_day / 3600, 2);
  *at++ = ':';
  at = write_digits(at, second_of_day / 60 % 60, 2);
  *at++ = ':';
  return write_digits(at, second_of_day % 60, 2);
}

}  // namespace

bool is_valid(const Date& date) noexcept {
  static constexpr std::array<int, 12> kDays{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
  if (date.month < 1 || date.month > 12 || date.day < 1) return false;
  const int last = kDays[static_cast<std::size_t>(date.month - 1)] + (date.month == 2 && is_leap(date.year) ? 1 : 0);
  return date.day <= last;
}

// Days of the civil calendar by counting years from March, so that the leap day comes last.
std::int64_t days_from_civil(const Date& date) noexcept {
  const std::int64_t y = date.year - (date.month <= 2 ? 1 : 0);
  const std::int64_t era = floor_div(y, 400);
  const std::int64_t year_of_era = y - era * 400;
  const std::int64_t month_from_march = (date.month + 9) % 12;
  const std::int64_t day_of_year = (153 * month_from_march + 2) / 5 + date.day - 1;
  const std::int64_t day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
  return era * 146'097 + day_of_era - 719'468;
}

Date civil_from_days(std::int64_t days) noexcept {
  const MarchDay at = march_day(days);
  const std::int64_t month_from_march = (5 * at.day_of_year + 2) / 153;
  const int month = static_cast<int>(month_from_march < 10 ? month_from_march + 3 : month_from_march - 9);
  return {.year = at.year + (month <= 2 ? 1 : 0),
          .month = month,
          .day = static_cast<int>(at.day_of_year - (153 * month_from_march + 2) / 5 + 1)};
}

Date date_of(UtcTime time) noexcept {
  return civil_from_days(floor_div(time.ms, kMsPerDay));
}

double decimal_year(UtcTime time) noexcept {
  const std::int64_t days = floor_div(time.ms, kMsPerDay);
  const MarchDay at = march_day(days);
  const bool next_year = at.day_of_year >= kDaysFromMarch;
  const int year = at.year + (next_year ? 1 : 0);
  const std::int64_t length = is_leap(year) ? 366 : 365;
  const std::int64_t day = next_year ? at.day_of_year - kDaysFromMarch : at.day_of_year + length - kDaysFromMarch;
  const std::int64_t passed_ms = day * kMsPerDay + (time.ms - days * kMsPerDay);
  return year + static_cast<double>(passed_ms) / static_cast<double>(length * kMsPerDay);
}

void append_text(std::string& out, UtcTime time) {
  const Date date = date_of(time);
  const auto ms = static_cast<int>(ms_of_day(time));
  std::array<char, 40> text{};
  char* at = write_year(text.data(), date.year);
  *at++ = '-';
  at = write_digits(at, date.month, 2);
  *at++ = '-';
  at = write_digits(at, date.day, 2);
  *at++ = 'T';
  at = write_clock(at, ms / 1000);
  if (ms % 1000 != 0) {
    *at++ = '.';
    at = write_digits(at, ms % 1000, 3);
  }
  *at++ = 'Z';
  out.append(text.data(), at);
}

std::string to_text(UtcTime time) {
  std::string out;
  append_text(out, time);
  return out;
}

std::string clock_text(UtcTime time) {
  std::array<char, 8> text{};
  return {text.data(), write_clock(text.data(), static_cast<int>(ms_of_day(time) / 1000))};
}

std::optional<Date> parse_date(std::string_view text) noexcept {
  if (text.size() != 10 || text[4] != '-' || text[7] != '-') return std::nullopt;
  const auto year = digits(text, 0, 4);
  const auto month = digits(text, 5, 2);
  const auto day = digits(text, 8, 2);
  if (!year || !month || !day) return std::nullopt;
  const Date date{*year, *month, *day};
  if (!is_valid(date)) return std::nullopt;
  return date;
}

std::optional<UtcTime> parse_utc(std::string_view text) noexcept {
  if (text.size() < 20 || text.back() != 'Z' || text[10] != 'T' || text[13] != ':' || text[16] != ':') {
    return std::nullopt;
  }
  const auto date = parse_date(text.substr(0, 10));
  const auto hour = digits(text, 11, 2);
  const auto minute = digits(text, 14, 2);
  const auto second = digits(text, 17, 2);
  if (!date || !hour || !minute || !second || *hour > 23 || *minute > 59 || *second > 60) return std::nullopt;
  std::string_view fraction = text.substr(19, text.size() - 20);
  int ms = 0;
  if (!fraction.empty()) {
    if (fraction.front() != '.' || fraction.size() < 2) return std::nullopt;
    fraction.remove_prefix(1);
    int scale = 100;
    for (const char c : fraction) {
      if (c < '0' || c > '9') return std::nullopt;
      ms += (c - '0') * scale;
      scale /= 10;
    }
  }
  const std::int64_t seconds = *hour * 3600LL + *minute * 60LL + *second;
  return UtcTime{days_from_civil(*date) * kMsPerDay + seconds * 1000 + ms};
}

}  // namespace stillpoint
