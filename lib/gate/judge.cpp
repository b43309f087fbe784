#include "gate/judge.hpp"

#include <algorithm>
#include <string_view>

#include "gate/consistency.hpp"
#include "gate/limits.hpp"
#include "geodesy/local.hpp"

namespace stillpoint::gate {
namespace {

using corrections::AgeFrom;
using corrections::State;

constexpr std::int64_t kSpeedBaseMs = 1000;   // shorter base lines show noise, not walking
constexpr std::int64_t kAtOnceMs = 1500;      // a second, and what a receiver's clock may wander
constexpr double kKeptShare = 0.6;            // of the satellites; fewer left than this means many were lost
constexpr std::int64_t kSpeedStaleMs = 3000;  // and older ones show the past

std::string_view text_of(const std::array<char, 8>& code) noexcept {
  return {code.data(), static_cast<std::size_t>(std::find(code.begin(), code.end(), '\0') - code.begin())};
}

bool is_nad83(std::string_view frame) noexcept {
  static constexpr std::array<std::string_view, 5> kCodes{"EPSG:6319", "EPSG:6782", "EPSG:8254", "EPSG:6321",
                                                          "EPSG:6324"};
  return frame.find("NAD83") != std::string_view::npos ||
         std::find(kCodes.begin(), kCodes.end(), frame) != kCodes.end();
}

void check_corrections(Judged& judged) noexcept {
  const corrections::Freshness& fresh = judged.freshness;
  if (fresh.age_missing) judged.refuse(Reason::correction_age_missing);
  if (fresh.state == State::stale) {
    judged.refuse(fresh.from == AgeFrom::receiver ? Reason::correction_age : Reason::corrections_stale);
  }
  if (fresh.frozen) judged.refuse(Reason::frozen);
  if (fresh.settling) judged.refuse(Reason::settling);
}

std::vector<Bound> bounds_of(const config::Gate& gate) {
  std::vector<Bound> out;
  for (const Limit& limit : kLimits) {
    if (const auto value = config::value_of(gate, *limit.setting)) out.push_back({&limit, limit.allowed(*value)});
  }
  return out;
}

void check_limit(Judged& judged, const Bound& bound) noexcept {
  const Limit& limit = *bound.limit;
  const auto value = limit.value(judged);
  if (!value) {
    judged.refuse(limit.when_unknown);
  } else if (!bound.allowed.holds(*value)) {
    judged.refuse(limit.reason);
  }
}

/// What must be there whatever the source.
void check_content(Judged& judged) noexcept {
  const epoch::Epoch& epoch = judged.epoch;
  if (!epoch.utc) judged.refuse(Reason::no_date);
  if (!epoch.position) judged.refuse(Reason::no_position);
  if (!epoch.ellipsoid_height_m()) judged.refuse(Reason::no_height);
  if (!conflict_in(epoch).empty()) judged.refuse(Reason::conflict);
  if (epoch.step == epoch::TimeStep::repeated) judged.refuse(Reason::time_repeated);
  if (epoch.late_s > 0) judged.refuse(Reason::late);
  if (epoch.date_contradicted) judged.refuse(Reason::date_contradicted);
}

}  // namespace

bool contradicts(const nmea::Dtm& datum, const config::Source& source) noexcept {
  const std::string_view local = text_of(datum.local);
  const auto moved = [](const std::optional<double>& offset) { return offset && *offset != 0.0; };
  const bool shifted =
      moved(datum.latitude_offset_min) || moved(datum.longitude_offset_min) || moved(datum.altitude_offset_m);
  if (!shifted && (local.empty() || local == "W84")) return false;
  return !(local == "NAR" && is_nad83(source.frame));
}

Judge::Judge(const std::vector<config::Source>& sources) : sources_(&sources) {
  for (const config::Source& source : sources) bounds_.push_back(bounds_of(source.gate));
}

std::optional<double> Judge::speed_of(const epoch::Epoch& epoch) noexcept {
  if (!epoch.position || !epoch.stream_ms) return epoch.speed_mps;
  const geodesy::Geographic here{epoch.position->latitude_deg, epoch.position->longitude_deg,
                                 epoch.ellipsoid_height_m().value_or(0)};
  const std::int64_t now_ms = *epoch.stream_ms;
  std::optional<double> speed_mps = epoch.speed_mps;
  for (const auto* fix : {&newer_, &older_}) {
    if (speed_mps || !*fix) continue;
    const std::int64_t base_ms = now_ms - (*fix)->stream_ms;
    if (base_ms < kSpeedBaseMs || base_ms > epoch::gap_limit_ms(kSpeedStaleMs, epoch.interval_ms)) continue;
    speed_mps = geodesy::Vicinity((*fix)->place).distance_m(here) * 1000.0 / static_cast<double>(base_ms);
  }
  // Positions are noted even while the receiver prints its speed, so that the speed is known in a second in which it is
  // not printed.
  if (!newer_ || now_ms - newer_->stream_ms >= kSpeedBaseMs || now_ms < newer_->stream_ms) {
    older_ = newer_;
    newer_ = Fix{here, now_ms};
  }
  return speed_mps;
}

/// When 40 % or more of the satellites go within a second, returns how many there were before, until the number is back
/// or the source has had time to settle. This refuses nothing, for the number has a limit of its own; but a fix that
/// outlives its satellites deserves a warning.
std::optional<int> Judge::lost_at_once(const epoch::Epoch& epoch, double settle_s) noexcept {
  if (!epoch.satellites || !epoch.stream_ms) return std::nullopt;
  const Count now{*epoch.stream_ms, *epoch.satellites};
  const auto kept = [&now](const Count& before) { return now.satellites > kKeptShare * before.satellites; };
  if (lost_ && (kept(*lost_) || now.stream_ms < lost_->stream_ms ||
                static_cast<double>(now.stream_ms - lost_->stream_ms) >= settle_s * 1000))
    lost_.reset();
  if (counted_ && now.stream_ms > counted_->stream_ms && now.stream_ms - counted_->stream_ms <= kAtOnceMs &&
      !kept(*counted_)) {
    lost_ = Count{now.stream_ms, counted_->satellites};
  }
  // The count of a whole second before: at 10 Hz a loss may take several epochs.
  if (!counted_ || now.stream_ms - counted_->stream_ms >= 1000 || now.stream_ms < counted_->stream_ms ||
      now.satellites > counted_->satellites) {
    counted_ = now;
  }
  return lost_ ? std::optional(lost_->satellites) : std::nullopt;
}

void Judge::check_limits(Judged& judged) const noexcept {
  const config::Source& source = (*sources_)[*judged.match.source];
  const config::Gate& gate = source.gate;
  const epoch::Epoch& epoch = judged.epoch;
  if (std::find(gate.quality.begin(), gate.quality.end(), epoch.quality) == gate.quality.end()) {
    judged.refuse(Reason::quality);
  }
  for (const Bound& bound : bounds_[*judged.match.source]) check_limit(judged, bound);
  if (!judged.error) judged.refuse(Reason::error_missing);
  if (!judged.frame_fault.empty() || (epoch.datum && contradicts(*epoch.datum, source))) judged.refuse(Reason::frame);
}

void Judge::judge(Judged& judged) noexcept {
  judged.reasons.reset();
  judged.error.reset();
  judged.satellites_before.reset();
  judged.speed_mps = speed_of(judged.epoch);
  if (!may_have_source(judged.epoch.quality)) {
    judged.refuse(Reason::quality);
    return;
  }
  check_content(judged);
  if (!judged.match.source) {
    judged.refuse(judged.match.quality_listed ? Reason::unlisted_station : Reason::unknown_source);
    return;
  }
  const config::Source& source = (*sources_)[*judged.match.source];
  judged.error = error_of(judged.epoch, source, judged.freshness);
  judged.satellites_before = lost_at_once(judged.epoch, source.gate.settle_s);
  check_corrections(judged);
  check_limits(judged);
}

}  // namespace stillpoint::gate
