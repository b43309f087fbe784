#pragma once
/// The weighted mean of one homogeneous run of epochs, with an error that allows for what averaging cannot see.
///
/// Epochs are not independent. Cov(mean) = Σ w_i Σ_i − E[S_w]: what the receiver says it has in error, minus what was
/// seen to average out, is still in the answer (the "unseen variance"). What moved in a line was not seen to average
/// out (`course.hpp`). While the receiver's claim is not proven the error is that of one epoch, widened: averaging
/// earns its gain only afterwards. Digits and the source's floor never average.
///
/// Units:   metres east, north, up relative to any nearby origin; covariances in square metres, 1 sigma.
/// Time:    epochs in order of time; no clock.
/// Threads: one object, one thread. O(log n) memory, O(1) amortised time, no allocation after construction.
/// Errors:  none. Samples must be finite with positive variances; the caller has refused all others.

#include <array>
#include <cstdint>

#include "estimate/course.hpp"
#include "estimate/dyadic.hpp"

namespace stillpoint::estimate {

/// The last digit's worth of a stream's coordinates; 0 where it does not matter.
struct Ticks {
  double east_m = 0, north_m = 0, up_m = 0;
};

/// One accepted epoch with the receiver's own 1-sigma claim (coast growth already in it, error scale not).
struct Sample {
  double east_m = 0, north_m = 0, up_m = 0;
  double ee_m2 = 0, en_m2 = 0, nn_m2 = 0;  ///< horizontal covariance
  double uu_m2 = 0;
  Ticks ticks{};
};

/// Fewer effective epochs read as less than one (more are printed as 1.0): they differ by more than any of them claims.
inline constexpr double kLessThanOne = 0.955;

struct Scale {
  double error_scale = 1.0;  ///< kG: the receiver's sigma is multiplied by it
  double floor_horizontal_m = 0;
  double floor_vertical_m = 0;
  Trust trust{};
};

/// How the position moved during a stay that must be held for it, in plan or in height.
struct Motion {
  bool drifting = false;   ///< farther than an honest claim allows: the stay must be held
  double drift_m = 0;      ///< along its straight line, first to last epoch
  double excursion_m = 0;  ///< of the farthest place visited, from the mean
  double duration_s = 0;
  double claim_m = 0;  ///< sigma of one epoch on one axis
};

struct Estimate {
  std::uint64_t epochs = 0;
  double east_m = 0, north_m = 0, up_m = 0;
  double ee_m2 = 0, en_m2 = 0, nn_m2 = 0, uu_m2 = 0;  ///< of the mean
  double error95_horizontal_m = 0;                    ///< radius
  double error95_vertical_m = 0;
  double scatter_horizontal_m =
      0;  ///< 1-sigma scatter of the epochs, √(weighted variance E + N): repeatability, not accuracy
  double scatter_vertical_m = 0;
  double unseen_horizontal = 1;  ///< v: share of one epoch's claim that is left in the mean; more than 1 for what moved
  double unseen_vertical = 1;
  double effective_epochs = 1;            ///< what averaging left, 1/v_a, horizontal
  bool claim_refuted_horizontal = false;  ///< the scatter is larger than the claim allows
  bool claim_refuted_vertical = false;
  bool claim_unproven = false;  ///< in plan or height the error is that of one epoch: the claim is not proven
  bool coarse_digits = false;   ///< the last digit is worth more than the claimed sigma of its axis
  Motion motion, motion_up;
  /// The variance that one epoch claims, with the error scale and without digits (in plan the trace), and the variance
  /// that its digits add.
  double claim_horizontal_m2 = 0, claim_vertical_m2 = 0;
  double digits_horizontal_m2 = 0, digits_vertical_m2 = 0;
};

/// The radius factor of an elliptical normal distribution at 95 %: R95 = k95(λ2/λ1)·λ1 with λ1 ≥ λ2 ≥ 0 the two 1-sigma
/// axes. 1.95996 at ratio 0, 2.44775 at ratio 1 (Harter 1960). `ratio` in [0, 1].
double k95(double ratio) noexcept;

/// The same by its defining integral, solved for the radius; slower (about 1 µs). `k95` is a fit to this one.
double k95_by_integral(double ratio) noexcept;

/// 95 % radius of a horizontal covariance, through its eigenvalues.
double radius95(double ee_m2, double en_m2, double nn_m2) noexcept;

/// 95 % error of a mean place with this covariance, with what is allowed for the covariance being estimated itself.
double horizontal95(double ee_m2, double en_m2, double nn_m2) noexcept;

/// 95 % error of a mean height with this variance, with what is allowed for the variance being estimated itself.
double vertical95(double uu_m2) noexcept;

class Average {
 public:
  explicit Average(const Scale& scale = {}) noexcept;
  /// As above, kept relative to a given nearby point, so that it can be merged with others of the same one.
  Average(const Scale& scale, const Sample& origin) noexcept;
  /// `time_s` from any start, in order.
  void add(const Sample& sample, double time_s) noexcept;
  /// Takes in the epochs of another average with the same given origin and scale, as one run. May allocate.
  void merge(const Average& other);
  std::uint64_t epochs() const noexcept;
  const Scale& scale() const noexcept { return scale_; }
  /// Mean position, mean claim without the error scale, and mean digits; cheaper than `result`. Needs at least one
  /// epoch.
  Sample mean() const noexcept;
  /// Needs at least one epoch.
  Estimate result() const noexcept;
  /// Weighted covariance of the epochs about their mean: repeatability, not accuracy. Needs at least one epoch.
  struct Scatter {
    double ee_m2, en_m2, nn_m2;
  };
  Scatter scatter() const noexcept {
    const Horizontal& h = horizontal_;
    return {h.comoment_ee / h.weight_per_m2, h.comoment_en / h.weight_per_m2, h.comoment_nn / h.weight_per_m2};
  }
  /// Inverse of one epoch's claim with the scale and the variance of its digits. Needs at least one epoch.
  Form inverse_horizontal() const noexcept;
  Form inverse_vertical() const noexcept;
  Evidence horizontal_evidence() const noexcept;
  Evidence vertical_evidence() const noexcept;
  const Course& course() const noexcept { return course_; }
  const Course& course_up() const noexcept { return course_up_; }

 private:
  struct Horizontal {
    double weight_per_m2 = 0;
    double east_m = 0, north_m = 0;                            // the mean, from the origin
    double comoment_ee = 0, comoment_en = 0, comoment_nn = 0;  // Σ w (x−m)(x−m)ᵀ
    double claimed_ee = 0, claimed_en = 0, claimed_nn = 0;     // Σ w Σ_i
    double digits_ee = 0, digits_nn = 0;                       // Σ w tick²/12
  };
  struct Vertical {
    double weight_per_m2 = 0;
    double up_m = 0;
    double comoment = 0;
    double claimed = 0;
    double digits = 0;
  };
  struct Claim {
    double ee_m2, en_m2, nn_m2;
  };
  Claim claim_horizontal() const noexcept;
  double claim_vertical_m2() const noexcept;
  Ticks ticks() const noexcept;
  Evidence horizontal_evidence(const Form& inverse) const noexcept;
  Evidence vertical_evidence(double inverse) const noexcept;
  void set_origin(const Sample& origin) noexcept;
  void merge_vertical(const Average& other) noexcept;
  void add_horizontal(const Sample& sample, double time_s) noexcept;
  void add_vertical(const Sample& sample, double time_s) noexcept;
  void conclude_horizontal(Estimate& estimate) const noexcept;
  void conclude_vertical(Estimate& estimate) const noexcept;

  Scale scale_;
  std::uint64_t epochs_ = 0;
  // The first epoch, unless given: all else is kept relative to it, or the squares among the levels would lose their
  // digits.
  bool has_origin_ = false;
  double origin_east_m_ = 0, origin_north_m_ = 0, origin_up_m_ = 0;
  Horizontal horizontal_;
  Vertical vertical_;
  Dyadic<5> horizontal_levels_;  // e, n, e², en, n²
  Dyadic<2> vertical_levels_;    // u, u²
  Course course_, course_up_;
};

}  // namespace stillpoint::estimate
