#pragma once
/// Whether one epoch may be averaged with the ones before it: the running-median gate.
///
/// The last 15 accepted epochs give a median and a scale s = clamp(1.4826·MAD, 0.6, 1.0) on each axis, in units of the
/// claimed error: two whitened horizontal axes and the height. An epoch beyond 5 s on any axis is an outlier: a
/// receiver that is wrong in height alone is wrong. While fewer than five are known, s is 1 and the median that of
/// those known. The first epoch is always accepted, so the first ones are provisional: if it was the odd one out, the
/// next five are outliers that agree among themselves, and `Stay` gives them a segment of their own.
///
/// Coordinates come in steps: one step of the last digit is never a distance, so each difference is shortened by it
/// first, and its variance is part of the claim.
///
/// An epoch is measured by its own claim or by the mean claim of the window, whichever is the larger: its distance from
/// a median cannot be known better than the median's own epochs are.
///
/// Units:   metres and square metres in, multiples of 1 sigma out.
/// Time:    epochs in order of time; no clock.
/// Threads: one object, one thread. Fixed size, no allocation.
/// Errors:  none.

#include <array>
#include <cstddef>
#include <cstdint>

#include "estimate/average.hpp"

namespace stillpoint::estimate {

/// Turns differences in metres into three axes of unit claimed error.
struct Whitening {
  double east_per_m = 1;                        ///< first axis: east
  double north_per_m = 1, east_into_north = 0;  ///< second axis: (north − east_into_north · east) · north_per_m
  double up_per_m = 1;

  /// Of a claim already multiplied by the source's error scale through `error_scale`.
  static Whitening of(double ee_m2, double en_m2, double nn_m2, double uu_m2, double error_scale) noexcept;
  /// Of a sample's claim with the variance of its digits.
  static Whitening of(const Sample& sample, double error_scale) noexcept;
  std::array<double, 3> operator()(double east_m, double north_m, double up_m) const noexcept {
    return {east_m * east_per_m, (north_m - east_into_north * east_m) * north_per_m, up_m * up_per_m};
  }
  /// One step of the last digit on the three axes, in metres: the second one is made of two coordinates.
  std::array<double, 3> steps_m(const Ticks& ticks) const noexcept;
  /// The same in claimed errors.
  std::array<double, 3> steps(const Ticks& ticks) const noexcept;
};

class OutlierGate {
 public:
  static constexpr std::size_t kWindow = 15;
  static constexpr std::size_t kFirst = 5;  ///< epochs before the scatter is trusted
  static constexpr double kLimit = 5.0;

  explicit OutlierGate(double error_scale = 1.0) noexcept;
  struct Distance {
    double scaled = 0;   ///< from the running median, in multiples of s: the larger of across and height
    double claimed = 0;  ///< the same in multiples of the claimed error itself
  };
  /// Zero when nothing was accepted yet.
  Distance distance(const Sample& sample) noexcept;
  static bool accepts(const Distance& distance) noexcept { return distance.scaled <= kLimit; }
  void accept(const Sample& sample) noexcept;
  /// Forgets all it accepted.
  void clear() noexcept;

  /// The accepted epochs of the window without the newest `without`.
  struct Recent {
    std::size_t epochs = 0;
    Sample mean;  ///< of positions and of claims
    Sample newest;
    /// Half the mean square of the steps from epoch to epoch, in claimed variances; 1 when white.
    double roughness = 0;
  };
  Recent recent(std::size_t without) const noexcept;

 private:
  using Values = std::array<double, kWindow>;
  /// The window on one axis in rising order, in metres, with its median and median absolute deviation.
  struct Axis {
    Values rising{};
    double median_m = 0, deviation_m = 0;

    void insert(std::size_t count, double value_m) noexcept;
    /// Of a full window: one of its values for another.
    void replace(double old_m, double value_m) noexcept;
    void measure(std::size_t count) noexcept;
  };
  struct Deviation {
    double scaled, claimed;
  };
  Deviation deviation(const Axis& axis, double value_m, double per_m, double step_m) const noexcept;
  Whitening whitening(const Sample& sample) const noexcept;
  /// On the second axis.
  double across_m(const Sample& sample) const noexcept { return sample.north_m - east_into_north_ * sample.east_m; }
  void sum_claims() noexcept;
  void turn_to(double east_into_north) noexcept;

  double error_scale_;
  std::size_t count_ = 0, next_ = 0;
  std::array<Sample, kWindow> window_{};  // positions relative to the origin
  Sample origin_, claims_;                // claims_: sums over the window
  // What judging needs is kept ready, because it changes only with an accepted epoch. The second axis depends on the
  // shape of the claim, which seldom changes.
  Axis east_, across_, up_;
  double east_into_north_ = 0;  // of across_ = north − east_into_north · east
};

}  // namespace stillpoint::estimate
