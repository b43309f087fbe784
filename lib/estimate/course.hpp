#pragma once
/// How the position went along during a stay: its straight line over time, and the places it visited.
///
/// What moves in a line was not seen to average out, and a place that lies far from the mean was seen however short it
/// was. Both are measured in the claimed sigma of one epoch.
///
/// Units:   metres from any nearby origin, square metres; seconds.
/// Time:    of the epochs, from any start, in order; no clock.
/// Threads: one object, one thread. Fixed size, O(1) amortised time an epoch, no allocation but when two are joined.
/// Errors:  none. Values must be finite, weights positive.
/// Source:  weighted recursions after Welford (1962); thresholds by simulation.

#include <array>
#include <cstddef>
#include <cstdint>
#include <vector>

namespace stillpoint::estimate {

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

/// Means of blocks of equal count, 8 to 15 of them whatever the length (fewer in the first seconds).
class Track {
 public:
  void add(double east_m, double north_m) noexcept;
  /// The largest `form` of a block's distance from the given place; the block being filled counts once half full.
  double farthest(const Form& form, double east_m, double north_m) const noexcept;
  /// Takes in the other's blocks as they are, beside its own.
  void set_beside(const Track& other);

 private:
  struct Place {
    double east_m = 0, north_m = 0;
  };
  template <class Look>
  void each(const Look& look) const {
    for (std::size_t i = 0; i < count_; ++i) look(full_[i]);
    if (2 * filled_ >= block_epochs_) look(filling_);
    for (const Place& place : beside_) look(place);
  }
  void join_pairs() noexcept;

  static constexpr std::size_t kMost = 16;
  std::array<Place, kMost> full_{};
  std::size_t count_ = 0;
  std::uint64_t block_epochs_ = 4;
  Place filling_;  // mean of the block being filled
  std::uint64_t filled_ = 0;
  std::vector<Place> beside_;  // blocks of other tracks
};

class Course {
 public:
  /// `weight_per_m2` as in the mean; height gives its value as `east_m` and 0 as `north_m`.
  void add(double time_s, double weight_per_m2, double east_m, double north_m) noexcept;
  /// Takes in the epochs of another course about the same origin, as one stay.
  void join(const Course& other);
  std::uint64_t epochs() const noexcept { return epochs_; }
  /// From first to last epoch, with the last one's own share of the time: (last − first) n/(n−1).
  double duration_s() const noexcept;
  /// Part of the scatter that lies on the line, a share of the claim; `axes` 2 in plan, 1 in height.
  double line(const Form& inverse_claim, int axes) const noexcept;
  /// Drift over the stay in claimed sigmas; 0 while there is no line.
  double drift_sigmas(const Form& inverse_claim) const noexcept;
  /// The same in metres.
  double drift_m() const noexcept;
  /// Square of the distance of the farthest place visited, in claimed variances; in metres with a form of units.
  double excursion(const Form& inverse_claim) const noexcept;

 private:
  std::uint64_t epochs_ = 0;
  double first_s_ = 0, last_s_ = 0;
  double weight_per_m2_ = 0;
  double time_s_ = 0, east_m_ = 0, north_m_ = 0;  // weighted means; time from the first epoch
  double time_comoment_ = 0;                      // Q = Σ w (t − mean)²
  double slope_east_ = 0, slope_north_ = 0;       // p = Σ w (t − mean)(x − mean)
  Track track_;
};

/// What is known of the claim before the stay began.
struct Trust {
  bool verified = false;         ///< the error scale was measured, on enough visits
  double unproven_margin = 1.5;  ///< f: claims may be too small by this much while it was not
};

/// What is left of one epoch's claimed variance in the mean, and what refutes the stay.
struct Share {
  double averaged = 1;    ///< v_a: what averaging left; 1/v_a are the effective epochs
  double raise = 1;       ///< κ²: above 1 the scatter refutes the claim
  double reach = 0;       ///< added for drift and for the farthest place visited
  double total = 1;       ///< v
  bool drifting = false;  ///< it moved farther than an honest claim allows: the stay must be held
  bool unproven = false;  ///< the unproven claim decided, averaging gained nothing
};

/// `evidence` and `inverse_claim` with the variance of the digits in the claim; `axes` 2 in plan, 1 in height.
Share unseen_share(const Evidence& evidence, const Course& course, const Form& inverse_claim, int axes,
                   const Trust& trust) noexcept;

}  // namespace stillpoint::estimate
