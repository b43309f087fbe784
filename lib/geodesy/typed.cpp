#include "geodesy/typed.hpp"

#include <cmath>

#include "base/number.hpp"
#include "geodesy/sentences.hpp"

namespace stillpoint::geodesy {
namespace {

constexpr std::int64_t kDayMs = 86'400'000;

}  // namespace

Result<Geographic> place_of(const std::string& latitude, const std::string& longitude) {
  const auto latitude_deg = parse_decimal(latitude);
  const auto longitude_deg = parse_decimal(longitude);
  if (!latitude_deg || !longitude_deg) {
    return fail(kSay.at_wants_degrees(latitude + ' ' + longitude));
  }
  if (std::abs(*latitude_deg) > 90.0) return fail(kSay.latitude_wrong(latitude));
  if (std::abs(*longitude_deg) > 180.0) return fail(kSay.longitude_wrong(longitude));
  return Geographic{*latitude_deg, *longitude_deg, 0.0};
}

Result<UtcTime> day_of(const std::string& text) {
  const auto date = parse_date(text);
  if (!date) return fail(kSay.date_wants_day(text));
  if (date->year <= 1980 || date->year >= 2100) return fail(kSay.day_wrong(text));
  return UtcTime{days_from_civil(*date) * kDayMs + kDayMs / 2};
}

std::string place_text(double latitude_deg, double longitude_deg) {
  return fixed(std::abs(latitude_deg), 6) + (latitude_deg < 0.0 ? " S " : " N ") + fixed(std::abs(longitude_deg), 6) +
         (longitude_deg < 0.0 ? " W" : " E");
}

}  // namespace stillpoint::geodesy
