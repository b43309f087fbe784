#pragma once
/// Whether the project's geoid and the receiver's own can both be right, and what the geoid's error is in a height.
///
/// Rule:    every GGA carries the height of the receiver's own geoid. Those built in are coarse, up to a metre off, and
///          made for the ellipsoid of ITRF, where the grid's height is taken too. More than 2 m between the two means
///          that grid, sign or frame is wrong; so does a grid that is farther off than a built-in geoid may be and fits
///          better with its sign turned.
/// Units:   metres; errors 1 sigma unless a name says 95 %.
/// Threads: pure functions. Errors: none.

#include <optional>
#include <string>

#include "config/settings.hpp"
#include "geodesy/frames.hpp"
#include "occupation/point.hpp"

namespace stillpoint::occupation {

inline constexpr double kMostBetweenGeoidsM = 2.0;
inline constexpr double kCoarseGeoidM = 1.0;

/// Why the two cannot both be right, with both figures; empty: they can, or the project has no geoid.
std::optional<std::string> geoid_contradiction(const geodesy::Delivered& here, double receivers_m);

/// What the geoid adds, at 95 %, to the error of the heights that the project delivers; 0 for ellipsoid heights. It is
/// the same in every second and on every visit, so it never averages.
double geoid_error95_m(const config::Project& project) noexcept;

/// The geoid's part of a point's error in height, at 95 %, and the rest, which is that of the ellipsoid height: all
/// that visits of one place may differ by.
double geoid_part95_m(const Coordinates& at) noexcept;
double ellipsoid_error95_m(const Coordinates& at) noexcept;

}  // namespace stillpoint::occupation
