#include "estimate/visits.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace stillpoint::estimate {
namespace {

constexpr double kRadiusAllowance = 1.05;  // as for a single stay
constexpr double kNormal95 = 1.959963984540054;
constexpr double kLeast_m2 = 1e-8;  // a tenth of a millimetre: a visit that is all floor still has a weight

constexpr double kLastingPlan_s = 17 * 60, kLastingHeight_s = 36 * 60;
constexpr double kLeastCommon = 0.1;

/// The longest first, each independent of those before it.
std::vector<std::size_t> chosen(std::span<const Visit> visits) {
  std::vector<std::size_t> order(visits.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return visits[a].counted_s > visits[b].counted_s; });
  std::vector<std::size_t> counted;
  for (const std::size_t candidate : order) {
    const bool alone = std::all_of(counted.begin(), counted.end(),
                                   [&](std::size_t other) { return independent(visits[candidate], visits[other]); });
    if (alone) counted.push_back(candidate);
  }
  return counted;
}

/// How much larger the variance of the mean must be than propagated: what the visits' scatter shows, over their number.
double growth(double between_m2, double propagated_m2, std::size_t visits) {
  return std::max(1.0, between_m2 / (static_cast<double>(visits) * propagated_m2));
}

/// The part of their errors that two visits have in common.
double common(const Visit& a, const Visit& b, double lasting_s) noexcept {
  const auto apart_ms = std::max(b.first.ms - a.last.ms, a.first.ms - b.last.ms);
  return std::max(kLeastCommon, std::exp(-static_cast<double>(apart_ms) / (1000.0 * lasting_s)));
}

/// What each counted visit weighs in the mean; together 1.
template <class Variance>
std::vector<double> weights_of(const std::vector<std::size_t>& counted, const Variance& variance_m2) {
  std::vector<double> weights;
  double total = 0;
  for (const std::size_t k : counted) total += weights.emplace_back(1.0 / std::max(variance_m2(k), kLeast_m2));
  for (double& weight : weights) weight /= total;
  return weights;
}

/// How much of each visit's own covariance is in that of the mean: Σ a_i² C_i + Σ a_i a_j ρ_ij (C_i + C_j), i < j.
std::vector<double> parts_of(std::span<const Visit> visits, const std::vector<std::size_t>& counted,
                             const std::vector<double>& weights, double lasting_s) {
  std::vector<double> parts;
  for (std::size_t i = 0; i < counted.size(); ++i) {
    double part = weights[i] * weights[i];
    for (std::size_t j = 0; j < counted.size(); ++j) {
      if (j != i) part += weights[i] * weights[j] * common(visits[counted[i]], visits[counted[j]], lasting_s);
    }
    parts.push_back(part);
  }
  return parts;
}

/// Weighted variance of the visits about their mean, as of one visit. `off2_m2`: square of its distance, per axis.
template <class Off2>
double between(const std::vector<std::size_t>& counted, const std::vector<double>& weights, const Off2& off2_m2) {
  if (counted.size() < 2) return 0;
  const double count = static_cast<double>(counted.size());
  double between_m2 = 0;
  for (std::size_t i = 0; i < counted.size(); ++i) between_m2 += weights[i] * off2_m2(counted[i]);
  return between_m2 * count / (count - 1);
}

void combine_horizontal(std::span<const Visit> visits, double floor_m, Combined& out) {
  const double floor_m2 = floor_m * floor_m;
  const auto& counted = out.counted;
  const auto weights = weights_of(counted, [&](std::size_t k) {
    const Estimate& e = visits[k].estimate;
    return 0.5 * (e.ee_m2 + e.nn_m2) - floor_m2;
  });
  const auto parts = parts_of(visits, counted, weights, kLastingPlan_s);
  double ee = 0, en = 0, nn = 0;
  for (std::size_t i = 0; i < counted.size(); ++i) {
    const Estimate& e = visits[counted[i]].estimate;
    out.east_m += weights[i] * e.east_m;
    out.north_m += weights[i] * e.north_m;
    ee += parts[i] * std::max(e.ee_m2 - floor_m2, 0.0);
    en += parts[i] * e.en_m2;
    nn += parts[i] * std::max(e.nn_m2 - floor_m2, 0.0);
  }
  const double between_m2 = between(counted, weights, [&](std::size_t k) {
    const double off_e = visits[k].estimate.east_m - out.east_m, off_n = visits[k].estimate.north_m - out.north_m;
    return 0.5 * (off_e * off_e + off_n * off_n);
  });
  const double least_m2 = kLeast_m2 / static_cast<double>(counted.size());
  const double factor = growth(between_m2, std::max(0.5 * (ee + nn), least_m2), counted.size());
  out.ee_m2 = factor * ee + floor_m2;
  out.en_m2 = factor * en;
  out.nn_m2 = factor * nn + floor_m2;
  out.error95_horizontal_m = kRadiusAllowance * radius95(out.ee_m2, out.en_m2, out.nn_m2);
}

void combine_vertical(std::span<const Visit> visits, double floor_m, Combined& out) {
  const double floor_m2 = floor_m * floor_m;
  const auto& counted = out.counted;
  const auto own_m2 = [&](std::size_t k) { return std::max(visits[k].estimate.uu_m2 - floor_m2, kLeast_m2); };
  const auto weights = weights_of(counted, own_m2);
  const auto parts = parts_of(visits, counted, weights, kLastingHeight_s);
  double uu = 0;
  for (std::size_t i = 0; i < counted.size(); ++i) {
    out.up_m += weights[i] * visits[counted[i]].estimate.up_m;
    uu += parts[i] * own_m2(counted[i]);
  }
  const double between_m2 = between(counted, weights, [&](std::size_t k) {
    const double off = visits[k].estimate.up_m - out.up_m;
    return off * off;
  });
  out.uu_m2 = growth(between_m2, uu, counted.size()) * uu + floor_m2;
  out.error95_vertical_m = kRadiusAllowance * kNormal95 * std::sqrt(out.uu_m2);
}

void compare(std::span<const Visit> visits, Combined& out) {
  for (const std::size_t i : out.counted) {
    for (const std::size_t k : out.counted) {
      const Estimate &a = visits[i].estimate, &b = visits[k].estimate;
      const double apart_m = std::hypot(a.east_m - b.east_m, a.north_m - b.north_m);
      const double apart_up_m = std::abs(a.up_m - b.up_m);
      const double allowed_m = kDisagreement * std::hypot(a.error95_horizontal_m, b.error95_horizontal_m);
      const double allowed_up_m = kDisagreement * std::hypot(a.error95_vertical_m, b.error95_vertical_m);
      out.separation_m = std::max(out.separation_m, apart_m);
      out.separation_up_m = std::max(out.separation_up_m, apart_up_m);
      out.disagree |= i != k && (apart_m > allowed_m || apart_up_m > allowed_up_m);
    }
  }
}

}  // namespace

bool independent(const Visit& a, const Visit& b) noexcept {
  if (a.initialization == b.initialization) return false;
  return b.first.ms - a.last.ms >= kIndependentAfter_ms || a.first.ms - b.last.ms >= kIndependentAfter_ms;
}

std::optional<UtcTime> next_counts_from(std::span<const Visit> visits) noexcept {
  if (visits.empty()) return std::nullopt;
  const auto latest =
      std::max_element(visits.begin(), visits.end(), [](const Visit& a, const Visit& b) { return a.last < b.last; });
  return UtcTime{latest->last.ms + kIndependentAfter_ms};
}

std::optional<Combined> combine(std::span<const Visit> visits, const CommonFloor& floor) {
  if (visits.empty()) return std::nullopt;
  Combined out;
  out.counted = chosen(visits);
  combine_horizontal(visits, floor.horizontal_m, out);
  combine_vertical(visits, floor.vertical_m, out);
  compare(visits, out);
  return out;
}

}  // namespace stillpoint::estimate
