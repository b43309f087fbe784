#include "estimate/noise.hpp"

#include <cmath>
#include <numbers>

namespace noise {
namespace {

constexpr double kMajor_m = 0.60, kUp_m = 0.90, kTurn_rad = 0.6;
constexpr double kSwing_s = 40;

/// Three independent unit-variance errors: along the major axis, along the minor, up.
class Error {
 public:
  Error(const Model& model, int rate_hz, Normals& normals) : model_(model), normals_(normals) {
    keep_ = model.markov > 0 ? std::exp(-1.0 / (rate_hz * model.tau_s)) : 0;
    for (auto& state : state_) state = normals_.normal();
    for (auto& bias : bias_) bias = model.bias > 0 ? normals_.normal() : 0;
  }
  std::array<double, 3> next() {
    std::array<double, 3> sum;
    for (std::size_t i = 0; i < 3; ++i) {
      sum[i] = std::sqrt(model_.bias) * bias_[i];
      if (model_.white > 0) {
        const double draw = model_.freedom > 0 ? normals_.tailed(model_.freedom) : normals_.normal();
        sum[i] += std::sqrt(model_.white) * draw;
      }
      if (model_.markov > 0) {
        sum[i] += std::sqrt(model_.markov) * state_[i];
        state_[i] = keep_ * state_[i] + std::sqrt(1 - keep_ * keep_) * normals_.normal();
      }
    }
    if (model_.outliers > 0 && normals_.uniform() < model_.outliers) throw_off(sum);
    return sum;
  }

 private:
  void throw_off(std::array<double, 3>& sum) {
    const double size = 6 + 14 * normals_.uniform();
    const double angle_rad = 2 * std::numbers::pi * normals_.uniform();
    sum[0] += size * std::cos(angle_rad);
    sum[1] += size * std::sin(angle_rad);
    sum[2] += normals_.uniform() < 0.5 ? size : -size;
  }

  const Model& model_;
  Normals& normals_;
  double keep_ = 0;
  std::array<double, 3> state_{}, bias_{};
};

}  // namespace

Normals::Normals(std::uint64_t seed) : engine_(seed) {}

double Normals::uniform() {
  return (static_cast<double>(engine_() >> 11) + 0.5) * 0x1p-53;
}

double Normals::normal() {
  if (has_spare_) {
    has_spare_ = false;
    return spare_;
  }
  // Box and Muller (1958)
  const double radius = std::sqrt(-2 * std::log(uniform()));
  const double angle_rad = 2 * std::numbers::pi * uniform();
  spare_ = radius * std::sin(angle_rad);
  has_spare_ = true;
  return radius * std::cos(angle_rad);
}

double Normals::tailed(int freedom) {
  double chi2 = 0;
  for (int i = 0; i < freedom; ++i) {
    const double draw = normal();
    chi2 += draw * draw;
  }
  return normal() * std::sqrt((freedom - 2) / chi2);
}

void occupy(const Model& model, int seconds, int rate_hz, std::uint64_t seed, Occupation& into) {
  Normals normals(seed);
  Error error(model, rate_hz, normals);
  const double minor_m = kMajor_m / model.elongation;
  const double cosine = std::cos(kTurn_rad), sine = std::sin(kTurn_rad);
  into.samples.clear();
  for (int i = 0; i < seconds * rate_hz; ++i) {
    const double phase_rad = 2 * std::numbers::pi * i / (kSwing_s * rate_hz);
    const double swing = model.claim_swing == 1 ? 1 : std::pow(model.claim_swing, std::sin(phase_rad));
    const double a_m = swing * kMajor_m, b_m = swing * minor_m, up_m = swing * kUp_m;
    const auto unit = error.next();
    const double along_m = a_m * unit[0], across_m = b_m * unit[1];
    into.samples.push_back({cosine * along_m - sine * across_m, sine * along_m + cosine * across_m, up_m * unit[2],
                            a_m * a_m * cosine * cosine + b_m * b_m * sine * sine,
                            (a_m * a_m - b_m * b_m) * sine * cosine,
                            a_m * a_m * sine * sine + b_m * b_m * cosine * cosine, up_m * up_m});
  }
}

std::uint64_t seed_of(std::uint64_t set, std::uint64_t cell, std::uint64_t occupation) {
  // splitmix64 (Steele, Lea and Flood 2014)
  std::uint64_t x = (set << 56) ^ (cell << 32) ^ occupation;
  x += 0x9e3779b97f4a7c15;
  x = (x ^ (x >> 30)) * 0xbf58476d1ce4e5b9;
  x = (x ^ (x >> 27)) * 0x94d049bb133111eb;
  return x ^ (x >> 31);
}

}  // namespace noise
