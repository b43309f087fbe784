#include "estimate/stay.hpp"

#include <algorithm>
#include <cmath>

namespace stillpoint::estimate {
namespace {

constexpr double kStepAgreement = 3.0;   // sigma, of each of the five from their median
constexpr double kStepFromMedian = 3.5;  // sigma, of the five's mean from the running median it left
constexpr double kStepFromMean = 3.0;    // sigma, of the five's mean from the mean of all the segment's epochs
constexpr double kSameLevel = 2.5;       // sigma of one epoch, between the means of two segments
constexpr double kQuietStep = 3.2;       // sigma, of the five's mean from the mean of the epochs before
constexpr double kQuietStepAfterJump = 2.5;
constexpr double kLeastJump = 3.0;      // sigma, from one epoch to the next
constexpr double kJumpRoughness = 4.0;  // times the steps from epoch to epoch as they were
constexpr double kQuietStepHint = 2.0;  // below it no epoch is worth the trouble
constexpr double kWhiteRoughness = 0.6;

std::size_t index(int segment) noexcept {
  return static_cast<std::size_t>(segment);
}

struct Five {
  Sample mean;
  bool agree = false;
};

template <class FiveOffered>
Five five_of(const FiveOffered& offered, double error_scale) noexcept {
  constexpr std::size_t kFive = Stay::kStep;
  Five five;
  const double share = 1.0 / static_cast<double>(kFive);
  const Sample& origin = offered[0].sample;
  Sample& mean = five.mean;
  for (const auto& one : offered) {
    mean.east_m += share * (one.sample.east_m - origin.east_m);
    mean.north_m += share * (one.sample.north_m - origin.north_m);
    mean.up_m += share * (one.sample.up_m - origin.up_m);
    mean.ee_m2 += share * one.sample.ee_m2;
    mean.en_m2 += share * one.sample.en_m2;
    mean.nn_m2 += share * one.sample.nn_m2;
    mean.uu_m2 += share * one.sample.uu_m2;
  }
  mean.east_m += origin.east_m;
  mean.north_m += origin.north_m;
  mean.up_m += origin.up_m;
  mean.ticks = offered[kFive - 1].sample.ticks;
  const Whitening whiten = Whitening::of(mean, error_scale);
  const auto steps = whiten.steps(mean.ticks);
  std::array<std::array<double, kFive>, 3> axes{};
  for (std::size_t i = 0; i < kFive; ++i) {
    const Sample& s = offered[i].sample;
    const auto at = whiten(s.east_m - origin.east_m, s.north_m - origin.north_m, s.up_m - origin.up_m);
    for (std::size_t axis = 0; axis < axes.size(); ++axis) axes[axis][i] = at[axis];
  }
  five.agree = true;
  for (std::size_t i = 0; i < axes.size(); ++i) {
    auto& axis = axes[i];
    std::sort(axis.begin(), axis.end());
    const double middle = axis[kFive / 2], most = kStepAgreement + steps[i];
    five.agree &= middle - axis.front() <= most && axis.back() - middle <= most;
  }
  return five;
}

/// How many claimed sigmas one real sigma is. It is more than one where the scatter refutes the claim; otherwise the
/// wandering of a receiver that claims too little would be taken for steps.
struct Yardstick {
  double horizontal = 1, vertical = 1;

  static Yardstick of(const Average& average) noexcept {
    const auto worth = [](const Evidence& e) { return e.scatter - 2 * e.doubt > 1 ? std::sqrt(e.scatter) : 1.0; };
    return {worth(average.horizontal_evidence()), worth(average.vertical_evidence())};
  }
};

double apart(const Sample& a, const Sample& b, double error_scale, const Yardstick& yardstick = {}) noexcept {
  Sample claim;
  claim.ee_m2 = 0.5 * (a.ee_m2 + b.ee_m2);
  claim.en_m2 = 0.5 * (a.en_m2 + b.en_m2);
  claim.nn_m2 = 0.5 * (a.nn_m2 + b.nn_m2);
  claim.uu_m2 = 0.5 * (a.uu_m2 + b.uu_m2);
  claim.ticks = {std::max(a.ticks.east_m, b.ticks.east_m), std::max(a.ticks.north_m, b.ticks.north_m),
                 std::max(a.ticks.up_m, b.ticks.up_m)};
  const Whitening whiten = Whitening::of(claim, error_scale);
  const auto steps = whiten.steps(claim.ticks);
  auto axes = whiten(a.east_m - b.east_m, a.north_m - b.north_m, a.up_m - b.up_m);
  for (std::size_t i = 0; i < axes.size(); ++i) axes[i] = std::max(0.0, std::abs(axes[i]) - steps[i]);
  return std::max(std::hypot(axes[0], axes[1]) / yardstick.horizontal, axes[2] / yardstick.vertical);
}

}  // namespace

Stay::Stay() {
  segments_.reserve(kMostSegments);
  runs_.reserve(kMostSegments);
}

const std::vector<Segment>& Stay::segments() const noexcept {
  return segments_;
}
std::int64_t Stay::interval_ms() const noexcept {
  return interval_ms_;
}
bool Stay::too_many_segments() const noexcept {
  return too_many_;
}
Estimate Stay::estimate_of(int segment) const noexcept {
  return runs_[index(segment)].average.result();
}

Placed Stay::observe(const Class& cls, const Sample& sample, std::int64_t stream_ms) {
  if (offered_class_ != cls.key) offered_count_ = 0;
  offered_class_ = cls.key;
  offer(sample, stream_ms);
  if (segments_.empty()) origin_ = sample;
  const Nearest near = nearest(cls.key, sample);
  const double distance_sigma = near.distance.scaled;
  if (near.segment < 0) return open_from(1, cls, distance_sigma);
  if (near.segment == current_ && quiet_step(near.distance, cls.scale.error_scale))
    return open_from(refused_in_a_row(), cls, distance_sigma);
  if (!OutlierGate::accepts(near.distance)) return place_five(cls, distance_sigma);
  average(near.segment, sample, stream_ms);
  offered_[offered_count_ - 1].averaged = true;
  return {Placement::averaged, near.segment, distance_sigma, 0};
}

void Stay::offer(const Sample& sample, std::int64_t stream_ms) noexcept {
  if (offered_count_ == kStep) {
    std::move(offered_.begin() + 1, offered_.end(), offered_.begin());
    --offered_count_;
  }
  offered_[offered_count_++] = {sample, stream_ms, false};
}

/// The segment last averaged into goes first: only what it refuses is offered to the others of its class.
Stay::Nearest Stay::nearest(int class_key, const Sample& sample) noexcept {
  Nearest best;
  const auto ask = [&](int segment) {
    const OutlierGate::Distance distance = runs_[index(segment)].gate.distance(sample);
    if (best.segment < 0 || distance.scaled < best.distance.scaled) best = {segment, distance};
  };
  if (current_ >= 0 && segments_[index(current_)].class_key == class_key) {
    ask(current_);
    if (OutlierGate::accepts(best.distance)) return best;
  }
  for (int segment = 0; segment < static_cast<int>(segments_.size()); ++segment)
    if (segment != current_ && segments_[index(segment)].class_key == class_key) ask(segment);
  return best;
}

/// Of five agreeing refusals: the segment whose level theirs may still be, -1 when they are a step from all.
Stay::Nearest Stay::nearest_level(int class_key, const Sample& mean, double error_scale) noexcept {
  Nearest best;
  for (int i = 0; i < static_cast<int>(segments_.size()); ++i) {
    if (segments_[index(i)].class_key != class_key) continue;
    Run& run = runs_[index(i)];
    const OutlierGate::Distance distance = run.gate.distance(mean);
    if (distance.claimed > kStepFromMedian && apart(mean, run.average.mean(), error_scale) > kStepFromMean) continue;
    if (best.segment < 0 || distance.claimed < best.distance.claimed) best = {i, distance};
  }
  return best;
}

Placed Stay::place_five(const Class& cls, double distance_sigma) {
  const Placed outlier{Placement::outlier, -1, distance_sigma, 0};
  if (refused_in_a_row() < kStep) return outlier;
  const auto five = five_of(offered_, cls.scale.error_scale);
  if (!five.agree) return outlier;
  const int level = nearest_level(cls.key, five.mean, cls.scale.error_scale).segment;
  if (level < 0) return open_from(kStep, cls, distance_sigma);
  runs_[index(level)].gate.clear();
  return settle(kStep, level, distance_sigma);
}

/// How many of the newest epochs, the one just judged included, were refused in a row.
std::size_t Stay::refused_in_a_row() const noexcept {
  std::size_t count = 0;
  while (count < offered_count_ && !offered_[offered_count_ - 1 - count].averaged) ++count;
  return count;
}

Placed Stay::open_from(std::size_t newest, const Class& cls, double distance_sigma) {
  const int segment = open(cls, offered_[offered_count_ - newest].stream_ms);
  if (segment < 0) return {Placement::outlier, -1, distance_sigma, 0};
  return settle(newest, segment, distance_sigma);
}

/// The newest offered epochs go into a segment.
Placed Stay::settle(std::size_t newest, int segment, double distance_sigma) noexcept {
  for (std::size_t i = offered_count_ - newest; i < offered_count_; ++i)
    average(segment, offered_[i].sample, offered_[i].stream_ms);
  offered_count_ = 0;
  return {Placement::averaged, segment, distance_sigma, static_cast<int>(newest) - 1};
}

/// Finds a step that the gate lets through in part because the epochs scatter as widely as the step is high. Where
/// neighbouring epochs are independent, the mean of the last five is sharp enough to show it.
bool Stay::quiet_step(const OutlierGate::Distance& distance, double error_scale) const noexcept {
  if (offered_count_ < kStep || distance.claimed < kQuietStepHint) return false;
  const auto averaged = static_cast<std::size_t>(
      std::count_if(offered_.begin(), offered_.end(), [](const Offered& o) { return o.averaged; }));
  if (averaged == 0) return false;  // five refusals have their own rule
  const OutlierGate::Recent before = runs_[index(current_)].gate.recent(averaged);
  if (before.epochs < kStep) return false;
  const double jump = apart(offered_[0].sample, before.newest, error_scale);
  const bool jumped = jump > std::max(kLeastJump, kJumpRoughness * std::sqrt(2 * before.roughness));
  if (before.roughness < kWhiteRoughness && !jumped) return false;
  const auto five = five_of(offered_, error_scale);
  return five.agree && apart(five.mean, before.mean, error_scale) > (jumped ? kQuietStepAfterJump : kQuietStep);
}

int Stay::open(const Class& cls, std::int64_t stream_ms) {
  if (segments_.size() == kMostSegments) {
    too_many_ = true;
    return -1;
  }
  segments_.push_back({cls.key, cls.rank, 0, stream_ms, stream_ms});
  runs_.push_back({Average(cls.scale, origin_), OutlierGate(cls.scale.error_scale)});
  return static_cast<int>(segments_.size()) - 1;
}

void Stay::average(int segment, const Sample& sample, std::int64_t stream_ms) noexcept {
  Segment& about = segments_[index(segment)];
  ++about.epochs;
  about.last_ms = stream_ms;
  Run& run = runs_[index(segment)];
  run.average.add(sample, static_cast<double>(stream_ms) / 1000.0);
  run.gate.accept(sample);
  const std::int64_t step_ms = stream_ms - last_ms_;
  if (current_ >= 0 && step_ms > 0 && (interval_ms_ == 0 || step_ms < interval_ms_)) interval_ms_ = step_ms;
  last_ms_ = stream_ms;
  current_ = segment;
}

bool Stay::complete(const Segment& segment, const Completion& completion) const noexcept {
  return segment.epochs >= static_cast<std::uint64_t>(std::max(completion.min_epochs, 0)) &&
         segment.last_ms - segment.first_ms + interval_ms_ >= completion.min_duration_ms;
}

/// Most epochs; the earlier one when equal.
int Stay::best_of_class(int class_key) const noexcept {
  int best = -1;
  for (int i = 0; i < static_cast<int>(segments_.size()); ++i) {
    if (segments_[index(i)].class_key != class_key) continue;
    if (best < 0 || segments_[index(i)].epochs > segments_[index(best)].epochs) best = i;
  }
  return best;
}

/// Never by the error that would be printed: the smallest of several is too small.
Conclusion Stay::conclude(const Completion& completion) const {
  Conclusion conclusion;
  bool best_complete = false;
  for (int i = 0; i < static_cast<int>(segments_.size()); ++i) {
    const Segment& segment = segments_[index(i)];
    if (best_of_class(segment.class_key) != i) continue;  // each class once
    const bool is_complete = std::any_of(segments_.begin(), segments_.end(), [&](const Segment& other) {
      return other.class_key == segment.class_key && complete(other, completion);
    });
    const auto better = [&] {
      if (conclusion.segment < 0) return true;
      if (is_complete != best_complete) return is_complete;
      const Segment& best = segments_[index(conclusion.segment)];
      if (segment.rank != best.rank) return segment.rank > best.rank;
      return segment.last_ms - segment.first_ms > best.last_ms - best.first_ms;
    };
    if (!better()) continue;
    conclusion.segment = i;
    best_complete = is_complete;
  }
  if (conclusion.segment < 0) return conclusion;
  conclusion.estimate = estimate_of(conclusion.segment);
  weigh_others(conclusion);
  return conclusion;
}

/// Joins the segments of the kept class that lie at its level, and covers those that do not.
void Stay::weigh_others(Conclusion& conclusion) const {
  const int class_key = segments_[index(conclusion.segment)].class_key;
  const Run& kept = runs_[index(conclusion.segment)];
  const Sample level = kept.average.mean();
  const double error_scale = kept.average.scale().error_scale;
  const Yardstick yardstick = Yardstick::of(kept.average);
  for (int i = 0; i < static_cast<int>(segments_.size()); ++i) {
    const Segment& other = segments_[index(i)];
    if (i == conclusion.segment || other.class_key != class_key || other.epochs < kStep) continue;
    const double distance = apart(runs_[index(i)].average.mean(), level, error_scale, yardstick);
    (distance > kSameLevel ? conclusion.disagreeing : conclusion.joined).push_back(i);
  }
  if (!conclusion.joined.empty()) {
    Average all = kept.average;
    for (const int other : conclusion.joined) all.merge(runs_[index(other)].average);
    conclusion.estimate = all.result();
  }
  const Estimate one_level = conclusion.estimate;
  for (const int other : conclusion.disagreeing) cover(conclusion, other, one_level);
}

void Stay::cover(Conclusion& conclusion, int other, const Estimate& kept) const {
  const Estimate estimate = estimate_of(other);
  const double apart_m = std::hypot(estimate.east_m - kept.east_m, estimate.north_m - kept.north_m);
  const double apart_up_m = std::abs(estimate.up_m - kept.up_m);
  conclusion.unresolved = true;
  conclusion.separation_m = std::max(conclusion.separation_m, apart_m);
  conclusion.separation_up_m = std::max(conclusion.separation_up_m, apart_up_m);
  Estimate& radii = conclusion.estimate;
  radii.error95_horizontal_m = std::max(radii.error95_horizontal_m, estimate.error95_horizontal_m + apart_m);
  radii.error95_vertical_m = std::max(radii.error95_vertical_m, estimate.error95_vertical_m + apart_up_m);
}

}  // namespace stillpoint::estimate
