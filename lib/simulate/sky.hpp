#pragma once
/// Which satellites stand where, and how well their directions fix a position.
///
/// The constellations are plausible, not real: circular orbits with the published nominal sizes, inclinations and plane
/// counts of three systems, phased from the date.
///
/// Units:   degrees; dilutions of precision are plain numbers.
/// Threads: pure functions. Errors: fewer than four satellites, or directions that do not fix a position, give nothing.
/// Source:  nominal orbits as published in the interface documents of the systems, from memory: semi-major axis
///          26,560 km and 55 degrees in 6 planes; 25,510 km and 64.8 degrees in 3; 29,600 km and 56 degrees in 3.

#include <optional>
#include <span>
#include <vector>

#include "base/time.hpp"

namespace stillpoint::simulate {

struct Satellite {
  int id = 0;      ///< as printed: 1-32, 65-88, 1-24 by system
  int system = 1;  ///< 1, 2, 3: the system number of GSA
  double elevation_deg = 0;
  double azimuth_deg = 0;
  int signal_db_hz = 0;
};

struct Dops {
  double horizontal = 99.99, vertical = 99.99, position = 99.99;
};

/// Everything above the horizon, by system and id.
std::vector<Satellite> satellites_at(UtcTime utc, double latitude_deg, double longitude_deg);

/// From the inverse of AᵀA, with one receiver clock for all systems.
std::optional<Dops> dops_of(std::span<const Satellite> used) noexcept;

}  // namespace stillpoint::simulate
