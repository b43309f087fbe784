#pragma once
/// How far the receiver's reported position is above the mark.
///
/// Units:  metres; feet are international feet of exactly 0.3048 m.
/// Errors:  one sentence when the parts cannot be right (slant shorter than its radius, second reading off by more than
///          3 mm).

#include "base/result.hpp"
#include "base/units.hpp"
#include "config/settings.hpp"

namespace stillpoint::geodesy {

inline constexpr double kSecondReadingToleranceM = 0.003;

/// Sum of the vertical parts, or √(slant² − radius²) plus the signed offset of the measuring plane. 0 when the
/// receiver already reduces its output to the mark.
Result<double> antenna_height_m(const config::Antenna& antenna);

}  // namespace stillpoint::geodesy
