#pragma once
/// The vector that each mistake would leave. Only for this room.
///
/// Units: metres. Threads: pure. Errors: none; a mistake that this set-up cannot hold has no signature.

#include <string>
#include <vector>

#include "control/diagnosis.hpp"
#include "control/small_matrix.hpp"

namespace stillpoint::control {

struct Signature {
  Suspect suspect = Suspect::frame_swapped;
  Vector3 mean{};
  Matrix3 spread{};     ///< covariance of the predicted vector around its mean
  double weight = 1;    ///< prior weight
  bool shared = false;  ///< the same vector is expected on every mark
  std::string what, confirm;
};

std::vector<Signature> signatures(const Scene& scene, bool other_marks);

/// Prior weight of chance, and of an error of any other shape.
inline constexpr double kChanceWeight = 0.30;
inline constexpr double kAnythingWeight = 0.02;
/// Spreads of a vector of unknown size, from a centimetre to metres, each as likely as the next.
inline constexpr std::array<double, 5> kSizesM{0.03, 0.1, 0.3, 1.0, 3.0};

}  // namespace stillpoint::control
