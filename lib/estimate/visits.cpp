#include "estimate/visits.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace stillpoint::estimate {
namespace {

constexpr double kRadiusAllowance = 1.05;  // as for a single stay
constexpr double kNormal95 = 1.959963984540054;
constexpr double kLeast_m2 = 1e-8;  // a tenth of a millimetre: a visit that is all floor still has a weight

/// The most accurate first, each independent of those before it.
std::vector<std::size_t> chosen(std::span<const Visit> visits) {
  std::vector<std::size_t> order(visits.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return visits[a].estimate.error95_horizontal_m < visits[b].estimate.error95_horizontal_m;
  });
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

void combine_horizontal(std::span<const Visit> visits, double floor_m, Combined& out) {
  const double floor_m2 = floor_m * floor_m;
  double total = 0, ee = 0, en = 0, nn = 0;
  for (const std::size_t k : out.counted) {
    const Estimate& e = visits[k].estimate;
    const double weight = 1.0 / std::max(0.5 * (e.ee_m2 + e.nn_m2) - floor_m2, kLeast_m2);
    total += weight;
    out.east_m += weight / total * (e.east_m - out.east_m);
    out.north_m += weight / total * (e.north_m - out.north_m);
    ee += weight * weight * std::max(e.ee_m2 - floor_m2, 0.0);
    en += weight * weight * e.en_m2;
    nn += weight * weight * std::max(e.nn_m2 - floor_m2, 0.0);
  }
  ee /= total * total, en /= total * total, nn /= total * total;
  double between_m2 = 0;
  for (const std::size_t k : out.counted) {
    const Estimate& e = visits[k].estimate;
    const double weight = 1.0 / std::max(0.5 * (e.ee_m2 + e.nn_m2) - floor_m2, kLeast_m2);
    const double off_e = e.east_m - out.east_m, off_n = e.north_m - out.north_m;
    between_m2 += 0.5 * weight / total * (off_e * off_e + off_n * off_n);
  }
  const double count = static_cast<double>(out.counted.size());
  if (out.counted.size() > 1) between_m2 *= count / (count - 1);
  const double factor = growth(between_m2, std::max(0.5 * (ee + nn), kLeast_m2 / count), out.counted.size());
  out.ee_m2 = factor * ee + floor_m2;
  out.en_m2 = factor * en;
  out.nn_m2 = factor * nn + floor_m2;
  out.error95_horizontal_m = kRadiusAllowance * radius95(out.ee_m2, out.en_m2, out.nn_m2);
}

void combine_vertical(std::span<const Visit> visits, double floor_m, Combined& out) {
  const double floor_m2 = floor_m * floor_m;
  double total = 0;
  for (const std::size_t k : out.counted) {
    const double weight = 1.0 / std::max(visits[k].estimate.uu_m2 - floor_m2, kLeast_m2);
    total += weight;
    out.up_m += weight / total * (visits[k].estimate.up_m - out.up_m);
  }
  double between_m2 = 0;
  for (const std::size_t k : out.counted) {
    const double weight = 1.0 / std::max(visits[k].estimate.uu_m2 - floor_m2, kLeast_m2);
    const double off = visits[k].estimate.up_m - out.up_m;
    between_m2 += weight / total * off * off;
  }
  const double count = static_cast<double>(out.counted.size());
  if (out.counted.size() > 1) between_m2 *= count / (count - 1);
  out.uu_m2 = growth(between_m2, 1.0 / total, out.counted.size()) / total + floor_m2;
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
