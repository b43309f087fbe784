#pragma once
/// What one epoch claims to have in error, from GST (its ellipse where printed), or from the source's assumed sigma.
///
/// Units:  metres; 1 sigma in the covariances, 95 % in the radii.
/// Errors: empty when the receiver did not say; an error is never invented.

#include <optional>

#include "config/settings.hpp"
#include "corrections/freshness.hpp"
#include "epoch/epoch.hpp"

namespace stillpoint::gate {

struct EpochError {
  /// As the average wants it: multiplied by the error scale squared it is the whole covariance, coast growth included.
  double ee_m2 = 0, en_m2 = 0, nn_m2 = 0, uu_m2 = 0;
  double error95_horizontal_m = 0;  ///< scaled and grown, without floor
  double error95_vertical_m = 0;
  bool assumed = false;
};

std::optional<EpochError> error_of(const epoch::Epoch& epoch, const config::Source& source,
                                   const corrections::Freshness& freshness) noexcept;

}  // namespace stillpoint::gate
