#include "corrections/monitor.hpp"

#include <algorithm>
#include <cmath>

namespace stillpoint::corrections {
namespace {

// An age that stands still above the fresh limit cannot be true for long: it should count up.
constexpr std::int64_t kStuckAgeMs = 3000;
constexpr int kStuckAgeEpochs = 3;

}  // namespace

State state_of(double age_s, const config::Gate& limits) noexcept {
  if (age_s <= limits.fresh_age_s) return State::fresh;
  return age_s <= limits.max_age_s ? State::coasting : State::stale;
}

Monitor::Monitor(double gap_s) noexcept : gap_ms_(std::llround(gap_s * 1000)) {}

void Monitor::cut() noexcept {
  last_ms_.reset();
  good_since_ms_.reset();
  age_.reset();
}

Freshness Monitor::observe(const epoch::Epoch& epoch, const Belongs& belongs) noexcept {
  last_arrival_ = epoch.last_arrival;
  limits_ = belongs.limits;
  note_time(epoch);
  if (!epoch.stream_ms || !belongs.source || belongs.limits == nullptr) {
    identity_.reset();
    good_since_ms_.reset();
    age_.reset();
    return last_ = Freshness{};
  }
  const std::int64_t now_ms = *epoch.stream_ms;
  const Identity identity{epoch.quality, belongs.source, belongs.station};
  if (after_gap_ || !identity_ || *identity_ != identity) good_since_ms_.reset();
  identity_ = identity;

  Freshness freshness = age_of(epoch, *belongs.limits, now_ms);
  freshness.frozen = is_frozen(epoch, *belongs.limits, freshness, now_ms);
  settle(freshness, *belongs.limits, now_ms);
  return last_ = freshness;
}

/// Notes gaps, and the moment when the receiver reached the quality class: that proves fresh corrections. A station
/// that changes, or is no longer printed, proves nothing.
void Monitor::note_time(const epoch::Epoch& epoch) noexcept {
  const bool first = !quality_, gained = first || *quality_ != epoch.quality;
  quality_ = epoch.quality;
  if (!may_have_source(epoch.quality)) proof_ms_.reset();
  after_gap_ = false;
  if (!epoch.stream_ms) return;  // the next timed epoch will tell
  const std::int64_t now_ms = *epoch.stream_ms;
  // When the stream's clock was put back, the time of the proof is put back as well; otherwise it would lie in the
  // future.
  if (last_ms_ && proof_ms_ && now_ms < *last_ms_) *proof_ms_ += now_ms - *last_ms_;
  if (may_have_source(epoch.quality) && (gained || !proof_ms_)) {
    proof_ms_ = now_ms;
    proof_ = first ? Proof::listening_began : Proof::class_gained;
  }
  after_gap_ = !last_ms_ || now_ms - *last_ms_ > epoch::gap_limit_ms(gap_ms_, epoch.interval_ms) || now_ms < *last_ms_;
  last_ms_ = now_ms;
}

Freshness Monitor::age_of(const epoch::Epoch& epoch, const config::Gate& limits, std::int64_t now_ms) noexcept {
  Freshness out;
  const bool printed = epoch.age && !epoch.age->integer_zero && epoch.age->seconds >= 0;
  if (printed) {
    out.age_s = epoch.age->seconds;
  } else if (limits.age_missing == config::AgeMissing::refuse) {
    out.age_missing = true;
    return out;
  } else if (limits.age_missing == config::AgeMissing::trust_quality) {
    out.from = AgeFrom::quality;
    out.state = State::unknown;
    return out;
  } else if (frame_ && (epoch.quality == Quality::rtk_fixed || epoch.quality == Quality::rtk_float)) {
    out.from = AgeFrom::corrections;
    out.age_s = std::max(0.0, seconds_between(*frame_, epoch.last_arrival));
  } else {
    out.from = AgeFrom::own_clock;
    out.proof = proof_;
    out.proof_ms = proof_ms_.value_or(now_ms);
    out.age_s = static_cast<double>(now_ms - out.proof_ms) / 1000.0;
  }
  out.state = state_of(*out.age_s, limits);
  if (out.state == State::coasting) out.coast_left_s = limits.max_age_s - *out.age_s;
  if (printed && out.state == State::fresh) {
    proof_ms_ = now_ms;
    proof_ = Proof::fresh_age;
  }
  return out;
}

bool Monitor::is_frozen(const epoch::Epoch& epoch, const config::Gate& limits, const Freshness& freshness,
                        std::int64_t now_ms) noexcept {
  if (!epoch.position) {
    age_.reset();
    return false;
  }
  const bool same_age = age_ && !after_gap_ && *age_ == epoch.age;
  age_ = epoch.age;
  if (!same_age) same_age_ = Run{now_ms, 0};
  ++same_age_.epochs;
  if (epoch.repeats) return true;
  const bool late = freshness.from == AgeFrom::receiver && freshness.age_s && *freshness.age_s > limits.fresh_age_s;
  return late && same_age_.epochs >= kStuckAgeEpochs && now_ms - same_age_.since_ms >= kStuckAgeMs;
}

/// A frozen stretch that is shorter than a gap does not restart the settling: the corrections were good before it and
/// are good again.
void Monitor::settle(Freshness& freshness, const config::Gate& limits, std::int64_t now_ms) noexcept {
  if (!freshness.frozen) {
    frozen_since_ms_.reset();
  } else if (!frozen_since_ms_) {
    frozen_since_ms_ = now_ms;
  }
  const bool long_frozen = frozen_since_ms_ && now_ms - *frozen_since_ms_ > gap_ms_;
  if (!is_usable(freshness.state) || long_frozen) {
    good_since_ms_.reset();
    return;
  }
  if (!good_since_ms_) good_since_ms_ = now_ms;
  if (freshness.frozen) return;
  const double good_s = static_cast<double>(now_ms - *good_since_ms_) / 1000.0;
  freshness.settling = good_s < limits.settle_s;
  freshness.settle_left_s = freshness.settling ? limits.settle_s - good_s : 0.0;
}

Freshness Monitor::at(SteadyTime now) const noexcept {
  Freshness out = last_;
  if (!out.age_s || limits_ == nullptr) return out;
  out.age_s = *out.age_s + seconds_between(last_arrival_, now);
  out.state = state_of(*out.age_s, *limits_);
  out.coast_left_s.reset();
  if (out.state == State::coasting) out.coast_left_s = limits_->max_age_s - *out.age_s;
  return out;
}

}  // namespace stillpoint::corrections
