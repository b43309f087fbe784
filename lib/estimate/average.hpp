#pragma once
/// The weighted mean of one homogeneous run of epochs, with an error that allows for what averaging cannot see.
///
/// Epochs are not independent. Cov(mean) = Σ w_i Σ_i − E[S_w]: what the receiver says it has in error, minus what was
/// seen to average out, is still in the answer (the "unseen variance").
///
/// Units:   metres east, north, up relative to any nearby origin; covariances in square metres, 1 sigma.
/// Time:    epochs in order of time; no clock.
/// Threads: one object, one thread. O(log n) memory, O(1) amortised time, no allocation after construction.
/// Errors:  none. Samples must be finite with positive variances; the caller has refused all others.

#include <array>
#include <cstdint>

#include "estimate/dyadic.hpp"

namespace stillpoint::estimate {

/// One accepted epoch with the receiver's own 1-sigma claim (coast growth already in it, error scale not).
struct Sample {
  double east_m = 0, north_m = 0, up_m = 0;
  double ee_m2 = 0, en_m2 = 0, nn_m2 = 0;  ///< horizontal covariance
  double uu_m2 = 0;
};

struct Scale {
  double error_scale = 1.0;  ///< kG: the receiver's sigma is multiplied by it
  double floor_horizontal_m = 0;
  double floor_vertical_m = 0;
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
  double unseen_horizontal = 1;  ///< v in [0.05, …]
  double unseen_vertical = 1;
  double effective_epochs = 1;            ///< 1/v, horizontal
  bool claim_refuted_horizontal = false;  ///< the scatter is larger than the claim allows
  bool claim_refuted_vertical = false;
};

/// What one run of epochs shows about itself, per axis; all in shares of the claimed variance of one epoch.
struct Evidence {
  double scatter = 0;  ///< S: 1 when everything the claim holds was seen to scatter
  double doubt = 0;    ///< standard error of `scatter`
  double seen = 0;     ///< v_ts: variance of the mean that its own scatter shows, the largest over the time scales
};

/// A quadratic form in the plane; height uses `ee` alone, with the others 0.
struct Form {
  double ee = 0, en = 0, nn = 0;
  double of(double east, double north) const noexcept {
    return ee * east * east + 2.0 * en * east * north + nn * north * north;
  }
};

/// The last digit's worth of a stream's coordinates; 0 where it does not matter.
struct Ticks {
  double east_m = 0, north_m = 0, up_m = 0;
};

/// The radius factor of an elliptical normal distribution at 95 %: R95 = k95(λ2/λ1)·λ1 with λ1 ≥ λ2 ≥ 0 the two 1-sigma
/// axes. 1.95996 at ratio 0, 2.44775 at ratio 1 (Harter 1960). `ratio` in [0, 1].
double k95(double ratio) noexcept;

/// The same by its defining integral, solved for the radius; slower (about 1 µs). `k95` is a fit to this one.
double k95_by_integral(double ratio) noexcept;

/// 95 % radius of a horizontal covariance, through its eigenvalues.
double radius95(double ee_m2, double en_m2, double nn_m2) noexcept;

class Average {
 public:
  explicit Average(const Scale& scale = {}) noexcept;
  /// As above, kept relative to a given nearby point, so that it can be merged with others of the same one.
  Average(const Scale& scale, const Sample& origin) noexcept;
  void add(const Sample& sample) noexcept;
  /// Takes in the epochs of another average with the same given origin and scale, as one run.
  void merge(const Average& other) noexcept;
  std::uint64_t epochs() const noexcept;
  const Scale& scale() const noexcept { return scale_; }
  /// Mean position and mean claim, without the error scale; cheaper than `result`. Needs at least one epoch.
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
  Form inverse_horizontal(const Ticks& ticks = {}) const noexcept;
  Form inverse_vertical(const Ticks& ticks = {}) const noexcept;
  Evidence horizontal_evidence(const Ticks& ticks = {}) const noexcept;
  Evidence vertical_evidence(const Ticks& ticks = {}) const noexcept;

 private:
  struct Horizontal {
    double weight_per_m2 = 0;
    double east_m = 0, north_m = 0;                            // the mean, from the origin
    double comoment_ee = 0, comoment_en = 0, comoment_nn = 0;  // Σ w (x−m)(x−m)ᵀ
    double claimed_ee = 0, claimed_en = 0, claimed_nn = 0;     // Σ w Σ_i
  };
  struct Vertical {
    double weight_per_m2 = 0;
    double up_m = 0;
    double comoment = 0;
    double claimed = 0;
  };
  struct Claim {
    double ee_m2, en_m2, nn_m2;
  };
  Claim claim_horizontal() const noexcept;
  double claim_vertical_m2() const noexcept;
  void set_origin(const Sample& origin) noexcept;
  void merge_vertical(const Average& other) noexcept;
  void add_horizontal(const Sample& sample) noexcept;
  void add_vertical(const Sample& sample) noexcept;
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
};

}  // namespace stillpoint::estimate
