#include "epoch/time_watch.hpp"

#include <algorithm>
#include <cstdlib>
#include <utility>

namespace stillpoint::epoch {
namespace {

constexpr std::int64_t kMsPerDay = 86'400'000;
constexpr std::int64_t kNeighbourMs = 60'000;  // farther apart, the same time of day is chance
constexpr std::int64_t kDriftMsPerUs = 10;     // 100 ppm: a plain crystal, and a margin for heat and cold

/// The nearest whole number of days.
std::int32_t days_in(std::int64_t ms) noexcept {
  const std::int64_t half = ms < 0 ? -kMsPerDay / 2 : kMsPerDay / 2;
  return static_cast<std::int32_t>((ms + half) / kMsPerDay);
}

}  // namespace

void TimeWatch::look(Epoch& epoch) noexcept {
  if (invented_) epoch.clock_days.reset();
  if (epoch.utc && epoch.position && !epoch.clock_dated) look_at_date(epoch);
  look_at_lag(epoch);
}

/// How many days this epoch stands away from the stream that was believed, with those between it and the one before
/// that nothing explains.
std::int32_t TimeWatch::jumped_to(const Dated& now) const noexcept {
  if (!dated_) return 0;
  const std::int64_t step_ms = now.utc.ms - dated_->utc.ms;
  if (stamped_) return jumped_days_ + days_in(step_ms - (now.arrived.ms - dated_->arrived.ms));
  const std::int32_t days = days_in(step_ms);
  if (days == 0) return jumped_days_;
  const bool neighbours = std::abs(step_ms - days * kMsPerDay) <= kNeighbourMs;
  return neighbours ? jumped_days_ + days : 0;  // else it is another day's log
}

void TimeWatch::look_at_date(Epoch& epoch) noexcept {
  const Dated now{*epoch.utc, epoch.last_arrival};
  jumped_days_ = jumped_to(now);
  dated_ = now;
  const bool after_clock = epoch.clock_days && *epoch.clock_days > 0;
  if (epoch.clock_days && *epoch.clock_days == 0) jumped_days_ = 0;
  epoch.jumped_days = jumped_days_;
  epoch.date_contradicted = after_clock || jumped_days_ != 0;
  if (!epoch.date_contradicted) dating_ = {epoch.lifted_days, -std::min(epoch.clock_days.value_or(0), 0)};
}

void TimeWatch::look_at_lag(Epoch& epoch) noexcept {
  if (!stamped_) return;
  if (!epoch.stream_ms) {
    had_no_time_ = true;
    return;
  }
  const Timed now{*epoch.stream_ms, epoch.first_arrival.ms - *epoch.stream_ms, epoch.first_arrival};
  const auto before = std::exchange(timed_, now);
  const bool had_no_time = std::exchange(had_no_time_, false);
  if (!before) {
    least_us_ = now.lag_ms * 1000;
    return;
  }
  const bool was_late = before->lag_ms * 1000 - least_us_ > most_late_ms_ * 1000;
  // The receiver's own time was put right: how late the link was before, it still is.
  if (had_no_time || now.stream_ms <= before->stream_ms) least_us_ += (now.lag_ms - before->lag_ms) * 1000;
  if (!was_late) least_us_ += std::max<std::int64_t>(0, now.arrived.ms - before->arrived.ms) / kDriftMsPerUs;
  least_us_ = std::min(least_us_, now.lag_ms * 1000);
  const std::int64_t late_us = now.lag_ms * 1000 - least_us_;
  epoch.late_s = late_us > most_late_ms_ * 1000 ? static_cast<double>(late_us) / 1e6 : 0.0;
}

void TimeWatch::cut() noexcept {
  dated_.reset();
  jumped_days_ = 0;
  timed_.reset();
  had_no_time_ = false;
}

std::optional<TimeWatch::Dating> TimeWatch::take_news() noexcept {
  Dating now = dating_;
  // The clock runs on beside the dates: a day more or less between them is no news.
  if (std::abs(now.behind_days - told_.behind_days) <= 1 && now.behind_days > 0) now.behind_days = told_.behind_days;
  if (now == told_) return std::nullopt;
  return told_ = now;
}

}  // namespace stillpoint::epoch
