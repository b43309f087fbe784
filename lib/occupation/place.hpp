#pragma once
/// Where a finished point lies, for what measures from it.
///
/// Units: degrees, metres. Threads: plain function. Errors: none.

#include "geodesy/local.hpp"
#include "occupation/point.hpp"

namespace stillpoint::occupation {

inline geodesy::Geographic place_of(const Coordinates& at) noexcept {
  return {at.latitude_deg, at.longitude_deg, at.ellipsoid_height_m};
}

}  // namespace stillpoint::occupation
