#pragma once
/// The errors of one receiver under one correction source: white noise, a Gauss-Markov process with a correlation time
/// of its own on each axis, a constant, and heavy tails.
///
/// Units:   metres, seconds; 1 sigma.
/// Time:    one step an epoch; the interval is given at the start.
/// Threads: one object, one thread. Errors: none.
/// Source:  a stationary first-order Gauss-Markov process has the autocorrelation exp(-lag/tau).

#include <array>

#include "simulate/random.hpp"

namespace stillpoint::simulate {

/// East, north, up of anything.
struct Axes {
  double east = 0, north = 0, up = 0;  // unit: that of the member it is used for

  Axes operator+(const Axes& o) const noexcept { return {east + o.east, north + o.north, up + o.up}; }
  Axes operator*(double factor) const noexcept { return {east * factor, north * factor, up * factor}; }
};

struct ErrorModel {
  Axes white_m;
  Axes markov_m;
  Axes tau_s{60, 60, 60};
  Axes bias_m;
  int tail_freedom = 0;  ///< 0: normal; 3 and more: the white part is Student's t, scaled to the same variance
};

class ErrorProcess {
 public:
  ErrorProcess(const ErrorModel& model, double interval_s) noexcept;
  /// Begins anew with a draw from the stationary distribution.
  void restart(Random& random) noexcept;
  /// The error of the next epoch.
  Axes step(Random& random) noexcept;
  /// 1 sigma of white and Gauss-Markov parts together: what an honest receiver would claim.
  Axes sigma_m() const noexcept { return sigma_m_; }

 private:
  ErrorModel model_;
  Axes keep_, drive_m_, state_m_, sigma_m_;
};

}  // namespace stillpoint::simulate
