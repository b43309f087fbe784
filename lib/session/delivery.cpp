#include "session/delivery.hpp"

#include <algorithm>
#include <cctype>

#include "base/number.hpp"
#include "session/sentences.hpp"

namespace stillpoint::session {
namespace {

using corrections::LinkState;
using corrections::Stop;

bool is_recent(std::optional<SteadyTime> at, SteadyTime now) noexcept {
  return at && now.ms - at->ms <= Delivery::kStoppedMs;
}

std::string with_capital(std::string text) {
  if (!text.empty()) text.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(text.front())));
  return text;
}

}  // namespace

bool Delivery::tell(const DeliveryNews& news, SteadyTime now) {
  if (news == news_) return false;
  if (news.state != LinkState::running && news_.state == LinkState::running) watch_.cut();
  if (!begun_) begun_ = now;
  news_ = news;
  return true;
}

bool Delivery::take(std::string_view bytes, bool lost, const Moment& arrived) {
  const bool had_stopped = stopped(arrived.now).holds;
  const auto before = watch_.last_frame();
  watch_.take(bytes, arrived.now);
  if (!begun_ && watch_.last_frame()) begun_ = arrived.now;
  is_lost_ = lost;
  const bool is_new = watch_.last_frame() && (before != watch_.last_frame() || !last_reached_);
  if (!lost && is_new) {
    last_reached_ = watch_.last_frame();
    last_reached_utc_ = arrived.utc;
  }
  return had_stopped && is_new;
}

Condition Delivery::stopped(SteadyTime now) const noexcept {
  if (!begun_) return {};
  const std::int64_t at_ms = reached().ms + kStoppedMs;
  return now.ms >= at_ms ? Condition{true} : Condition{false, at_ms};
}

Condition Delivery::unused(const corrections::Freshness& fresh, SteadyTime now) const noexcept {
  const auto since = watch_.flowing_since();
  const bool flows = since && !is_lost_ && !stopped(now).holds &&
                     now.ms - watch_.last_frame()->ms <= corrections::StreamWatch::kPauseMs;
  if (!flows || fresh.from != corrections::AgeFrom::receiver || !fresh.age_s || *fresh.age_s < kUnusedS) return {};
  const std::int64_t at_ms = since->ms + kFlowingMs;
  return now.ms >= at_ms ? Condition{true, watch_.last_frame()->ms + corrections::StreamWatch::kPauseMs + 1}
                         : Condition{false, at_ms};
}

/// The link to the caster says why as long as it is not up; else what has come says it.
Stop Delivery::why(SteadyTime now) const noexcept {
  if (news_.state != LinkState::running && news_.reason != Stop::none) return news_.reason;
  if (is_lost_ && is_recent(watch_.last_byte(), now)) return Stop::receiver_stalled;
  if (is_recent(watch_.last_byte(), now) && !is_recent(watch_.last_frame(), now)) return Stop::damaged;
  if (news_.state == LinkState::none) return Stop::program_silent;
  return news_.state == LinkState::running ? Stop::mount_silent : Stop::caster_silent;
}

std::string Delivery::cause(SteadyTime now) const {
  const Stop stop = why(now);
  return corrections::why_text(stop, stop == news_.reason ? news_.detail : std::string());
}

std::string Delivery::clock() const {
  return last_reached_utc_ ? to_text(*last_reached_utc_).substr(11, 8) : std::string();
}

AlertText Delivery::stopped_text(const Moment& moment, bool is_too_old) const {
  const std::string why_now = cause(moment.now), since = clock();
  std::string brief = corrections::why_briefly(why(moment.now));
  if (since.empty()) return {(is_too_old ? kSay.stopped_too_old : kSay.stopped)(why_now), std::move(brief)};
  return {(is_too_old ? kSay.stopped_at_too_old : kSay.stopped_at)(since, why_now), std::move(brief)};
}

void Delivery::fill(std::optional<DeliveryStatus>& told, const Moment& moment) const {
  if (!begun_) return;
  DeliveryStatus& out = told.emplace();
  const bool has_stopped = stopped(moment.now).holds;
  const bool connects = news_.state == LinkState::connecting && news_.reason == Stop::none;
  out.state = has_stopped ? "stopped" : connects ? "connecting" : "running";
  if (last_reached_) {
    out.age_s = static_cast<double>(moment.now.ms - last_reached_->ms) / 1000.0;
    out.last_frame_utc = last_reached_utc_;
  }
  if (!has_stopped) {
    out.text = last_reached_ ? kSay.delivered(fixed(*out.age_s, 0)) : kSay.not_delivered_yet();
    return;
  }
  out.reason = corrections::to_word(why(moment.now));
  const std::string why_now = with_capital(cause(moment.now));
  const std::string since = clock();
  if (!last_reached_) {
    out.text = kSay.never_delivered(why_now);
  } else {
    const std::string age = fixed(*out.age_s, 0);
    out.text = since.empty() ? kSay.none_for(age, why_now) : kSay.none_for_since(age, why_now, since);
  }
}

}  // namespace stillpoint::session
