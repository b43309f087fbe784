#include "geodesy/antenna.hpp"

#include <cmath>
#include <optional>

#include "base/number.hpp"

namespace stillpoint::geodesy {
namespace {

// Typed decimals are not exact in binary: a difference of exactly 3 mm must still agree.
constexpr double kRoundingM = 1e-9;

Result<double> from_slant_m(const config::Slant& slant) {
  if (!std::isfinite(slant.length_m) || !std::isfinite(slant.radius_m) ||
      !std::isfinite(slant.plane_to_phase_centre_m)) {
    return fail("antenna slant_m: every number must be finite");
  }
  if (slant.radius_m < 0.0) {
    return fail("antenna slant_m: the radius " + readable(slant.radius_m, 3) + " m is negative");
  }
  if (!(slant.length_m > slant.radius_m)) {
    return fail("antenna slant_m: the length " + readable(slant.length_m, 3) + " m is not longer than the radius " +
                readable(slant.radius_m, 3) + " m, so no height fits; measure the slant again");
  }
  return std::sqrt(slant.length_m * slant.length_m - slant.radius_m * slant.radius_m) + slant.plane_to_phase_centre_m;
}

Result<double> from_parts_m(const config::Antenna& antenna) {
  double sum_m = 0.0;
  for (const auto& [name, length_m] : antenna.vertical_parts_m) {
    if (!std::isfinite(length_m)) return fail("antenna part " + name + " must be a finite number of metres");
    sum_m += length_m;
  }
  return sum_m;
}

Result<double> from_tape_m(const config::Antenna& antenna) {
  const bool parts = !antenna.vertical_parts_m.empty();
  if (parts && antenna.slant_m) {
    return fail("antenna: vertical_parts_m and slant_m are both given; keep the one that was measured");
  }
  if (antenna.slant_m) return from_slant_m(*antenna.slant_m);
  if (parts) return from_parts_m(antenna);
  return fail("antenna: no height is given; measure vertical_parts_m or slant_m, or say already_reduced_by_receiver");
}

}  // namespace

Result<double> antenna_height_m(const config::Antenna& antenna) {
  if (antenna.already_reduced_by_receiver) return 0.0;
  const Result<double> height_m = from_tape_m(antenna);
  if (!height_m) return height_m;
  if (*height_m < 0.0) {
    return fail("antenna: the height comes to " + readable(*height_m, 3) + " m, below the mark; check the signs");
  }
  if (antenna.also_measured_ft) {
    const double second_m = *antenna.also_measured_ft * kFootM;
    if (!(std::abs(second_m - *height_m) <= kSecondReadingToleranceM + kRoundingM)) {
      return fail("antenna: the second reading " + readable(*antenna.also_measured_ft, 3) + " ft is " +
                  readable(second_m, 4) + " m, but the first gives " + readable(*height_m, 4) + " m: they differ by " +
                  readable(std::abs(second_m - *height_m) * 1000.0, 1) + " mm, limit 3 mm; measure both again");
    }
  }
  return height_m;
}

}  // namespace stillpoint::geodesy
