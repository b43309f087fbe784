#include "report/day_clock.hpp"

#include <array>
#include <cstdlib>

#include "report/sentences.hpp"

namespace stillpoint::report {
namespace {

constexpr std::array<std::string_view, 12> kMonths{"January",   "February", "March",    "April",
                                                   "May",       "June",     "July",     "August",
                                                   "September", "October",  "November", "December"};
constexpr std::array<std::string_view, 7> kWeekdays{"Thursday", "Friday",  "Saturday", "Sunday",
                                                    "Monday",   "Tuesday", "Wednesday"};  // day 0 is 1970-01-01

std::string month(const Date& date) {
  return std::string(kMonths[static_cast<std::size_t>(date.month - 1)]);
}

/// `UTC−4`, `UTC+5:45`, `UTC`
std::string offset_text(std::int64_t offset_s) {
  if (offset_s == 0) return "UTC";
  const std::int64_t minutes = std::abs(offset_s) / 60;
  std::string out = std::string("UTC") + (offset_s < 0 ? "\u2212" : "+") + std::to_string(minutes / 60);
  if (minutes % 60 != 0) out += (minutes % 60 < 10 ? ":0" : ":") + std::to_string(minutes % 60);
  return out;
}

}  // namespace

UtcTime DayClock::local(UtcTime time) const {
  return offset_s_ ? UtcTime{time.ms + offset_s_(time) * 1000} : time;
}

std::vector<UtcTime> DayClock::moments(UtcTime local) const {
  if (!offset_s_) return {local};
  constexpr std::int64_t kDay_ms = 86'400'000;
  std::vector<UtcTime> out;
  for (const std::int64_t away_ms : {-kDay_ms, kDay_ms}) {
    const UtcTime moment{local.ms - offset_s_(UtcTime{local.ms + away_ms}) * 1000};
    const bool shows = moment.ms + offset_s_(moment) * 1000 == local.ms;
    if (shows && (out.empty() || out.front() != moment)) out.push_back(moment);
  }
  return out;
}

void DayClock::set_span(UtcTime first, UtcTime last) {
  first_day_ = date_of(local(first));
  several_days_ = date_of(local(last)) != first_day_;
}

std::string DayClock::second(UtcTime time) const {
  return clock_text(local(time));
}

std::string DayClock::minute(UtcTime time) const {
  return second(time).substr(0, 5);
}

std::string DayClock::at(UtcTime time) const {
  const Date date = date_of(local(time));
  if (!several_days_ || date == first_day_) return minute(time);
  return std::to_string(date.day) + "\u00A0" + month(date).substr(0, 3) + "\u00A0" + minute(time);
}

std::string DayClock::at(const std::optional<UtcTime>& time) const {
  return time ? at(*time) : kSay.not_known();
}

std::string DayClock::short_day(UtcTime time) const {
  const Date date = date_of(local(time));
  return std::to_string(date.day) + " " + month(date) + " " + std::to_string(date.year);
}

std::string DayClock::day(UtcTime time) const {
  const std::int64_t days = days_from_civil(date_of(local(time)));
  return std::string(kWeekdays[static_cast<std::size_t>(((days % 7) + 7) % 7)]) + " " + short_day(time);
}

std::string DayClock::told_in(UtcTime first, UtcTime last) const {
  if (!offset_s_) return "UTC";
  const std::int64_t early = offset_s_(first), late = offset_s_(last);
  if (early == late) return kSay.local_times(offset_text(early));
  return kSay.local_times_change(offset_text(early), offset_text(late));
}

int DayClock::minute_of_day(UtcTime time) const {
  const std::int64_t minutes = local(time).ms / 60'000;
  return static_cast<int>(((minutes % 1440) + 1440) % 1440);
}

}  // namespace stillpoint::report
