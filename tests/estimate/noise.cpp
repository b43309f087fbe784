#include "estimate/noise.hpp"

#include <cmath>
#include <numbers>

namespace noise {
namespace {

constexpr double kMajor_m = 0.60, kUp_m = 0.90, kTurn_rad = 0.6;
constexpr double kSwing_s = 40;

constexpr std::size_t kFlickerParts = 7;
constexpr double kLateFrom = 0.3, kLateGrowth = 3;

/// One of three axes, of unit variance.
class Axis {
 public:
  Axis(const Model& model, double interval_s, std::size_t epochs, Normals& normals)
      : model_(&model), normals_(&normals), interval_s_(interval_s), epochs_(static_cast<double>(epochs)) {
    keep_ = model.markov > 0 ? std::exp(-interval_s / model.tau_s) : 0;
    state_ = normals.normal();
    if (model.others.flicker > 0)
      for (double& part : flicker_) part = normals.normal();
    if (model.others.sine > 0) {
      phase_rad_ = 2 * std::numbers::pi * normals.uniform();
      step_rad_ = 2 * std::numbers::pi * interval_s / (60 + 540 * normals.uniform());
    }
  }
  void set_bias(double bias) { bias_ = bias; }
  double next() {
    double sum = std::sqrt(model_->bias) * bias_;
    if (model_->white > 0) {
      const double draw = model_->freedom > 0 ? normals_->tailed(model_->freedom) : normals_->normal();
      sum += std::sqrt(model_->white) * draw;
    }
    if (model_->markov > 0) {
      sum += std::sqrt(model_->markov) * state_;
      state_ = keep_ * state_ + std::sqrt(1 - keep_ * keep_) * normals_->normal();
    }
    return model_->wrong.size * (sum + others());
  }

 private:
  double others() {
    const Others& share = model_->others;
    double sum = 0;
    if (share.flicker > 0) {
      double lasting_s = 1;
      for (double& part : flicker_) {
        sum += std::sqrt(share.flicker / kFlickerParts) * part;
        const double keep = std::exp(-interval_s_ / lasting_s);
        part = keep * part + std::sqrt(1 - keep * keep) * normals_->normal();
        lasting_s *= 4;
      }
    }
    if (share.walk > 0) {
      sum += std::sqrt(share.walk * 2 / epochs_) * walk_;
      walk_ += normals_->normal();
    }
    if (share.sine > 0) {
      sum += std::sqrt(2 * share.sine) * std::sin(phase_rad_);
      phase_rad_ += step_rad_;
    }
    return sum;
  }

  const Model* model_;
  Normals* normals_;
  double interval_s_, epochs_, keep_ = 0, state_ = 0, bias_ = 0, walk_ = 0, phase_rad_ = 0, step_rad_ = 0;
  std::array<double, kFlickerParts> flicker_{};
};

/// Along the major axis, along the minor, up; with what is wrong in plan, all in claimed sigmas.
class Error {
 public:
  Error(const Model& model, int rate_hz, std::size_t epochs, Normals& normals)
      : model_(model),
        normals_(normals),
        epochs_(epochs),
        axes_{Axis(model, 1.0 / rate_hz, epochs, normals), Axis(model, 1.0 / rate_hz, epochs, normals),
              Axis(model, 1.0 / rate_hz, epochs, normals)} {
    if (model.bias > 0)
      for (Axis& axis : axes_) axis.set_bias(normals.normal());
    const Wrong& wrong = model.wrong;
    if (wrong.drift_sigmas == 0 && wrong.false_share == 0) return;
    direction_rad_ = 2 * std::numbers::pi * normals.uniform();
    false_epochs_ = static_cast<std::size_t>(std::lround(wrong.false_share * static_cast<double>(epochs)));
    false_from_ = static_cast<std::size_t>(normals.uniform() * static_cast<double>(epochs - false_epochs_ + 1));
  }
  std::array<double, 3> next() {
    std::array<double, 3> sum{axes_[0].next(), axes_[1].next(), axes_[2].next()};
    if (model_.outliers > 0 && normals_.uniform() < model_.outliers) throw_off(sum);
    const double over = (static_cast<double>(at_) + 0.5) / static_cast<double>(epochs_);
    if (model_.wrong.late_s > 0 && over >= kLateFrom)
      for (double& axis : sum) axis *= kLateGrowth;
    double away = model_.wrong.drift_sigmas * over;
    if (at_ >= false_from_ && at_ < false_from_ + false_epochs_) away += model_.wrong.false_sigmas;
    sum[0] += away * std::cos(direction_rad_);
    sum[1] += away * std::sin(direction_rad_);
    ++at_;
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
  std::size_t epochs_, at_ = 0, false_from_ = 0, false_epochs_ = 0;
  double direction_rad_ = 0;
  std::array<Axis, 3> axes_;
};

/// What the claim is multiplied with at this epoch.
double claim_factor(const Model& model, std::size_t epoch, std::size_t epochs, int rate_hz) {
  const double time_s = static_cast<double>(epoch) / rate_hz;
  double factor = 1;
  if (model.claim_swing != 1) factor = std::pow(model.claim_swing, std::sin(2 * std::numbers::pi * time_s / kSwing_s));
  const double since_s = time_s - kLateFrom * static_cast<double>(epochs) / rate_hz;
  if (model.wrong.late_s > 0 && since_s > 0) {
    const double most2 = kLateGrowth * kLateGrowth;
    factor *= std::sqrt(most2 - (most2 - 1) * std::exp(-since_s / model.wrong.late_s));
  }
  return factor;
}

/// As it is printed: to the last digit of where it lies.
double printed(double value_m, double tick_m, double phase) {
  return tick_m > 0 ? (std::round(value_m / tick_m + phase) - phase) * tick_m : value_m;
}

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
  const auto epochs = static_cast<std::size_t>(seconds * rate_hz);
  Error error(model, rate_hz, epochs, normals);
  const Wrong& wrong = model.wrong;
  std::array<double, 3> phase{};
  if (wrong.tick_m > 0 || wrong.tick_up_m > 0)
    for (double& axis : phase) axis = normals.uniform();
  const double minor_m = kMajor_m / model.elongation;
  const double cosine = std::cos(kTurn_rad), sine = std::sin(kTurn_rad);
  into.samples.clear();
  for (std::size_t i = 0; i < epochs; ++i) {
    const double factor = claim_factor(model, i, epochs, rate_hz);
    // A claim that swings is right; one that is late is not, for the error is drawn in the first one.
    const double true_factor = wrong.late_s > 0 ? 1 : factor;
    const double a_m = factor * kMajor_m, b_m = factor * minor_m, up_m = factor * kUp_m;
    const auto unit = error.next();
    const double along_m = true_factor * kMajor_m * unit[0], across_m = true_factor * minor_m * unit[1];
    into.samples.push_back({printed(cosine * along_m - sine * across_m, wrong.tick_m, phase[0]),
                            printed(sine * along_m + cosine * across_m, wrong.tick_m, phase[1]),
                            printed(true_factor * kUp_m * unit[2], wrong.tick_up_m, phase[2]),
                            a_m * a_m * cosine * cosine + b_m * b_m * sine * sine,
                            (a_m * a_m - b_m * b_m) * sine * cosine,
                            a_m * a_m * sine * sine + b_m * b_m * cosine * cosine,
                            up_m * up_m,
                            {wrong.tick_m, wrong.tick_m, wrong.tick_up_m}});
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
