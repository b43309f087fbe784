#include "gate/error.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "estimate/average.hpp"

namespace stillpoint::gate {
namespace {

constexpr double kOneAxis95 = 1.959963984540054;

/// Two horizontal 1-sigma axes, the first one turned `orientation_deg` from true north, and the vertical one.
struct Axes {
  double first_m = 0, second_m = 0, orientation_deg = 0, up_m = 0;
};

/// A claim of exactly zero is no claim.
bool usable(const std::optional<double>& sigma_m) noexcept {
  return sigma_m && *sigma_m > 0;
}

std::optional<Axes> claimed(const std::optional<nmea::Gst>& gst) noexcept {
  if (!gst || !usable(gst->sigma_altitude_m)) return std::nullopt;
  const double up_m = *gst->sigma_altitude_m;
  if (usable(gst->semi_major_m) && gst->semi_minor_m && *gst->semi_minor_m >= 0 && gst->orientation_deg) {
    return Axes{*gst->semi_major_m, *gst->semi_minor_m, *gst->orientation_deg, up_m};
  }
  if (!usable(gst->sigma_latitude_m) || !usable(gst->sigma_longitude_m)) return std::nullopt;
  return Axes{*gst->sigma_latitude_m, *gst->sigma_longitude_m, 0.0, up_m};
}

double growth_m(const config::Gate& gate, const corrections::Freshness& freshness) noexcept {
  if (freshness.state != corrections::State::coasting || !freshness.age_s) return 0.0;
  return gate.coast_growth_m_per_min * (*freshness.age_s - gate.fresh_age_s) / 60.0;
}

}  // namespace

std::optional<EpochError> error_of(const epoch::Epoch& epoch, const config::Source& source,
                                   const corrections::Freshness& freshness) noexcept {
  auto axes = claimed(epoch.error);
  EpochError out;
  if (!axes && source.assumed_sigma_m) {
    const auto& sigma = *source.assumed_sigma_m;
    axes = Axes{sigma.horizontal_m, sigma.horizontal_m, 0.0, sigma.vertical_m};
    out.assumed = true;
  }
  if (!axes) return std::nullopt;

  // The growth is in metres of the finished error, so the scale that is applied later must not multiply it.
  const double scale = source.error_scale;
  const double grown = growth_m(source.gate, freshness) / scale;
  const double first = axes->first_m + grown;
  const double second = axes->second_m + grown;
  const double up = axes->up_m + grown;
  const double angle = axes->orientation_deg * std::numbers::pi / 180.0;
  const double s = std::sin(angle);
  const double c = std::cos(angle);
  out.ee_m2 = first * first * s * s + second * second * c * c;
  out.nn_m2 = first * first * c * c + second * second * s * s;
  out.en_m2 = (first * first - second * second) * s * c;
  out.uu_m2 = up * up;
  const double longer = std::max(first, second);
  const double shorter = std::min(first, second);
  out.error95_horizontal_m = estimate::k95(shorter / longer) * longer * scale;
  out.error95_vertical_m = kOneAxis95 * up * scale;
  return out;
}

}  // namespace stillpoint::gate
