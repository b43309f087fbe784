#pragma once
/// The turn test: one mark shot with the pole turned to several headings. What turns with the pole is the bubble.
///
/// Model:   position = mark + rotation(heading) · lean, least squares over all shots; the lean is in the pole's own
///          axes (right, forward), where heading 0 puts forward to the north.
/// Units:   metres, degrees clockwise from north. Threads: pure.
/// Errors:  one sentence when the headings cannot tell lean from place (fewer than two, or all alike).

#include <array>
#include <span>
#include <string>

#include "base/result.hpp"

namespace stillpoint::control {

struct TurnShot {
  double heading_deg = 0;
  double east_m = 0, north_m = 0;  ///< from any common origin
  double sigma_m = 0;              ///< 1 sigma of each axis
};

struct Turn {
  double right_m = 0, forward_m = 0;  ///< the lean's effect at the antenna
  double sigma_m = 0;                 ///< 1 sigma of each of the two
  double east_m = 0, north_m = 0;     ///< the place, free of the lean
  double scatter_m = 0;               ///< rms of what is left over
  bool leans = false;                 ///< significant at 99 %
  double lean_m() const noexcept;
  /// What the lean adds to a shot with this heading.
  std::array<double, 2> effect_m(double heading_deg) const noexcept;
};

Result<Turn> turn_test(std::span<const TurnShot> shots);

/// What it came to and what to do, in one sentence.
std::string turn_sentence(const std::string& mark, const Turn& turn);

}  // namespace stillpoint::control
