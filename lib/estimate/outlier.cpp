#include "estimate/outlier.hpp"

#include <algorithm>
#include <cmath>
#include <span>

namespace stillpoint::estimate {
namespace {

constexpr double kNormalPerMad = 1.4826;  // Hampel: makes the median absolute deviation a normal sigma
constexpr double kLeastScale = 0.6, kMostScale = 1.0;
constexpr double kLeast_m2 = 1e-6;

double median(std::span<const double> rising) noexcept {
  const std::size_t n = rising.size();
  return n % 2 == 1 ? rising[n / 2] : 0.5 * (rising[n / 2 - 1] + rising[n / 2]);
}

/// Of rising values about their median: merges the two sides outward, so nothing needs sorting again.
double median_absolute_deviation(std::span<const double> rising, double about) noexcept {
  const std::size_t n = rising.size();
  std::size_t right = n / 2;  // first value not left of the median
  std::size_t left = right;   // one past the next value to the left
  double before = 0, last = 0;
  for (std::size_t taken = 0; taken <= n / 2; ++taken) {
    before = last;
    const bool from_left = left > 0 && (right == n || about - rising[left - 1] <= rising[right] - about);
    last = from_left ? about - rising[--left] : rising[right++] - about;
  }
  return n % 2 == 1 ? last : 0.5 * (before + last);
}

double scale_of(std::span<const double> rising, double middle) noexcept {
  return std::clamp(kNormalPerMad * median_absolute_deviation(rising, middle), kLeastScale, kMostScale);
}

double larger(const std::array<double, 3>& axes) noexcept {
  return std::max(std::hypot(axes[0], axes[1]), std::abs(axes[2]));
}

using Slots = std::array<std::uint8_t, OutlierGate::kWindow>;
using Values = std::array<double, OutlierGate::kWindow>;

/// Insertion sort of the slots by their values, starting from the order of the epoch before.
void sort_by(const Values& values, Slots& order, Values& rising, std::size_t count) noexcept {
  for (std::size_t i = 0; i < count; ++i) {
    const std::uint8_t slot = order[i];
    const double value = values[slot];
    std::size_t at = i;
    for (; at > 0 && rising[at - 1] > value; --at) {
      rising[at] = rising[at - 1];
      order[at] = order[at - 1];
    }
    rising[at] = value;
    order[at] = slot;
  }
}

}  // namespace

Whitening Whitening::of(double ee_m2, double en_m2, double nn_m2, double uu_m2, double error_scale) noexcept {
  const double ee = std::max(ee_m2, kLeast_m2);
  const double slope = en_m2 / ee;
  const double nn = std::max(nn_m2 - slope * en_m2, kLeast_m2);
  const double uu = std::max(uu_m2, kLeast_m2);
  return {1.0 / (error_scale * std::sqrt(ee)), 1.0 / (error_scale * std::sqrt(nn)), slope,
          1.0 / (error_scale * std::sqrt(uu))};
}

OutlierGate::OutlierGate(double error_scale) noexcept : error_scale_(error_scale) {}

Whitening OutlierGate::whitening(const Sample& sample) const noexcept {
  Sample sum;
  for (std::size_t i = 0; i < count_; ++i) {
    sum.ee_m2 += window_[i].ee_m2;
    sum.en_m2 += window_[i].en_m2;
    sum.nn_m2 += window_[i].nn_m2;
    sum.uu_m2 += window_[i].uu_m2;
  }
  const double share = 1.0 / static_cast<double>(count_);
  const bool own = sample.ee_m2 + sample.nn_m2 >= share * (sum.ee_m2 + sum.nn_m2);
  const double uu_m2 = std::max(sample.uu_m2, share * sum.uu_m2);
  if (own) return Whitening::of(sample.ee_m2, sample.en_m2, sample.nn_m2, uu_m2, error_scale_);
  return Whitening::of(share * sum.ee_m2, share * sum.en_m2, share * sum.nn_m2, uu_m2, error_scale_);
}

OutlierGate::Distance OutlierGate::distance(const Sample& sample) noexcept {
  if (count_ == 0) return {};
  const Whitening whiten = whitening(sample);
  // Relative to the judged epoch, which so lies at zero on every axis.
  std::array<Values, kAxes> whitened;
  for (std::size_t i = 0; i < count_; ++i) {
    const Sample& known = window_[i];
    const auto at = whiten(known.east_m - sample.east_m, known.north_m - sample.north_m, known.up_m - sample.up_m);
    for (std::size_t axis = 0; axis < kAxes; ++axis) whitened[axis][i] = at[axis];
  }
  std::array<double, kAxes> claimed{}, scaled{};
  for (std::size_t axis = 0; axis < kAxes; ++axis) {
    Values rising{};
    sort_by(whitened[axis], order_[axis], rising, count_);
    const std::span<const double> sorted(rising.data(), count_);
    const double middle = median(sorted);
    claimed[axis] = middle;
    scaled[axis] = middle / (count_ < kFirst ? kMostScale : scale_of(sorted, middle));
  }
  return {larger(scaled), larger(claimed)};
}

void OutlierGate::accept(const Sample& sample) noexcept {
  if (count_ < kWindow) {
    for (auto& order : order_) order[count_] = static_cast<std::uint8_t>(count_);
    window_[count_++] = sample;
    return;
  }
  window_[next_] = sample;
  next_ = (next_ + 1) % kWindow;
}

void OutlierGate::clear() noexcept {
  count_ = next_ = 0;
}

OutlierGate::Recent OutlierGate::recent(std::size_t without) const noexcept {
  Recent recent;
  if (count_ <= without) return recent;
  recent.epochs = count_ - without;
  const auto at = [&](std::size_t age) -> const Sample& { return window_[(next_ + age) % count_]; };  // oldest first
  const double share = 1.0 / static_cast<double>(recent.epochs);
  const Sample& origin = at(0);
  Sample& mean = recent.mean;
  for (std::size_t i = 0; i < recent.epochs; ++i) {
    const Sample& s = at(i);
    mean.east_m += share * (s.east_m - origin.east_m);
    mean.north_m += share * (s.north_m - origin.north_m);
    mean.up_m += share * (s.up_m - origin.up_m);
    mean.ee_m2 += share * s.ee_m2;
    mean.en_m2 += share * s.en_m2;
    mean.nn_m2 += share * s.nn_m2;
    mean.uu_m2 += share * s.uu_m2;
  }
  mean.east_m += origin.east_m;
  mean.north_m += origin.north_m;
  mean.up_m += origin.up_m;
  const Whitening whiten = Whitening::of(mean.ee_m2, mean.en_m2, mean.nn_m2, mean.uu_m2, error_scale_);
  double squares = 0;
  for (std::size_t i = 1; i < recent.epochs; ++i) {
    const Sample &s = at(i), &before = at(i - 1);
    for (const double step : whiten(s.east_m - before.east_m, s.north_m - before.north_m, s.up_m - before.up_m))
      squares += step * step;
  }
  if (recent.epochs > 1) recent.roughness = squares / (2.0 * kAxes * static_cast<double>(recent.epochs - 1));
  return recent;
}

}  // namespace stillpoint::estimate
