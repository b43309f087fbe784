#include "occupation/geoid.hpp"

#include <algorithm>
#include <cmath>

#include "base/number.hpp"
#include "estimate/average.hpp"
#include "occupation/sentences.hpp"

namespace stillpoint::occupation {

std::optional<std::string> geoid_contradiction(const geodesy::Delivered& here, double receivers_m) {
  if (here.geoid.empty()) return std::nullopt;
  const double grid_m = here.geoid_height_in_itrf_m;
  const double apart_m = std::abs(grid_m - receivers_m);
  const bool turned = std::abs(grid_m + receivers_m) < apart_m;
  if (!(apart_m > kMostBetweenGeoidsM) && !(turned && apart_m > kCoarseGeoidM)) return std::nullopt;
  const std::string grids = with_sign(grid_m, 2);
  const std::string receivers = with_sign(receivers_m, 2);
  if (receivers_m == 0) return kSay.geoid_unknown_to_receiver(grids, receivers);
  return turned ? kSay.geoid_turned(grids, receivers)
                : kSay.geoid_apart(grids, receivers, fixed(kMostBetweenGeoidsM, 0));
}

double geoid_part95_m(const Coordinates& at) noexcept {
  const double own_m = ellipsoid_error95_m(at);
  return std::sqrt(std::max(0.0, at.error95_vertical_m * at.error95_vertical_m - own_m * own_m));
}

double ellipsoid_error95_m(const Coordinates& at) noexcept {
  if (at.geoid.empty()) return at.error95_vertical_m;
  return std::min(at.error95_vertical_m, estimate::vertical95(at.covariance_enu_m2[3]));
}

double geoid_error95_m(const config::Project& project) noexcept {
  constexpr double kNormal95 = 1.959963984540054;
  return project.geoid && project.height == config::HeightKind::orthometric ? kNormal95 * project.geoid->error_m : 0;
}

}  // namespace stillpoint::occupation
