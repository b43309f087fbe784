#include "estimate/stay.hpp"

#include <algorithm>
#include <cmath>

namespace stillpoint::estimate {
namespace {

constexpr double kStepAgreement = 3.0;  // sigma, of each refused epoch from their median

std::size_t index(int segment) noexcept {
  return static_cast<std::size_t>(segment);
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

const Average& Stay::average_of(int segment) const noexcept {
  return runs_[index(segment)].average;
}

Placed Stay::observe(const Class& cls, const Sample& sample, std::int64_t stream_ms) {
  if (refused_count_ > 0 && refused_class_ != cls.key) refused_count_ = 0;
  const Nearest near = nearest(cls.key, sample);
  if (near.segment >= 0) {
    average(near.segment, sample, stream_ms);
    refused_count_ = 0;
    return {Placement::averaged, near.segment, near.distance_sigma, 0};
  }
  const bool known = std::any_of(segments_.begin(), segments_.end(),
                                 [&](const Segment& segment) { return segment.class_key == cls.key; });
  if (known) return refuse(cls, sample, stream_ms, near.distance_sigma);
  const int segment = open(cls, stream_ms);
  if (segment < 0) return {Placement::outlier, -1, 0, 0};
  average(segment, sample, stream_ms);
  return {Placement::averaged, segment, 0, 0};
}

/// The segment last averaged into goes first: only what it refuses is offered to the others of its class.
Stay::Nearest Stay::nearest(int class_key, const Sample& sample) noexcept {
  Nearest best;
  bool asked = false;
  const auto ask = [&](int segment) {
    const double distance = runs_[index(segment)].gate.distance(sample);
    if (asked && distance >= best.distance_sigma) return;
    asked = true;
    best = {OutlierGate::accepts(distance) ? segment : -1, distance};
  };
  if (current_ >= 0 && segments_[index(current_)].class_key == class_key) ask(current_);
  if (best.segment >= 0) return best;
  for (int segment = 0; segment < static_cast<int>(segments_.size()); ++segment)
    if (segment != current_ && segments_[index(segment)].class_key == class_key) ask(segment);
  return best;
}

Placed Stay::refuse(const Class& cls, const Sample& sample, std::int64_t stream_ms, double distance_sigma) {
  if (refused_count_ == kStep) {
    std::rotate(refused_.begin(), refused_.begin() + 1, refused_.end());
    --refused_count_;
  }
  refused_class_ = cls.key;
  refused_[refused_count_++] = {sample, stream_ms};
  Placed placed{Placement::outlier, -1, distance_sigma, 0};
  if (refused_count_ < kStep || !refused_agree(cls.scale.error_scale)) return placed;
  placed.segment = open(cls, refused_[0].stream_ms);
  if (placed.segment < 0) return placed;
  for (const Refused& refused : refused_) average(placed.segment, refused.sample, refused.stream_ms);
  refused_count_ = 0;
  placed.placement = Placement::averaged;
  placed.moved_from_outlier = static_cast<int>(kStep) - 1;
  return placed;
}

bool Stay::refused_agree(double error_scale) const noexcept {
  Sample mean;
  const double share = 1.0 / static_cast<double>(kStep);
  for (const Refused& refused : refused_) {
    mean.ee_m2 += share * refused.sample.ee_m2;
    mean.en_m2 += share * refused.sample.en_m2;
    mean.nn_m2 += share * refused.sample.nn_m2;
    mean.uu_m2 += share * refused.sample.uu_m2;
  }
  const Whitening whiten = Whitening::of(mean.ee_m2, mean.en_m2, mean.nn_m2, mean.uu_m2, error_scale);
  const Sample& origin = refused_[0].sample;
  std::array<std::array<double, kStep>, 3> axes;
  for (std::size_t i = 0; i < kStep; ++i) {
    const Sample& s = refused_[i].sample;
    const auto at = whiten(s.east_m - origin.east_m, s.north_m - origin.north_m, s.up_m - origin.up_m);
    for (std::size_t axis = 0; axis < axes.size(); ++axis) axes[axis][i] = at[axis];
  }
  return std::all_of(axes.begin(), axes.end(), [](auto& axis) {
    std::sort(axis.begin(), axis.end());
    const double middle = axis[kStep / 2];
    return middle - axis.front() <= kStepAgreement && axis.back() - middle <= kStepAgreement;
  });
}

int Stay::open(const Class& cls, std::int64_t stream_ms) {
  if (segments_.size() == kMostSegments) {
    too_many_ = true;
    return -1;
  }
  segments_.push_back({cls.key, cls.rank, 0, stream_ms, stream_ms});
  runs_.push_back({Average(cls.scale), OutlierGate(cls.scale.error_scale)});
  return static_cast<int>(segments_.size()) - 1;
}

void Stay::average(int segment, const Sample& sample, std::int64_t stream_ms) noexcept {
  Segment& about = segments_[index(segment)];
  ++about.epochs;
  about.last_ms = stream_ms;
  Run& run = runs_[index(segment)];
  run.average.add(sample);
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

Conclusion Stay::conclude(const Completion& completion) const {
  Conclusion conclusion;
  bool best_complete = false;
  for (int i = 0; i < static_cast<int>(segments_.size()); ++i) {
    const Segment& segment = segments_[index(i)];
    if (best_of_class(segment.class_key) != i) continue;  // each class once
    const bool is_complete = std::any_of(segments_.begin(), segments_.end(), [&](const Segment& other) {
      return other.class_key == segment.class_key && complete(other, completion);
    });
    const Estimate estimate = estimate_of(i);
    const auto better = [&] {
      if (conclusion.segment < 0) return true;
      if (is_complete != best_complete) return is_complete;
      const int rank = segments_[index(conclusion.segment)].rank;
      if (segment.rank != rank) return segment.rank > rank;
      return estimate.error95_horizontal_m < conclusion.estimate.error95_horizontal_m;
    };
    if (!better()) continue;
    conclusion.segment = i;
    conclusion.estimate = estimate;
    best_complete = is_complete;
  }
  if (conclusion.segment >= 0) cover_disagreeing(conclusion);
  return conclusion;
}

void Stay::cover_disagreeing(Conclusion& conclusion) const {
  const Estimate kept = conclusion.estimate;
  const int class_key = segments_[index(conclusion.segment)].class_key;
  for (int i = 0; i < static_cast<int>(segments_.size()); ++i) {
    const Segment& other = segments_[index(i)];
    if (i == conclusion.segment || other.class_key != class_key || other.epochs < kStep) continue;
    const Estimate estimate = estimate_of(i);
    const double apart_m = std::hypot(estimate.east_m - kept.east_m, estimate.north_m - kept.north_m);
    const double apart_up_m = std::abs(estimate.up_m - kept.up_m);
    conclusion.unresolved = true;
    conclusion.disagreeing.push_back(i);
    conclusion.separation_m = std::max(conclusion.separation_m, apart_m);
    conclusion.estimate.error95_horizontal_m =
        std::max(conclusion.estimate.error95_horizontal_m, estimate.error95_horizontal_m + apart_m);
    conclusion.estimate.error95_vertical_m =
        std::max(conclusion.estimate.error95_vertical_m, estimate.error95_vertical_m + apart_up_m);
  }
}

}  // namespace stillpoint::estimate
