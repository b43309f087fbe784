#include "keeping/record_clock.hpp"

#include <cstdlib>
#include <utility>

namespace stillpoint::daemon {
namespace {

constexpr std::int64_t kHourMs = 3'600'000;
constexpr std::int64_t kClockStepMs = 60'000;  // dates are judged by days: less is of no account

std::int64_t hour_of(UtcTime utc) noexcept {
  return utc.ms >= 0 ? utc.ms / kHourMs : (utc.ms - kHourMs + 1) / kHourMs;
}

}  // namespace

const record::JournalHead& RecordClock::head(FeedTime first) {
  head_ = anchor_();
  head_ = {utc_of(first), first, head_.by_clock};
  return head_;
}

void RecordClock::begin() {
  if (!std::exchange(begun_, true)) run_head_ = told_ = head_;
  hour_ = hour_of(head_.utc);
}

bool RecordClock::is_in_hour(FeedTime at) const noexcept {
  return hour_of(utc_of(at)) == hour_;
}

UtcTime RecordClock::utc_at(FeedTime at) const {
  const record::JournalHead now = anchor_();
  return UtcTime{now.utc.ms + (at.ms - now.steady.ms)};
}

std::optional<UtcTime> RecordClock::was_set(FeedTime at) {
  if (!begun_ || !told_.by_clock) return std::nullopt;
  const record::JournalHead now = anchor_();
  const std::int64_t expected_ms = told_.utc.ms + now.steady.ms - told_.steady.ms;
  if (std::abs(now.utc.ms - expected_ms) < kClockStepMs) return std::nullopt;
  told_ = {UtcTime{now.utc.ms + at.ms - now.steady.ms}, at, true};
  return told_.utc;
}

}  // namespace stillpoint::daemon
