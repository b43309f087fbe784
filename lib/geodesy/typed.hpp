#pragma once
/// A place and a day as a person types them on a command line, and a place as it is shown to one.
///
/// Units:   decimal degrees, south and west negative; ellipsoid height 0.
/// Time:    noon UTC of the day.
/// Threads: pure functions.
/// Errors:  one sentence that names what was typed.

#include <string>

#include "base/result.hpp"
#include "base/time.hpp"
#include "geodesy/local.hpp"

namespace stillpoint::geodesy {

Result<Geographic> place_of(const std::string& latitude, const std::string& longitude);

Result<UtcTime> day_of(const std::string& text);

/// `47.600000 N 87.400000 W`
std::string place_text(double latitude_deg, double longitude_deg);

}  // namespace stillpoint::geodesy
