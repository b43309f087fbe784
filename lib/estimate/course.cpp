#include "estimate/course.hpp"

#include <algorithm>
#include <cmath>

namespace stillpoint::estimate {
namespace {

constexpr double kLeastShare = 0.05;  // no stay is worth more than 20 independent epochs
/// Published correlation lengths begin at 100 s. A fixed prior does not depend on the data: nobody is lucky with it.
constexpr double kPriorLength_s = 60.0;
/// A stay shows at most this much per axis, squared, on average when the claim is right; only the excess is a drift.
constexpr double kHonestPerAxis = 2.0;
constexpr double kDriftPart = 5.0;
constexpr double kMostDrift_sigmas = 5.0;
constexpr double kMostExcursion_sigmas = 8.0;
/// Fewer epochs are not looked at: two of white noise lie on some line.
constexpr std::uint64_t kFewestMoving = 5;

}  // namespace

void Track::add(double east_m, double north_m) noexcept {
  ++filled_;
  const double share = 1.0 / static_cast<double>(filled_);
  filling_.east_m += share * (east_m - filling_.east_m);
  filling_.north_m += share * (north_m - filling_.north_m);
  if (filled_ < block_epochs_) return;
  full_[count_++] = filling_;
  filling_ = {};
  filled_ = 0;
  if (count_ == kMost) join_pairs();
}

void Track::join_pairs() noexcept {
  for (std::size_t i = 0; i < kMost / 2; ++i) {
    const Place &a = full_[2 * i], &b = full_[2 * i + 1];
    full_[i] = {0.5 * (a.east_m + b.east_m), 0.5 * (a.north_m + b.north_m)};
  }
  count_ = kMost / 2;
  block_epochs_ *= 2;
}

double Track::farthest(const Form& form, double east_m, double north_m) const noexcept {
  double most = 0;
  each([&](const Place& place) { most = std::max(most, form.of(place.east_m - east_m, place.north_m - north_m)); });
  return most;
}

void Track::set_beside(const Track& other) {
  other.each([this](const Place& place) { beside_.push_back(place); });
}

void Course::add(double time_s, double weight_per_m2, double east_m, double north_m) noexcept {
  if (epochs_++ == 0) first_s_ = time_s;
  last_s_ = time_s;
  const double before = weight_per_m2_;
  weight_per_m2_ += weight_per_m2;
  const double share = weight_per_m2 / weight_per_m2_;
  const double keep = before * share;
  const double off_s = time_s - first_s_ - time_s_;
  const double off_e = east_m - east_m_, off_n = north_m - north_m_;
  time_comoment_ += keep * off_s * off_s;
  slope_east_ += keep * off_s * off_e;
  slope_north_ += keep * off_s * off_n;
  time_s_ += share * off_s;
  east_m_ += share * off_e;
  north_m_ += share * off_n;
  track_.add(east_m, north_m);
}

void Course::join(const Course& other) {
  if (other.epochs_ == 0) return;
  track_.set_beside(other.track_);
  const double own_start_s = epochs_ == 0 ? other.first_s_ : first_s_;
  const double share = other.weight_per_m2_ / (weight_per_m2_ + other.weight_per_m2_);
  const double keep = weight_per_m2_ * share;
  const double off_s = other.first_s_ + other.time_s_ - own_start_s - time_s_;
  const double off_e = other.east_m_ - east_m_, off_n = other.north_m_ - north_m_;
  time_comoment_ += other.time_comoment_ + keep * off_s * off_s;
  slope_east_ += other.slope_east_ + keep * off_s * off_e;
  slope_north_ += other.slope_north_ + keep * off_s * off_n;
  const double first_s = std::min(own_start_s, other.first_s_);
  last_s_ = epochs_ == 0 ? other.last_s_ : std::max(last_s_, other.last_s_);
  time_s_ += share * off_s + own_start_s - first_s;
  first_s_ = first_s;
  east_m_ += share * off_e;
  north_m_ += share * off_n;
  weight_per_m2_ += other.weight_per_m2_;
  epochs_ += other.epochs_;
}

double Course::duration_s() const noexcept {
  if (epochs_ < 2) return 0;
  const double n = static_cast<double>(epochs_);
  return (last_s_ - first_s_) * n / (n - 1.0);
}

double Course::line(const Form& inverse_claim, int axes) const noexcept {
  if (time_comoment_ <= 0) return 0;
  return inverse_claim.of(slope_east_, slope_north_) / (axes * weight_per_m2_ * time_comoment_);
}

double Course::drift_sigmas(const Form& inverse_claim) const noexcept {
  if (time_comoment_ <= 0) return 0;
  return duration_s() * std::sqrt(inverse_claim.of(slope_east_, slope_north_)) / time_comoment_;
}

double Course::drift_m() const noexcept {
  return drift_sigmas({1, 0, 1});
}

double Course::excursion(const Form& inverse_claim) const noexcept {
  return track_.farthest(inverse_claim, east_m_, north_m_);
}

Share unseen_share(const Evidence& evidence, const Course& course, const Form& inverse_claim, int axes,
                   const Trust& trust) noexcept {
  const double about_line = std::max(0.0, evidence.scatter - course.line(inverse_claim, axes));
  const double drift = course.drift_sigmas(inverse_claim);
  const double excursion = course.excursion(inverse_claim);
  const double margin = trust.verified ? 1.0 : trust.unproven_margin;
  const double prior = 1.0 / (1.0 + course.duration_s() / kPriorLength_s);
  const double honest = kHonestPerAxis * axes;

  Share share;
  share.averaged = std::max({std::min(1.0, 1.0 - about_line + evidence.doubt), evidence.seen, kLeastShare, prior});
  share.raise = std::max(1.0, about_line - 2.0 * evidence.doubt);
  const double least = trust.verified && share.raise <= 1.0 ? 0.0 : margin * margin * share.raise;
  share.unproven = !trust.verified && least > share.averaged;
  share.reach = std::max({0.0, (drift * drift - honest) / kDriftPart, excursion - honest});
  share.total = std::max(share.averaged, least) + share.reach;
  share.drifting =
      course.epochs() >= kFewestMoving && (drift / std::sqrt(std::max(1.0, about_line)) > kMostDrift_sigmas * margin ||
                                           std::sqrt(excursion) > kMostExcursion_sigmas * margin);
  return share;
}

}  // namespace stillpoint::estimate
