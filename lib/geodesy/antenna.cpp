#include "geodesy/antenna.hpp"

#include <cmath>
#include <optional>

#include "base/number.hpp"
#include "geodesy/sentences.hpp"

namespace stillpoint::geodesy {
namespace {

// Typed decimals are not exact in binary: a difference of exactly 3 mm must still agree.
constexpr double kRoundingM = 1e-9;

Result<double> from_slant_m(const config::Slant& slant) {
  if (!std::isfinite(slant.length_m) || !std::isfinite(slant.radius_m) ||
      !std::isfinite(slant.plane_to_phase_centre_m)) {
    return fail(kSay.slant_not_finite());
  }
  if (slant.radius_m < 0.0) {
    return fail(kSay.radius_negative(readable(slant.radius_m, 3)));
  }
  if (!(slant.length_m > slant.radius_m)) {
    return fail(kSay.slant_too_short(readable(slant.length_m, 3), readable(slant.radius_m, 3)));
  }
  return std::sqrt(slant.length_m * slant.length_m - slant.radius_m * slant.radius_m) + slant.plane_to_phase_centre_m;
}

Result<double> from_parts_m(const config::Antenna& antenna) {
  double sum_m = 0.0;
  for (const auto& [name, length_m] : antenna.vertical_parts_m) {
    if (!std::isfinite(length_m)) return fail(kSay.part_not_finite(name));
    sum_m += length_m;
  }
  return sum_m;
}

Result<double> from_tape_m(const config::Antenna& antenna) {
  const bool parts = !antenna.vertical_parts_m.empty();
  if (parts && antenna.slant_m) {
    return fail(kSay.two_heights());
  }
  if (antenna.slant_m) return from_slant_m(*antenna.slant_m);
  if (parts) return from_parts_m(antenna);
  return fail(kSay.no_height_given());
}

}  // namespace

Result<double> antenna_height_m(const config::Antenna& antenna) {
  if (antenna.already_reduced_by_receiver) return 0.0;
  const Result<double> height_m = from_tape_m(antenna);
  if (!height_m) return height_m;
  if (*height_m < 0.0) {
    return fail(kSay.below_mark(readable(*height_m, 3)));
  }
  if (antenna.also_measured_ft) {
    const double second_m = *antenna.also_measured_ft * kFootM;
    if (!(std::abs(second_m - *height_m) <= kSecondReadingToleranceM + kRoundingM)) {
      return fail(kSay.second_reading_differs(readable(*antenna.also_measured_ft, 3), readable(second_m, 4),
                                              readable(*height_m, 4),
                                              readable(std::abs(second_m - *height_m) * 1000.0, 1)));
    }
  }
  return height_m;
}

}  // namespace stillpoint::geodesy
