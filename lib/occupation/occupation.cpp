#include "occupation/occupation.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "base/number.hpp"
#include "estimate/calibration.hpp"
#include "estimate/guidance.hpp"
#include "occupation/geoid.hpp"
#include "occupation/sentences.hpp"

namespace stillpoint::occupation {
namespace {

// Below it, dry land is rare enough to ask whether the receiver prints ellipsoid heights as altitudes.
constexpr double kLowestLandM = -15.0;
constexpr double kWalkingMps = 0.3;     // a pole that is held still shows less
constexpr double kFewestWalkedS = 1.5;  // two seconds of walking, when the receiver says its speed
constexpr double kFewestMovedS = 3.0;   // a jump moves positions for one second, or two at a high rate
constexpr double kWalkExplains = 0.5;   // of the way in between: people walk in curves, and speeds are rounded
constexpr std::size_t kWaiting = 16;    // more outliers than a new segment ever takes back

std::size_t index_of(gate::Reason reason) noexcept {
  return static_cast<std::size_t>(reason);
}

EpochRecord record_of(const gate::Judged& judged, const std::vector<config::Source>& sources) {
  EpochRecord out;
  out.utc = judged.epoch.utc;
  out.quality = judged.epoch.quality;
  out.station = judged.match.station;
  if (judged.match.source) out.source = sources[*judged.match.source].name;
  out.age_s = judged.freshness.age_s;
  if (!out.age_s && judged.epoch.age) out.age_s = judged.epoch.age->seconds;
  out.correction = judged.freshness.state;
  return out;
}

void add_place(EpochRecord& out, const geodesy::Geographic& mark, const estimate::Sample& sample, double error_scale) {
  out.latitude_deg = mark.latitude_deg;
  out.longitude_deg = mark.longitude_deg;
  out.ellipsoid_height_m = mark.ellipsoid_height_m;
  out.sigma_east_m = std::sqrt(sample.ee_m2) * error_scale;
  out.sigma_north_m = std::sqrt(sample.nn_m2) * error_scale;
  out.sigma_up_m = std::sqrt(sample.uu_m2) * error_scale;
}

static_assert(estimate::kFewestToVerify == config::kVisitsToVerify);

/// What the last printed digits are worth on the ground.
estimate::Ticks ticks_of(const epoch::Epoch& epoch, double cosine_of_latitude) noexcept {
  constexpr double kMinute_m = 1852.0;  // of latitude: the nautical mile
  constexpr std::array<double, nmea::kMostDecimals + 1> kTick{1, 1e-1, 1e-2, 1e-3, 1e-4, 1e-5, 1e-6, 1e-7, 1e-8, 1e-9};
  const auto tick = [&kTick](int decimals) {
    return kTick[static_cast<std::size_t>(std::clamp(decimals, 0, nmea::kMostDecimals))];
  };
  const double north_m = kMinute_m * tick(epoch.position->minute_decimals);
  return {north_m * cosine_of_latitude, north_m, tick(epoch.height_decimals)};
}

estimate::Scale scale_of(const config::Source& source) noexcept {
  return {source.error_scale,
          source.error_floor_m.horizontal_m,
          source.error_floor_m.vertical_m,
          {source.error_scale_verified(), source.unproven_margin}};
}

/// The segments whose epochs are in the point: the kept one, and others of its class at the same level.
bool is_kept(const estimate::Conclusion& kept, int segment) noexcept {
  return segment >= 0 &&
         (segment == kept.segment || std::find(kept.joined.begin(), kept.joined.end(), segment) != kept.joined.end());
}

}  // namespace

Occupation::Occupation(Stand stand, const config::Settings& settings, const geodesy::Frames& frames)
    : stand_(std::move(stand)),
      settings_(&settings),
      frames_(&frames),
      silence_ms_(std::llround(settings.gap_s() * 1000)) {}

void Occupation::interrupt(CutOff how) noexcept {
  if (observed_ == 0 || how == CutOff::no) return;
  if (cut_off_ != CutOff::broke_off) cut_off_ = how;
  ++stretch_;
  last_ms_.reset();
}

double Occupation::lasted_s() const noexcept {
  if (!first_ms_ || !last_ms_) return 0;
  return static_cast<double>(*last_ms_ - *first_ms_) / 1000.0;
}

int Occupation::class_key(const ClassOf& wanted) {
  const auto at = std::find(classes_.begin(), classes_.end(), wanted);
  if (at != classes_.end()) return static_cast<int>(at - classes_.begin());
  classes_.push_back(wanted);
  return static_cast<int>(classes_.size()) - 1;
}

void Occupation::note_time(const epoch::Epoch& epoch) noexcept {
  if (epoch.utc && !started_utc_) started_utc_ = epoch.utc;
  if (epoch.utc) finished_utc_ = epoch.utc;
  if (!epoch.stream_ms) return;
  if (last_ms_) {
    const std::int64_t step_ms = *epoch.stream_ms - *last_ms_;
    if (step_ms > epoch::gap_limit_ms(silence_ms_, epoch.interval_ms)) interrupt();
    if (step_ms < 0) interrupt(CutOff::clock_back);
  }
  if (!first_ms_) first_ms_ = epoch.stream_ms;
  last_ms_ = epoch.stream_ms;
}

/// A jump is what a standing receiver does; walking has speed over several seconds.
void Occupation::note_walk(const gate::Judged& judged, std::optional<std::int64_t> before_ms) noexcept {
  const auto& now_ms = judged.epoch.stream_ms;
  const bool measured = judged.epoch.speed_mps.has_value();
  // Positions that scatter seem to move: only what is more than their error is a step.
  const double least_mps =
      measured ? kWalkingMps : std::max(kWalkingMps, judged.error ? judged.error->error95_horizontal_m : kWalkingMps);
  walk_.goes_on = judged.speed_mps && *judged.speed_mps >= least_mps;
  walk_.measured = measured;
  if (!walk_.goes_on || !now_ms || !before_ms || *now_ms <= *before_ms) return;
  const double step_s = static_cast<double>(std::min(*now_ms - *before_ms, silence_ms_)) / 1000.0;
  walk_.path_m += *judged.speed_mps * step_s;
  walk_.seconds += step_s;
}

/// Whether walking explains that a second is so far from the last one that counted.
bool Occupation::walked(double apart_m) const noexcept {
  return walk_.seconds >= (walk_.measured ? kFewestWalkedS : kFewestMovedS) && walk_.path_m >= kWalkExplains * apart_m;
}

Observed Occupation::observe(const gate::Judged& judged) {
  const std::optional<std::int64_t> before_ms = last_ms_;
  note_time(judged.epoch);
  note_walk(judged, before_ms);
  ++observed_;
  Observed out;
  out.reasons = judged.reasons;
  if (stand_.keep_epochs) records_.push_back(record_of(judged, settings_->sources));
  const int placed = judged.accepted() ? place(judged, out) : kNotAveraged;
  out.counted = placed >= 0;
  if (placed == kNotAveraged) {
    ++gate_refused_;
    for (std::size_t i = 0; i < gate::kReasonCount; ++i) refused_[i] += out.reasons.test(i) ? 1U : 0U;
  }
  if (stand_.keep_epochs) {
    records_.back().reasons = out.reasons;
    placed_.push_back(placed);
  }
  return out;
}

estimate::Sample Occupation::sample_of(const gate::Judged& judged, const geodesy::Geographic& mark) {
  if (!plane_) {
    plane_.emplace(mark);
    cosine_of_latitude_ = std::cos(mark.latitude_deg * std::numbers::pi / 180);
  }
  const geodesy::Enu enu = plane_->to_enu(mark);
  const gate::EpochError& error = *judged.error;
  return {.east_m = enu.east_m,
          .north_m = enu.north_m,
          .up_m = enu.up_m,
          .ee_m2 = error.ee_m2,
          .en_m2 = error.en_m2,
          .nn_m2 = error.nn_m2,
          .uu_m2 = error.uu_m2,
          .ticks = ticks_of(judged.epoch, cosine_of_latitude_)};
}

int Occupation::place(const gate::Judged& judged, Observed& out) {
  const epoch::Epoch& epoch = judged.epoch;
  const std::size_t source = *judged.match.source;
  const geodesy::Geographic antenna{epoch.position->latitude_deg, epoch.position->longitude_deg,
                                    *epoch.ellipsoid_height_m()};
  const auto at = frames_->to_project(source, antenna, epoch.utc);
  if (!at) {
    const bool no_date = at.error().fault == geodesy::FrameFault::no_date;
    out.reasons.set(index_of(no_date ? gate::Reason::no_date : gate::Reason::frame));
    out.frame_fault = at.error().text;
    return kNotAveraged;
  }
  geodesy::Geographic mark = at->position;
  mark.ellipsoid_height_m -= stand_.antenna_height_m;
  const estimate::Sample sample = sample_of(judged, mark);
  const config::Source& rule = settings_->sources[source];
  if (stand_.keep_epochs) add_place(records_.back(), mark, sample, rule.error_scale);

  const estimate::Class cls{class_key({source, judged.match.station, epoch.quality, stretch_}), rank_of(epoch.quality),
                            scale_of(rule)};
  const estimate::Placed placed = stay_.observe(cls, sample, epoch.stream_ms.value_or(0));
  Facts facts;
  facts.coasted = judged.freshness.state == corrections::State::coasting;
  facts.age_unknown = judged.freshness.state == corrections::State::unknown;
  facts.week_rollover = epoch.lifted_days > 0;
  facts.behind_clock = epoch.clock_days.value_or(0) < 0;
  facts.clock_dated = epoch.clock_dated;
  facts.assumed_sigma = judged.error->assumed;
  facts.low_altitude = *epoch.altitude_m < kLowestLandM;
  facts.separation = *epoch.geoid_separation_m != 0.0;
  facts.geoid_low_m = facts.geoid_high_m = *epoch.geoid_separation_m;
  facts.satellites_lost = judged.satellites_before.has_value();
  facts.coordinate_epoch = at->coordinate_epoch;
  out.claimed95_m = judged.error->error95_horizontal_m;
  out.claimed95_up_m = judged.error->error95_vertical_m;
  recount(placed, out);
  if (placed.placement == estimate::Placement::outlier) return set_apart(placed, sample, facts, out);
  outliers_in_a_row_ = 0;
  counted_ = Counted{sample.east_m, sample.north_m, sample.up_m, out.claimed95_m, out.claimed95_up_m};
  walk_ = {};
  note_placed(placed, facts);
  return placed.segment;
}

/// Counts how this epoch changes the standing of earlier ones: another place or class may have become the point, and
/// outliers that agree with each other may have become part of it.
void Occupation::recount(const estimate::Placed& placed, Observed& out) {
  if (placed.placement == estimate::Placement::outlier) return;
  const auto& segments = stay_.segments();
  const auto moved = static_cast<std::uint64_t>(std::max(0, placed.moved_from_outlier));
  if (segments.size() == 1) {  // by far the most
    out.in_point = true;
    out.gained = moved;
    if (in_point_.empty()) in_point_.assign(1, true);
    return;
  }
  const estimate::Conclusion kept = stay_.conclude(completion());
  std::vector<bool> now(segments.size());
  for (std::size_t i = 0; i < segments.size(); ++i) now[i] = is_kept(kept, static_cast<int>(i));
  in_point_.resize(segments.size(), false);
  for (std::size_t i = 0; i < segments.size(); ++i) {
    const bool here = static_cast<int>(i) == placed.segment;
    const std::uint64_t before = segments[i].epochs - (here ? moved + 1 : 0);
    if (in_point_[i] && !now[i]) out.lost += before;
    if (!in_point_[i] && now[i]) out.gained += before;
    if (here && now[i]) out.gained += moved;
  }
  const auto here = static_cast<std::size_t>(placed.segment);
  out.in_point = now[here];
  if (!out.in_point) {
    const int kept_class = segments[static_cast<std::size_t>(kept.segment)].class_key;
    out.elsewhere = segments[here].class_key == kept_class ? Elsewhere::place : Elsewhere::corrections;
  }
  in_point_ = std::move(now);
}

/// One far second is an outlier; from the second in a row on it is a jump of the position while the pole stood. Where
/// somebody walked with it, it is none.
int Occupation::set_apart(const estimate::Placed& placed, const estimate::Sample& sample, Facts facts, Observed& out) {
  if (counted_) {
    out.apart_m = std::hypot(sample.east_m - counted_->east_m, sample.north_m - counted_->north_m);
    out.apart_up_m = std::abs(sample.up_m - counted_->up_m);
    out.claimed95_m = std::max(out.claimed95_m, counted_->claimed95_m);
    out.claimed95_up_m = std::max(out.claimed95_up_m, counted_->claimed95_up_m);
  }
  out.walked = counted_ && walked(out.apart_m);
  // What moves now does not stand; where it stops is seen then.
  facts.jump = ++outliers_in_a_row_ >= 2 && !out.walked && !walk_.goes_on;
  note_placed(placed, facts);
  out.reasons.set(index_of(facts.jump ? gate::Reason::jump : gate::Reason::outlier));
  return kOutlier;
}

void Occupation::note_placed(const estimate::Placed& placed, const Facts& facts) {
  if (placed.placement == estimate::Placement::outlier) {
    ++(facts.jump ? jumps_ : outliers_);
    waiting_.push_back(facts);
    if (waiting_.size() > kWaiting) waiting_.pop_front();
    return;
  }
  const auto segment = static_cast<std::size_t>(placed.segment);
  const auto moved = static_cast<std::size_t>(std::max(0, placed.moved_from_outlier));
  const std::size_t joining = std::min(moved, waiting_.size());
  if (segment >= facts_.size()) {
    facts_.resize(segment + 1);
    const Facts& first = joining == 0 ? facts : waiting_[waiting_.size() - joining];
    facts_[segment].coordinate_epoch = first.coordinate_epoch;
  }
  if (moved > 0) join_waiting(placed.segment, moved);
  facts_[segment].merge(facts);
  if (!waiting_.empty()) waiting_.clear();
}

/// The last outliers have turned out to be of this segment.
void Occupation::join_waiting(int segment, std::size_t moved) {
  for (std::size_t i = waiting_.size() - std::min(moved, waiting_.size()); i < waiting_.size(); ++i) {
    facts_[static_cast<std::size_t>(segment)].merge(waiting_[i]);
    --(waiting_[i].jump ? jumps_ : outliers_);
  }
  std::size_t left = moved;
  for (std::size_t i = placed_.size(); i > 0 && left > 0; --i) {
    if (placed_[i - 1] != kOutlier) continue;
    placed_[i - 1] = segment;
    --left;
  }
}

estimate::Completion Occupation::completion() const noexcept {
  return {settings_->occupation.min_epochs, std::llround(settings_->occupation.min_duration_s * 1000)};
}

estimate::Conclusion Occupation::conclude() const {
  estimate::Conclusion out = stay_.conclude(completion());
  double& error95_m = out.estimate.error95_vertical_m;
  error95_m = std::hypot(error95_m, geoid_error95_m(settings_->project));
  return out;
}

const config::Source& Occupation::source_of(int segment) const {
  const int key = stay_.segments()[static_cast<std::size_t>(segment)].class_key;
  return settings_->sources[classes_[static_cast<std::size_t>(key)].source];
}

std::uint64_t Occupation::epochs_of(const estimate::Conclusion& kept) const {
  std::uint64_t epochs = 0;
  const auto& segments = stay_.segments();
  for (std::size_t i = 0; i < segments.size(); ++i) {
    if (is_kept(kept, static_cast<int>(i))) epochs += segments[i].epochs;
  }
  return epochs;
}

double Occupation::counted_s(const estimate::Conclusion& kept) const {
  if (kept.segment < 0) return 0;
  std::int64_t first_ms = stay_.segments()[static_cast<std::size_t>(kept.segment)].first_ms;
  std::int64_t last_ms = stay_.segments()[static_cast<std::size_t>(kept.segment)].last_ms;
  for (const int joined : kept.joined) {
    first_ms = std::min(first_ms, stay_.segments()[static_cast<std::size_t>(joined)].first_ms);
    last_ms = std::max(last_ms, stay_.segments()[static_cast<std::size_t>(joined)].last_ms);
  }
  // Each epoch stands for the interval that it ends: thirty epochs at 1 Hz are thirty seconds.
  return static_cast<double>(last_ms - first_ms + stay_.interval_ms()) / 1000.0;
}

Progress Occupation::progress() const {
  Progress out;
  out.conclusion = conclude();
  out.accepted = epochs_of(out.conclusion);
  out.refused = observed_ - out.accepted;
  out.counted_s = counted_s(out.conclusion);
  out.enough = out.accepted >= static_cast<std::uint64_t>(settings_->occupation.min_epochs) &&
               out.counted_s >= settings_->occupation.min_duration_s;
  for (const int other : out.conclusion.disagreeing) {
    out.other_level_epochs = std::max(out.other_level_epochs, stay_.segments()[static_cast<std::size_t>(other)].epochs);
  }
  if (out.conclusion.segment >= 0) {
    out.source = source_of(out.conclusion.segment).name;
    out.error_scale = source_of(out.conclusion.segment).error_scale;
    out.error_scale_verified = source_of(out.conclusion.segment).error_scale_verified();
    out.assumed_sigma = facts_of(out.conclusion).assumed_sigma;
  }
  return out;
}

Point Occupation::finish() const {
  const estimate::Conclusion kept = conclude();
  Point point;
  point.name = stand_.name;
  point.visit = stand_.visit;
  point.code = stand_.code;
  point.note = stand_.note;
  point.rules = kRules;
  point.estimator = kEstimator;
  point.frame = frames_->project_frame();
  point.antenna_height_m = stand_.antenna_height_m;
  point.started_utc = started_utc_;
  point.finished_utc = finished_utc_;
  point.crew = settings_->project.crew;
  fill_counts(point, kept);
  if (kept.segment >= 0) fill_coordinates(point, kept);
  fill_reasons(point, kept);
  fill_flags(point, kept);
  if (!point.at) {
    point.status = PointStatus::none;
  } else {
    point.status = point.reasons.empty() ? PointStatus::accepted : PointStatus::held;
  }
  return point;
}

void Occupation::fill_counts(Point& point, const estimate::Conclusion& kept) const {
  point.refused = refused_;
  point.refused[index_of(gate::Reason::outlier)] += outliers_;
  point.refused[index_of(gate::Reason::jump)] += jumps_;
  std::uint64_t averaged = 0;
  for (const estimate::Segment& segment : stay_.segments()) averaged += segment.epochs;
  point.epochs_used = epochs_of(kept);
  point.refused[index_of(gate::Reason::other_segment)] += averaged - point.epochs_used;
  point.epochs_refused = observed_ - point.epochs_used;
}

void Occupation::fill_coordinates(Point& point, const estimate::Conclusion& kept) const {
  const estimate::Segment& segment = stay_.segments()[static_cast<std::size_t>(kept.segment)];
  const ClassOf& cls = classes_[static_cast<std::size_t>(segment.class_key)];
  const config::Source& source = settings_->sources[cls.source];
  const estimate::Estimate& e = kept.estimate;
  const geodesy::Geographic mean = plane_->to_geographic({e.east_m, e.north_m, e.up_m});
  Coordinates at;
  at.latitude_deg = mean.latitude_deg;
  at.longitude_deg = mean.longitude_deg;
  at.ellipsoid_height_m = mean.ellipsoid_height_m;
  at.coordinate_epoch = facts_[static_cast<std::size_t>(kept.segment)].coordinate_epoch;
  at.error95_horizontal_m = e.error95_horizontal_m;
  at.error95_vertical_m = e.error95_vertical_m;
  at.covariance_enu_m2 = {e.ee_m2, e.en_m2, e.nn_m2, e.uu_m2};
  at.repeatability_m = e.scatter_horizontal_m;
  at.effective_epochs = e.effective_epochs;
  if (const auto delivered = frames_->deliver(mean, at.coordinate_epoch)) {
    at.take(*delivered);
    hold_for_geoid(point, *delivered, kept);
  } else {
    point.reasons.push_back(HoldReason::not_delivered);
    point.reason_texts.push_back(delivered.error().text);
  }
  point.at = at;
  point.source = source.name;
  point.station = cls.station;
  point.quality = cls.quality;
  point.error_scale = source.error_scale;
  point.claimed = estimate::claimed_of(e, source.error_scale);
}

void Occupation::hold_for_geoid(Point& point, const geodesy::Delivered& delivered,
                                const estimate::Conclusion& kept) const {
  const Facts facts = facts_of(kept);
  for (const double receivers_m : {facts.geoid_low_m, facts.geoid_high_m}) {
    auto why = geoid_contradiction(delivered, receivers_m);
    if (!why) continue;
    point.reasons.push_back(HoldReason::geoid_contradicted);
    point.reason_texts.push_back(*std::move(why));
    return;
  }
}

void Occupation::fill_reasons(Point& point, const estimate::Conclusion& kept) const {
  const config::OccupationRule& rule = settings_->occupation;
  const auto hold = [&](HoldReason reason, std::string text) {
    point.reasons.push_back(reason);
    point.reason_texts.push_back(std::move(text));
  };
  if (point.epochs_used < static_cast<std::uint64_t>(rule.min_epochs)) {
    hold(HoldReason::too_few_epochs,
         kSay.too_few_epochs(counted(point.epochs_used, "epoch"), std::to_string(rule.min_epochs)));
  }
  if (const double seconds = counted_s(kept); seconds < rule.min_duration_s) {
    hold(HoldReason::too_short, kSay.too_short(fixed(seconds, 1), fixed(rule.min_duration_s, 1)));
  }
  if (kept.unresolved) {
    std::uint64_t other = 0;
    for (const int level : kept.disagreeing)
      other = std::max(other, stay_.segments()[static_cast<std::size_t>(level)].epochs);
    hold(HoldReason::unresolved, kSay.unresolved(fixed(kept.separation_m, 2), fixed(kept.separation_up_m, 2),
                                                 std::to_string(point.epochs_used), std::to_string(other)));
  }
  if (const std::string drift = estimate::drift_text(kept.estimate); !drift.empty()) {
    hold(HoldReason::drifting, kSay.drifting(drift.substr(4)));  // "The position drifts …" goes on in a sentence
  }
  if (cut_off_ == CutOff::broke_off) hold(HoldReason::interrupted, kSay.interrupted());
  if (cut_off_ == CutOff::clock_back) hold(HoldReason::interrupted, kSay.clock_back());
  if (cut_off_ == CutOff::base_changed) hold(HoldReason::base_changed, kSay.base_changed());
}

/// Of all segments in a point; `kept` has one.
Occupation::Facts Occupation::facts_of(const estimate::Conclusion& kept) const noexcept {
  Facts facts = facts_[static_cast<std::size_t>(kept.segment)];
  for (const int joined : kept.joined) facts.merge(facts_[static_cast<std::size_t>(joined)]);
  return facts;
}

void Occupation::fill_flags(Point& point, const estimate::Conclusion& kept) const {
  const auto flag = [&](bool so, const char* word) {
    if (so) point.flags.emplace_back(word);
  };
  if (kept.segment >= 0) {
    const Facts facts = facts_of(kept);
    const config::Source& source = source_of(kept.segment);
    flag(facts.assumed_sigma, "assumed-sigma");
    flag(kept.estimate.claim_unproven, "claim-not-proven");
    flag(facts.clock_dated, "clock-dated");
    flag(kept.estimate.coarse_digits, "coarse-digits");
    flag(facts.coasted, "coasted");
    flag(!facts.separation, "constant-separation");
    flag(facts.age_unknown, "correction-age-unknown");
    flag(facts.behind_clock, "date-behind-clock");
    flag(facts.low_altitude, "ellipsoidal-altitude");
    flag(!source.error_scale_verified(), "error-scale-not-verified");
    flag(kept.estimate.claim_refuted_horizontal || kept.estimate.claim_refuted_vertical, "receiver-error-refuted");
    flag(facts.satellites_lost, "satellites-lost");
    flag(facts.week_rollover, "week-rollover");
  }
  flag(stand_.training, "training");
  std::sort(point.flags.begin(), point.flags.end());
}

std::vector<EpochRecord> Occupation::epochs() const {
  const estimate::Conclusion kept = stay_.conclude(completion());
  std::vector<EpochRecord> out = records_;
  for (std::size_t i = 0; i < out.size(); ++i) {
    const int placed = placed_[i];
    out[i].accepted = is_kept(kept, placed);
    if (placed >= 0) out[i].reasons.reset();
    if (placed >= 0 && !out[i].accepted) out[i].reasons.set(index_of(gate::Reason::other_segment));
  }
  return out;
}

}  // namespace stillpoint::occupation
