#include "session/link.hpp"

#include <cmath>
#include <utility>

#include "base/number.hpp"
#include "epoch/epoch.hpp"
#include "session/sentences.hpp"

namespace stillpoint::session {
namespace {

constexpr int kGoodEpochs = 5;
constexpr std::int64_t kLateMs = 200;        // by which one burst may be later on its way than the one before
constexpr std::int64_t kSlowestMs = 10'000;  // the longest interval between positions that is a rate

}  // namespace

Link::Link(double silence_s) noexcept : silence_ms_(std::llround(silence_s * 1000)) {}

std::int64_t Link::longest_ms() const noexcept {
  return epoch::gap_limit_ms(silence_ms_, interval_ms_) + kLateMs;
}

std::int64_t Link::quiet_after_ms() const noexcept {
  const std::int64_t between_positions_ms =
      interval_ms_ > 0 ? longest_ms() : std::max(silence_ms_, kSlowestMs) + kLateMs;
  return std::min(last_heard().ms + longest_ms(), last_placed().ms + between_positions_ms);
}

bool Link::tell(FeedState state, const std::string& what, SteadyTime now) {
  if (state == FeedState::open && state_ != FeedState::open) opened_ = now;
  if (state != FeedState::open) was_quiet_ = false;
  const bool is_news = std::exchange(state_, state) != state || what_ != what;
  what_ = what;
  return is_news;
}

void Link::hear_bytes(SteadyTime arrived, SteadyTime now) noexcept {
  if (state_ == FeedState::waiting || state_ == FeedState::ended) {
    state_ = FeedState::open;
    opened_ = now;
  }
  bytes_arrived_ = arrived;
}

void Link::hear_epoch(SteadyTime last_arrival, bool after_gap, std::int64_t interval_ms) noexcept {
  placed_ = last_arrival;
  interval_ms_ = interval_ms;
  was_quiet_ = false;
  good_epochs_ = after_gap ? 1 : good_epochs_ + 1;
}

bool Link::go_on(SteadyTime now) {
  if (standstill_.empty()) return false;
  standstill_.clear();
  if (state_ == FeedState::open) opened_ = now;
  return true;
}

bool Link::falls_quiet(SteadyTime now) noexcept {
  const bool quiet = is_quiet(now);
  return !std::exchange(was_quiet_, quiet) && quiet;
}

Condition Link::look_for_silence(Hearing hearing) noexcept {
  if (hearing.quiet) good_epochs_ = 0;
  // An ended or a waiting feed says so itself; the silence before it is over.
  silence_ = hearing.quiet || (silence_ && good_epochs_ < kGoodEpochs && listens());
  return {silence_, hearing.may_fall_quiet_ms};
}

Hearing Link::hearing(SteadyTime now) const noexcept {
  if (!listens() || !opened_) return {.unheard = !listens()};
  const bool anew = placed_ && *placed_ < *opened_;  // no epoch yet since the link is back
  const std::int64_t after_ms = quiet_after_ms();
  const bool quiet = now.ms > after_ms;
  return {quiet, anew || quiet, quiet ? kNotByTime : after_ms + 1};
}

AlertText Link::silence_alert(SteadyTime now) const {
  const std::string limit_s = in_few_digits(static_cast<double>(silence_ms_) / 1000.0);
  const std::string brief = !is_silent(now) ? kSayBriefly.no_position()
                            : is_noise(now) ? kSayBriefly.noise()
                                            : kSayBriefly.silent(limit_s);
  return {silence_text(now), brief};
}

/// Bytes without a sentence are most often the wrong baud rate.
bool Link::is_noise(SteadyTime now) const noexcept {
  return bytes_arrived_ && now.ms - bytes_arrived_->ms <= silence_ms_;
}

std::string Link::silence_text(SteadyTime now) const {
  if (!is_silent(now)) {
    return kSay.no_position_for(fixed(seconds_between(last_placed(), now), 0));
  }
  return (is_noise(now) ? kSay.noise_for : kSay.nothing_for)(fixed(seconds_between(last_heard(), now), 0));
}

}  // namespace stillpoint::session
