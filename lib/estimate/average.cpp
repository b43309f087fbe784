#include "estimate/average.hpp"

#include <algorithm>
#include <cmath>

namespace stillpoint::estimate {
namespace {

/// A receiver prints its error in whole millimetres, so a claim below one is not a statement, and a zero would weigh
/// infinitely. Only a numerical guard: what the averaged error may not go below is `Scale`'s floor, added at the end.
constexpr double kLeast_m2 = 1e-6;
/// Keeps a needle-thin ellipse invertible.
constexpr double kThinnest_m2 = 0.25e-6;

constexpr double kRadiusAllowance = 1.05;  // v is itself estimated
constexpr double kNormal95 = 1.959963984540054;

struct Covariance {
  double ee, en, nn;
};

Covariance guarded(const Sample& sample) noexcept {
  const double ee = std::max(sample.ee_m2, kLeast_m2);
  const double nn = std::max(sample.nn_m2, kLeast_m2);
  const double most_squared = (ee - kThinnest_m2) * (nn - kThinnest_m2);
  if (sample.en_m2 * sample.en_m2 <= most_squared) return {ee, sample.en_m2, nn};
  return {ee, std::copysign(std::sqrt(most_squared), sample.en_m2), nn};
}

/// Of an error spread evenly over one step of the last digit.
double uniform_variance(double tick_m) noexcept {
  return tick_m * tick_m / 12.0;
}

/// The last digit is worth more than the claimed sigma.
bool are_coarse(double digits_m2, double claim_m2) noexcept {
  return 12.0 * digits_m2 > claim_m2;
}

Motion motion_of(const Course& course, const Share& share, double claim_m2) noexcept {
  if (!share.drifting) return {};
  return {share.drifting, course.drift_m(), std::sqrt(course.excursion({1, 0, 1})), course.duration_s(),
          std::sqrt(claim_m2)};
}

}  // namespace

Average::Average(const Scale& scale) noexcept : scale_(scale) {}

Average::Average(const Scale& scale, const Sample& origin) noexcept : scale_(scale) {
  set_origin(origin);
}

void Average::set_origin(const Sample& origin) noexcept {
  has_origin_ = true;
  origin_east_m_ = origin.east_m;
  origin_north_m_ = origin.north_m;
  origin_up_m_ = origin.up_m;
}

std::uint64_t Average::epochs() const noexcept {
  return epochs_;
}

Sample Average::mean() const noexcept {
  const Horizontal& h = horizontal_;
  return {origin_east_m_ + h.east_m,
          origin_north_m_ + h.north_m,
          origin_up_m_ + vertical_.up_m,
          h.claimed_ee / h.weight_per_m2,
          h.claimed_en / h.weight_per_m2,
          h.claimed_nn / h.weight_per_m2,
          vertical_.claimed / vertical_.weight_per_m2,
          ticks()};
}

/// Root mean squares: what the digits' variances come to.
Ticks Average::ticks() const noexcept {
  const auto tick = [](double sum, double weight) { return std::sqrt(12.0 * sum / weight); };
  return {tick(horizontal_.digits_ee, horizontal_.weight_per_m2),
          tick(horizontal_.digits_nn, horizontal_.weight_per_m2), tick(vertical_.digits, vertical_.weight_per_m2)};
}

void Average::add(const Sample& sample, double time_s) noexcept {
  if (!has_origin_) set_origin(sample);
  ++epochs_;
  add_horizontal(sample, time_s);
  add_vertical(sample, time_s);
}

void Average::add_horizontal(const Sample& sample, double time_s) noexcept {
  const double east_m = sample.east_m - origin_east_m_;
  const double north_m = sample.north_m - origin_north_m_;
  const Covariance claim = guarded(sample);
  const double weight = 2.0 / (claim.ee + claim.nn);
  Horizontal& h = horizontal_;
  const double before = h.weight_per_m2;
  h.weight_per_m2 += weight;
  const double share = weight / h.weight_per_m2;
  const double off_e = east_m - h.east_m, off_n = north_m - h.north_m;
  h.east_m += share * off_e;
  h.north_m += share * off_n;
  const double keep = before * share;
  h.comoment_ee += keep * off_e * off_e;
  h.comoment_en += keep * off_e * off_n;
  h.comoment_nn += keep * off_n * off_n;
  h.claimed_ee += weight * claim.ee;
  h.claimed_en += weight * claim.en;
  h.claimed_nn += weight * claim.nn;
  h.digits_ee += weight * uniform_variance(sample.ticks.east_m);
  h.digits_nn += weight * uniform_variance(sample.ticks.north_m);
  course_.add(time_s, weight, east_m, north_m);
  horizontal_levels_.add({east_m, north_m, east_m * east_m, east_m * north_m, north_m * north_m});
}

void Average::add_vertical(const Sample& sample, double time_s) noexcept {
  const double up_m = sample.up_m - origin_up_m_;
  const double claim_m2 = std::max(sample.uu_m2, kLeast_m2);
  const double weight = 1.0 / claim_m2;
  Vertical& v = vertical_;
  const double before = v.weight_per_m2;
  v.weight_per_m2 += weight;
  const double share = weight / v.weight_per_m2;
  const double off = up_m - v.up_m;
  v.up_m += share * off;
  v.comoment += before * share * off * off;
  v.claimed += 1.0;  // weight · claim
  v.digits += weight * uniform_variance(sample.ticks.up_m);
  course_up_.add(time_s, weight, up_m, 0);
  vertical_levels_.add({up_m, up_m * up_m});
}

void Average::merge(const Average& other) {
  if (other.epochs_ == 0) return;
  epochs_ += other.epochs_;
  Horizontal& h = horizontal_;
  const Horizontal& o = other.horizontal_;
  const double share = o.weight_per_m2 / (h.weight_per_m2 + o.weight_per_m2);
  const double keep = h.weight_per_m2 * share;
  const double off_e = o.east_m - h.east_m, off_n = o.north_m - h.north_m;
  h.comoment_ee += o.comoment_ee + keep * off_e * off_e;
  h.comoment_en += o.comoment_en + keep * off_e * off_n;
  h.comoment_nn += o.comoment_nn + keep * off_n * off_n;
  h.east_m += share * off_e;
  h.north_m += share * off_n;
  h.weight_per_m2 += o.weight_per_m2;
  h.claimed_ee += o.claimed_ee;
  h.claimed_en += o.claimed_en;
  h.claimed_nn += o.claimed_nn;
  h.digits_ee += o.digits_ee;
  h.digits_nn += o.digits_nn;
  course_.join(other.course_);
  course_up_.join(other.course_up_);
  horizontal_levels_.merge(other.horizontal_levels_);
  merge_vertical(other);
}

void Average::merge_vertical(const Average& other) noexcept {
  Vertical& v = vertical_;
  const Vertical& o = other.vertical_;
  const double share = o.weight_per_m2 / (v.weight_per_m2 + o.weight_per_m2);
  const double off = o.up_m - v.up_m;
  v.comoment += o.comoment + v.weight_per_m2 * share * off * off;
  v.up_m += share * off;
  v.weight_per_m2 += o.weight_per_m2;
  v.claimed += o.claimed;
  v.digits += o.digits;
  vertical_levels_.merge(other.vertical_levels_);
}

Estimate Average::result() const noexcept {
  Estimate estimate;
  if (epochs_ == 0) return estimate;
  estimate.epochs = epochs_;
  conclude_horizontal(estimate);
  conclude_vertical(estimate);
  return estimate;
}

Average::Claim Average::claim_horizontal() const noexcept {
  const Horizontal& h = horizontal_;
  const double factor = scale_.error_scale * scale_.error_scale / h.weight_per_m2;
  return {factor * h.claimed_ee, factor * h.claimed_en, factor * h.claimed_nn};
}

double Average::claim_vertical_m2() const noexcept {
  return scale_.error_scale * scale_.error_scale * vertical_.claimed / vertical_.weight_per_m2;
}

Form Average::inverse_horizontal() const noexcept {
  const Horizontal& h = horizontal_;
  const Claim claim = claim_horizontal();
  const double ee_m2 = claim.ee_m2 + h.digits_ee / h.weight_per_m2;
  const double nn_m2 = claim.nn_m2 + h.digits_nn / h.weight_per_m2;
  const double determinant = ee_m2 * nn_m2 - claim.en_m2 * claim.en_m2;
  return {nn_m2 / determinant, -claim.en_m2 / determinant, ee_m2 / determinant};
}

Form Average::inverse_vertical() const noexcept {
  return {1.0 / (claim_vertical_m2() + vertical_.digits / vertical_.weight_per_m2), 0, 0};
}

Evidence Average::horizontal_evidence() const noexcept {
  if (epochs_ == 0) return {};
  return horizontal_evidence(inverse_horizontal());
}

Evidence Average::horizontal_evidence(const Form& inverse) const noexcept {
  const Horizontal& h = horizontal_;
  const auto whitened = [&inverse](double a, double b, double c) {
    return 0.5 * (inverse.ee * a + 2.0 * inverse.en * b + inverse.nn * c);
  };
  // One epoch's part in the scatter, ½ (x−m)ᵀ Sg⁻¹ (x−m), is linear in (e, n, e², en, n²).
  const Dyadic<5>::Value part{-(inverse.ee * h.east_m + inverse.en * h.north_m),
                              -(inverse.en * h.east_m + inverse.nn * h.north_m), 0.5 * inverse.ee, inverse.en,
                              0.5 * inverse.nn};
  using Level = Dyadic<5>::Level;
  return {whitened(h.comoment_ee, h.comoment_en, h.comoment_nn) / h.weight_per_m2,
          std::sqrt(horizontal_levels_.largest([&](const Level& l) { return l.along(part); })),
          horizontal_levels_.largest(
              [&](const Level& l) { return whitened(l.comoment[0], l.comoment[1], l.comoment[2]); })};
}

Evidence Average::vertical_evidence() const noexcept {
  if (epochs_ == 0) return {};
  return vertical_evidence(inverse_vertical().ee);
}

Evidence Average::vertical_evidence(double inverse) const noexcept {
  const Dyadic<2>::Value part{-2.0 * inverse * vertical_.up_m, inverse};
  using Level = Dyadic<2>::Level;
  return {inverse * vertical_.comoment / vertical_.weight_per_m2,
          std::sqrt(vertical_levels_.largest([&](const Level& l) { return l.along(part); })),
          vertical_levels_.largest([&](const Level& l) { return inverse * l.comoment[0]; })};
}

void Average::conclude_horizontal(Estimate& estimate) const noexcept {
  const Horizontal& h = horizontal_;
  const Claim claim = claim_horizontal();
  const Form inverse = inverse_horizontal();
  const Share share = unseen_share(horizontal_evidence(inverse), course_, inverse, 2, scale_.trust);
  const double floor_m2 = scale_.floor_horizontal_m * scale_.floor_horizontal_m;
  const double digits_ee_m2 = h.digits_ee / h.weight_per_m2, digits_nn_m2 = h.digits_nn / h.weight_per_m2;
  estimate.east_m = origin_east_m_ + h.east_m;
  estimate.north_m = origin_north_m_ + h.north_m;
  estimate.ee_m2 = share.total * claim.ee_m2 + digits_ee_m2 + floor_m2;
  estimate.en_m2 = share.total * claim.en_m2;
  estimate.nn_m2 = share.total * claim.nn_m2 + digits_nn_m2 + floor_m2;
  estimate.error95_horizontal_m = horizontal95(estimate.ee_m2, estimate.en_m2, estimate.nn_m2);
  estimate.scatter_horizontal_m = std::sqrt((h.comoment_ee + h.comoment_nn) / h.weight_per_m2);
  estimate.unseen_horizontal = share.total;
  estimate.effective_epochs = 1.0 / share.averaged;
  estimate.claim_refuted_horizontal = share.raise > 1.0;
  estimate.claim_unproven |= share.unproven;
  estimate.claim_horizontal_m2 = claim.ee_m2 + claim.nn_m2;
  estimate.digits_horizontal_m2 = digits_ee_m2 + digits_nn_m2;
  estimate.coarse_digits |= are_coarse(digits_ee_m2, claim.ee_m2) || are_coarse(digits_nn_m2, claim.nn_m2);
  estimate.motion = motion_of(course_, share, 0.5 * estimate.claim_horizontal_m2);
}

double horizontal95(double ee_m2, double en_m2, double nn_m2) noexcept {
  return kRadiusAllowance * radius95(ee_m2, en_m2, nn_m2);
}

double vertical95(double uu_m2) noexcept {
  return kRadiusAllowance * kNormal95 * std::sqrt(uu_m2);
}

void Average::conclude_vertical(Estimate& estimate) const noexcept {
  const double claim_m2 = claim_vertical_m2();
  const double digits_m2 = vertical_.digits / vertical_.weight_per_m2;
  const double inverse = 1.0 / (claim_m2 + digits_m2);
  const Share share = unseen_share(vertical_evidence(inverse), course_up_, {inverse, 0, 0}, 1, scale_.trust);
  estimate.up_m = origin_up_m_ + vertical_.up_m;
  estimate.uu_m2 = share.total * claim_m2 + digits_m2 + scale_.floor_vertical_m * scale_.floor_vertical_m;
  estimate.error95_vertical_m = vertical95(estimate.uu_m2);
  estimate.scatter_vertical_m = std::sqrt(vertical_.comoment / vertical_.weight_per_m2);
  estimate.unseen_vertical = share.total;
  estimate.claim_refuted_vertical = share.raise > 1.0;
  estimate.claim_unproven |= share.unproven;
  estimate.claim_vertical_m2 = claim_m2;
  estimate.digits_vertical_m2 = digits_m2;
  estimate.coarse_digits |= are_coarse(digits_m2, claim_m2);
  estimate.motion_up = motion_of(course_up_, share, claim_m2);
}

}  // namespace stillpoint::estimate
