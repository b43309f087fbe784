#include "epoch/calendar.hpp"

namespace stillpoint::epoch {
namespace {

constexpr std::int64_t kMsPerDay = 86'400'000;
constexpr std::int32_t kHalfDayMs = 43'200'000;
constexpr std::int64_t kRolloverDays = 7168;
/// The nearest number of days, and none for less than one.
std::int32_t days_after(std::int64_t ms) noexcept {
  if (ms > -kMsPerDay && ms < kMsPerDay) return 0;
  return static_cast<std::int32_t>((ms + (ms < 0 ? -kHalfDayMs : kHalfDayMs)) / kMsPerDay);
}

constexpr Date kLastRollover{2019, 4, 7};  // from memory of the notices published then

}  // namespace

int midnights_between(std::int32_t from_ms, std::int32_t to_ms) noexcept {
  const std::int32_t step = to_ms - from_ms;
  if (step < -kHalfDayMs) return 1;
  return step > kHalfDayMs ? -1 : 0;
}

void Calendar::hear(const Date& date, std::int32_t time_of_day_ms, bool by_zda) noexcept {
  if (newest_date_ != date) {
    if (date.year < 2000 || !is_valid(date)) return;
    newest_date_ = date;
    newest_day_ = days_from_civil(date);
  }
  if (heard_ && heard_->by_zda && !by_zda) return;
  heard_ = Heard{newest_day_, time_of_day_ms, by_zda};
}

void Calendar::hear(const nmea::Rmc& rmc) noexcept {
  if (!rmc.time_of_day_ms || !rmc.day || !rmc.month || !rmc.year_two_digits) return;
  const int year = *rmc.year_two_digits + (*rmc.year_two_digits >= 80 ? 1900 : 2000);
  hear({year, *rmc.month, *rmc.day}, *rmc.time_of_day_ms, false);
}

void Calendar::hear(const nmea::Zda& zda) noexcept {
  if (zda.time_of_day_ms && zda.date) hear(*zda.date, *zda.time_of_day_ms, true);
}

void Calendar::set_clock(SteadyTime at, UtcTime utc) noexcept {
  clock_ = Clock{at, utc};
}

void Calendar::run_on_to(std::int32_t time_of_day_ms) noexcept {
  if (last_time_of_day_ms_) {
    const int midnights = midnights_between(*last_time_of_day_ms_, time_of_day_ms);
    days_ += midnights;
    if (midnights > 0 && *last_time_of_day_ms_ >= kMsPerDay) leap_seconds_ms_ += 1000;
  }
  last_time_of_day_ms_ = time_of_day_ms;
}

std::int64_t Calendar::lift_of(std::int64_t day, std::int32_t time_of_day_ms, SteadyTime arrived) const noexcept {
  if (judge_) {
    const std::int64_t behind_ms = judge_->ms_at(arrived) + kMsPerDay - (day * kMsPerDay + time_of_day_ms);
    return behind_ms > 0 ? (behind_ms - 1) / (kRolloverDays * kMsPerDay) * kRolloverDays : 0;
  }
  return rolled_over_ && day < days_from_civil(kLastRollover) ? kRolloverDays : 0;
}

/// The first date fixes the stream's day 0. A later one that disagrees means days without data, or a wrong date put
/// right: the stream moves with it.
void Calendar::take_date(std::int32_t time_of_day_ms, SteadyTime arrived) noexcept {
  if (!heard_) return;
  lifted_days_ = lift_of(heard_->day, heard_->time_of_day_ms, arrived);
  const std::int64_t today = heard_->day + lifted_days_ + midnights_between(heard_->time_of_day_ms, time_of_day_ms);
  if (first_day_) {
    days_ = today - *first_day_;
  } else {
    first_day_ = today - days_;
  }
  heard_.reset();
}

Calendar::Placed Calendar::place(std::int32_t time_of_day_ms, SteadyTime arrived) noexcept {
  run_on_to(time_of_day_ms);
  take_date(time_of_day_ms, arrived);
  Placed placed;
  placed.stream_ms = days_ * kMsPerDay + leap_seconds_ms_ + time_of_day_ms;
  if (first_day_) {
    placed.utc = UtcTime{(*first_day_ + days_) * kMsPerDay + time_of_day_ms};
    placed.lifted_days = static_cast<std::int32_t>(lifted_days_);
    if (judge_) placed.clock_days = days_after(placed.utc->ms - judge_->ms_at(arrived));
  } else if (clock_) {
    // The day on which this time of day lies nearest to what the clock says.
    const std::int64_t guess_ms = clock_->ms_at(arrived) - time_of_day_ms + kHalfDayMs;
    const std::int64_t day = guess_ms / kMsPerDay - (guess_ms % kMsPerDay < 0 ? 1 : 0);
    placed.utc = UtcTime{day * kMsPerDay + time_of_day_ms};
    placed.clock_dated = true;
  }
  return placed;
}

}  // namespace stillpoint::epoch
