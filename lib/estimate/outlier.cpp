#include "estimate/outlier.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <span>

namespace stillpoint::estimate {
namespace {

constexpr double kNormalPerMad = 1.4826;  // Hampel: makes the median absolute deviation a normal sigma
constexpr double kLeastScale = 0.6, kMostScale = 1.0;
constexpr double kLeast_m2 = 1e-6;

/// Shapes closer than this are one: what rounding does to equal claims.
constexpr double kSameShape = 1e-9;

double median(std::span<const double> rising) noexcept {
  const std::size_t n = rising.size();
  return n % 2 == 1 ? rising[n / 2] : 0.5 * (rising[n / 2 - 1] + rising[n / 2]);
}

/// The k-th smallest distance of rising values from `about` is that of the narrowest run of k neighbours. From one run
/// to the next the left end comes nearer and the right end goes farther, so the search ends at the first run that
/// reaches as far to the right as to the left.
double smallest_distance(std::span<const double> rising, double about, std::size_t k) noexcept {
  double least = std::numeric_limits<double>::infinity();
  for (std::size_t first = 0; first + k <= rising.size(); ++first) {
    const double left = about - rising[first], right = rising[first + k - 1] - about;
    if (right >= left) return std::min(least, right);
    least = left;
  }
  return least;
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

Whitening Whitening::of(const Sample& sample, double error_scale) noexcept {
  const double share = 1.0 / (12.0 * error_scale * error_scale);  // the scale does not multiply digits
  const Ticks& t = sample.ticks;
  return of(sample.ee_m2 + share * t.east_m * t.east_m, sample.en_m2, sample.nn_m2 + share * t.north_m * t.north_m,
            sample.uu_m2 + share * t.up_m * t.up_m, error_scale);
}

std::array<double, 3> Whitening::steps_m(const Ticks& ticks) const noexcept {
  return {ticks.east_m, ticks.north_m + std::abs(east_into_north) * ticks.east_m, ticks.up_m};
}

std::array<double, 3> Whitening::steps(const Ticks& ticks) const noexcept {
  const auto metres = steps_m(ticks);
  return {metres[0] * east_per_m, metres[1] * north_per_m, metres[2] * up_per_m};
}

OutlierGate::OutlierGate(double error_scale) noexcept : error_scale_(error_scale) {}

void OutlierGate::Axis::insert(std::size_t count, double value_m) noexcept {
  std::size_t at = count;
  for (; at > 0 && rising[at - 1] > value_m; --at) rising[at] = rising[at - 1];
  rising[at] = value_m;
}

/// Written without a branch, because nobody can foretell where the value stands. Each place gets the middle one of
/// three values: the new value, and the two that stand about this place without the old one. No place waits for the one
/// before it.
void OutlierGate::Axis::replace(double old_m, double value_m) noexcept {
  constexpr double kBeyond = std::numeric_limits<double>::infinity();
  // NOLINTNEXTLINE(cppcoreguidelines-pro-type-member-init): every place is written below
  std::array<double, kWindow + 1> without;  // from one in front of the first place to the last one
  without[0] = -kBeyond;
  for (std::size_t i = 0; i + 1 < kWindow; ++i) {
    const double here = rising[i], behind = rising[i + 1];
    without[i + 1] = here < old_m ? here : behind;
  }
  without[kWindow] = rising.back() < old_m ? rising.back() : kBeyond;
  for (std::size_t i = 0; i < kWindow; ++i) {
    const double in_front = without[i], here = without[i + 1];
    const double low = value_m < here ? value_m : here;
    rising[i] = in_front < low ? low : in_front;
  }
}

void OutlierGate::Axis::measure(std::size_t count) noexcept {
  const std::span<const double> values(rising.data(), count);
  median_m = median(values);
  deviation_m = smallest_distance(values, median_m, count / 2 + 1);
  if (count % 2 == 0) deviation_m = 0.5 * (deviation_m + smallest_distance(values, median_m, count / 2));
}

void OutlierGate::sum_claims() noexcept {
  Sample sum;
  for (const Sample& each : std::span(window_).first(count_)) {
    sum.ee_m2 += each.ee_m2;
    sum.en_m2 += each.en_m2;
    sum.nn_m2 += each.nn_m2;
    sum.uu_m2 += each.uu_m2;
  }
  claims_ = sum;
}

Whitening OutlierGate::whitening(const Sample& sample) const noexcept {
  const double share = 1.0 / static_cast<double>(count_);
  const bool own = sample.ee_m2 + sample.nn_m2 >= (1 - kSameShape) * share * (claims_.ee_m2 + claims_.nn_m2);
  Sample claim = sample;
  claim.uu_m2 = std::max(sample.uu_m2, share * claims_.uu_m2);
  if (!own) {
    claim.ee_m2 = share * claims_.ee_m2;
    claim.en_m2 = share * claims_.en_m2;
    claim.nn_m2 = share * claims_.nn_m2;
  }
  return Whitening::of(claim, error_scale_);
}

/// Sorts the second axis anew for another shape of claim.
void OutlierGate::turn_to(double east_into_north) noexcept {
  if (std::abs(east_into_north - east_into_north_) <= kSameShape) return;
  east_into_north_ = east_into_north;
  for (std::size_t i = 0; i < count_; ++i) across_.insert(i, across_m(window_[i]));
  across_.measure(count_);
}

OutlierGate::Deviation OutlierGate::deviation(const Axis& axis, double value_m, double per_m,
                                              double step_m) const noexcept {
  const double claimed = std::max(0.0, std::abs(value_m - axis.median_m) - step_m) * per_m;
  const double scale =
      count_ < kFirst ? kMostScale : std::clamp(kNormalPerMad * axis.deviation_m * per_m, kLeastScale, kMostScale);
  return {claimed / scale, claimed};
}

OutlierGate::Distance OutlierGate::distance(const Sample& sample) noexcept {
  if (count_ == 0) return {};
  const Whitening whiten = whitening(sample);
  turn_to(whiten.east_into_north);
  const double east_m = sample.east_m - origin_.east_m, north_m = sample.north_m - origin_.north_m;
  const auto steps_m = whiten.steps_m(sample.ticks);
  const Deviation east = deviation(east_, east_m, whiten.east_per_m, steps_m[0]);
  const Deviation across = deviation(across_, north_m - east_into_north_ * east_m, whiten.north_per_m, steps_m[1]);
  const Deviation up = deviation(up_, sample.up_m - origin_.up_m, whiten.up_per_m, steps_m[2]);
  return {std::max(std::sqrt(east.scaled * east.scaled + across.scaled * across.scaled), up.scaled),
          std::max(std::sqrt(east.claimed * east.claimed + across.claimed * across.claimed), up.claimed)};
}

void OutlierGate::accept(const Sample& sample) noexcept {
  if (count_ == 0) origin_ = sample;
  Sample fresh = sample;
  fresh.east_m -= origin_.east_m;
  fresh.north_m -= origin_.north_m;
  fresh.up_m -= origin_.up_m;
  if (count_ == kWindow) {
    const Sample& oldest = window_[next_];
    east_.replace(oldest.east_m, fresh.east_m);
    across_.replace(across_m(oldest), across_m(fresh));
    up_.replace(oldest.up_m, fresh.up_m);
  } else {
    east_.insert(count_, fresh.east_m);
    across_.insert(count_, across_m(fresh));
    up_.insert(count_, fresh.up_m);
    ++count_;
  }
  window_[next_] = fresh;
  next_ = (next_ + 1) % kWindow;
  east_.measure(count_);
  across_.measure(count_);
  up_.measure(count_);
  sum_claims();
}

void OutlierGate::clear() noexcept {
  count_ = next_ = 0;
}

OutlierGate::Recent OutlierGate::recent(std::size_t without) const noexcept {
  Recent recent;
  if (count_ <= without) return recent;
  recent.epochs = count_ - without;
  const std::size_t oldest = count_ < kWindow ? 0 : next_;
  const auto at = [&](std::size_t age) -> const Sample& { return window_[(oldest + age) % kWindow]; };
  const double share = 1.0 / static_cast<double>(recent.epochs);
  Sample& mean = recent.mean;
  mean = origin_;
  mean.ee_m2 = mean.en_m2 = mean.nn_m2 = mean.uu_m2 = 0;
  for (std::size_t i = 0; i < recent.epochs; ++i) {
    const Sample& s = at(i);
    mean.east_m += share * s.east_m;
    mean.north_m += share * s.north_m;
    mean.up_m += share * s.up_m;
    mean.ee_m2 += share * s.ee_m2;
    mean.en_m2 += share * s.en_m2;
    mean.nn_m2 += share * s.nn_m2;
    mean.uu_m2 += share * s.uu_m2;
  }
  mean.ticks = at(recent.epochs - 1).ticks;
  const Whitening whiten = Whitening::of(mean, error_scale_);
  double squares = 0;
  for (std::size_t i = 1; i < recent.epochs; ++i) {
    const Sample &s = at(i), &before = at(i - 1);
    for (const double step : whiten(s.east_m - before.east_m, s.north_m - before.north_m, s.up_m - before.up_m))
      squares += step * step;
  }
  recent.newest = at(recent.epochs - 1);
  recent.newest.east_m += origin_.east_m;
  recent.newest.north_m += origin_.north_m;
  recent.newest.up_m += origin_.up_m;
  if (recent.epochs > 1) recent.roughness = squares / (6.0 * static_cast<double>(recent.epochs - 1));
  return recent;
}

}  // namespace stillpoint::estimate
