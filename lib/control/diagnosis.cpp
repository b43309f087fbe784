#include "control/diagnosis.hpp"

#include <algorithm>
#include <cmath>

#include "base/number.hpp"
#include "control/sentences.hpp"
#include "control/shot.hpp"
#include "control/signatures.hpp"

namespace stillpoint::control {
namespace {

// 99.9 % of chi-square, 3 and 2 degrees of freedom.
constexpr double kFit3 = 16.266, kFit2 = 13.816;
constexpr double kUnknownHeightM2 = 1e8;
constexpr double kSmallestShare = 0.01;

/// One residual as a vector; a height that was not compared has a variance that says nothing.
struct Evidence {
  Vector3 r{};
  Matrix3 c{};
};

Evidence evidence_of(const Residual& residual) {
  Evidence out;
  out.r = {residual.east_m, residual.north_m, residual.up_m.value_or(0)};
  const auto& v = residual.covariance_m2;
  out.c = diagonal(v[0], v[2], residual.up_m ? v[3] : kUnknownHeightM2);
  out.c[0][1] = out.c[1][0] = v[1];
  for (std::size_t i = 0; i < 3; ++i) out.c[i][i] = std::max(out.c[i][i], 1e-10);
  return out;
}

/// The joint log likelihood of all residuals when they share one vector of this mean and spread: each one in turn is
/// predicted from those before it.
double log_shared(Vector3 mean, Matrix3 spread, const std::vector<Evidence>& all) {
  double sum = 0;
  for (const Evidence& e : all) {
    const Matrix3 total = spread + e.c;
    sum += log_density(e.r - mean, total);
    const Matrix3 gain = product(spread, inverse(total));
    const Vector3 step = product(gain, e.r - mean);
    for (std::size_t i = 0; i < 3; ++i) mean[i] += step[i];
    const Matrix3 less = product(gain, spread);
    for (std::size_t i = 0; i < 3; ++i) {
      for (std::size_t j = 0; j < 3; ++j) spread[i][j] -= less[i][j];
    }
  }
  return sum;
}

class Inquiry {
 public:
  Inquiry(const Residual& residual, const Scene& scene, const std::vector<Residual>& others) : scene_(scene) {
    all_.push_back(evidence_of(residual));
    for (const Residual& other : others) all_.push_back(evidence_of(other));
    fit_ = residual.up_m ? kFit3 : kFit2;
    // The likelihood of the turn test when the pole does not lean.
    if (scene.turn) no_lean_ = -0.5 * lean_squared() - std::log(scene.turn->sigma_m * scene.turn->sigma_m);
  }

  double log_of(const Signature& s) const {
    double sum = s.suspect == Suspect::bubble ? log_lean() : no_lean_;
    if (s.shared) return sum + log_shared(s.mean, s.spread, all_);
    sum += log_density(all_.front().r - s.mean, s.spread + all_.front().c);
    // A bubble turns with the pole, so on other marks it shows its size but not its direction.
    Matrix3 elsewhere{};
    if (s.suspect == Suspect::bubble) {
      const double size2 = (squared(s.mean) + s.spread[0][0] + s.spread[1][1]) / 2;
      elsewhere = diagonal(size2, size2, 0);
    }
    return sum + log_elsewhere(elsewhere);
  }
  double log_chance() const { return no_lean_ + log_density(all_.front().r, all_.front().c) + log_elsewhere({}); }
  double log_anything() const {
    double sum = 0;
    for (const double size_m : kSizesM) {
      const double s2 = size_m * size_m;
      sum += std::exp(log_density(all_.front().r, all_.front().c + diagonal(s2, s2, s2)));
    }
    return no_lean_ + std::log(sum / static_cast<double>(kSizesM.size())) + log_elsewhere({});
  }
  double distance_squared(const Signature& s) const {
    return mahalanobis_squared(all_.front().r - s.mean, s.spread + all_.front().c);
  }
  bool fits(const Signature& s) const { return distance_squared(s) <= fit_; }
  /// A mistake whose vector is smaller than the errors of the comparison cannot be the cause, so it is left out.
  bool shows(const Signature& s) const {
    return mahalanobis_squared(s.mean, all_.front().c) + trace_against(s.spread) > 1.0;
  }
  /// The most likely vector of a family.
  Vector3 best(const Signature& s) const {
    const Matrix3 gain = product(s.spread, inverse(s.spread + all_.front().c));
    Vector3 out = product(gain, all_.front().r - s.mean);
    for (std::size_t i = 0; i < 3; ++i) out[i] += s.mean[i];
    return out;
  }

 private:
  double trace_against(const Matrix3& spread) const {
    double sum = 0;
    for (std::size_t i = 0; i < 3; ++i) sum += spread[i][i] / all_.front().c[i][i];
    return sum;
  }
  double lean_squared() const {
    const double s = scene_.turn->sigma_m;
    return scene_.turn->lean_m() * scene_.turn->lean_m() / (s * s);
  }
  double log_lean() const {
    if (!scene_.turn) return 0;
    constexpr double kLeanM = 0.02;
    const double scale = std::max(scene_.antenna_height_m, 0.5) / 2.0;
    const double v = scene_.turn->sigma_m * scene_.turn->sigma_m + kLeanM * kLeanM * scale * scale;
    return -0.5 * scene_.turn->lean_m() * scene_.turn->lean_m() / v - std::log(v);
  }
  double log_elsewhere(const Matrix3& spread) const {
    double sum = 0;
    for (std::size_t i = 1; i < all_.size(); ++i) sum += log_density(all_[i].r, all_[i].c + spread);
    return sum;
  }

  const Scene& scene_;
  std::vector<Evidence> all_;
  double fit_ = kFit3;
  double no_lean_ = 0;
};

struct Scored {
  const Signature* signature = nullptr;
  double log = 0;
};

/// Each suspect is shown with its best signature; its share is the sum of the shares of all its signatures.
std::vector<Ranked> rank(const Inquiry& inquiry, const std::vector<Scored>& scored, double highest, double total) {
  std::vector<Ranked> out;
  for (std::size_t k = 0; k < kSuspectCount; ++k) {
    double sum = 0;
    const Scored* best = nullptr;
    for (const Scored& one : scored) {
      if (one.signature->suspect != static_cast<Suspect>(k)) continue;
      sum += std::exp(one.log - highest);
      if (inquiry.fits(*one.signature) && (best == nullptr || one.log > best->log)) best = &one;
    }
    if (best == nullptr || sum / total < kSmallestShare) continue;
    const Signature& s = *best->signature;
    out.push_back(
        {s.suspect, sum / total, enu_of(inquiry.best(s)), std::sqrt(inquiry.distance_squared(s)), s.what, s.confirm});
  }
  std::stable_sort(out.begin(), out.end(), [](const Ranked& a, const Ranked& b) { return a.share > b.share; });
  return out;
}

/// Never says 100 %: a share that would round to it is "over 99 %".
std::string share_text(double share) {
  constexpr double kNearlyAll = 0.99;
  return share > kNearlyAll ? "over 99 %" : fixed(100 * share, 0) + " %";
}

std::vector<std::string> sentences_of(const Diagnosis& found, bool other_marks) {
  if (found.none_fits) {
    return {kSay.none_fits(kSay.none_of_these(), other_marks ? kSay.shoot_again() : kSay.shoot_again_and_second())};
  }
  const Ranked& first = found.suspects.front();
  std::vector<std::string> out{kSay.first_suspect(share_text(first.share), first.what),
                               kSay.to_make_sure(first.confirm)};
  if (found.suspects.size() > 1 && found.suspects[1].share > 0.05) {
    out.push_back("Then (" + share_text(found.suspects[1].share) + "): " + found.suspects[1].what + ".");
  }
  return out;
}

}  // namespace

std::string_view to_word(Suspect suspect) noexcept {
  constexpr std::array<std::string_view, kSuspectCount> kWords{
      "frame-swapped",   "shifted-twice",     "mark-frame",   "epoch",           "antenna-ignored", "antenna-doubled",
      "antenna-section", "slant-as-vertical", "phase-offset", "feet-for-metres", "geoid-sign",      "height-kind",
      "geoid-frame",     "coarse-geoid",      "survey-foot",  "base-offset",     "mark-disturbed",  "bubble"};
  return kWords[static_cast<std::size_t>(suspect)];
}

std::string_view suspect_of(const Diagnosis& found) noexcept {
  if (found.none_fits) return kNoSuspect;
  return found.suspects.empty() ? std::string_view() : to_word(found.suspects.front().suspect);
}

Diagnosis diagnose(const Residual& residual, const Scene& scene, const std::vector<Residual>& others) {
  const auto list = signatures(scene, !others.empty());
  const Inquiry inquiry(residual, scene, others);
  std::vector<Scored> scored;
  const double chance = std::log(kChanceWeight) + inquiry.log_chance();
  const double anything = std::log(kAnythingWeight) + inquiry.log_anything();
  double highest = std::max(chance, anything);
  for (const Signature& s : list) {
    if (!inquiry.shows(s)) continue;
    scored.push_back({&s, std::log(s.weight) + inquiry.log_of(s)});
    highest = std::max(highest, scored.back().log);
  }
  double total = std::exp(chance - highest) + std::exp(anything - highest);
  for (const Scored& one : scored) total += std::exp(one.log - highest);
  Diagnosis out;
  out.suspects = rank(inquiry, scored, highest, total);
  const double unexplained = (std::exp(chance - highest) + std::exp(anything - highest)) / total;
  out.none_fits = out.suspects.empty() || unexplained > out.suspects.front().share;
  out.sentences = sentences_of(out, !others.empty());
  for (const std::string& each : out.sentences) out.text += (out.text.empty() ? "" : " ") + each;
  return out;
}

}  // namespace stillpoint::control
