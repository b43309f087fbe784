#pragma once
/// The drawings of the report as SVG on paper, each with the sentence that says the same.
///
/// Shapes, places and words carry the meaning; ink is black on white. Dots that fall on one another are drawn once.
///
/// Units:   metres and seconds in the data; millimetres on paper.
/// Threads: pure.
/// Errors:  none.

#include <string>
#include <vector>

#include "report/facts.hpp"

namespace stillpoint::report {

inline constexpr double kPaperWidth_mm = 174;

/// The points of the day in their order, each with its sign.
std::string point_strip(const Facts& facts);

/// All points and marks, with error ellipses; of many points only those names that matter, and the sheets.
std::string day_map(const Facts& facts);
/// So many points need sheets of their own to be named.
bool needs_sheets(const Facts& facts);
/// One page each.
std::string map_sheets(const Facts& facts);

/// The seconds of a stay about its average, for a decision.
std::string scatter(const Facts& facts, const PointFact& fact);

/// What each check was off: in plan about the mark, in height beside its limit.
std::string check_drawings(const Facts& facts);

/// The age of the corrections through the day, with the points and checks below it.
std::string day_strip(const Facts& facts);

/// An ellipse that holds 95 % of a plane distribution with this covariance: half axes, and how far the longer one is
/// turned on paper.
struct Ring {
  double major_m = 0, minor_m = 0, turn_deg = 0;
};
Ring ring95(double ee_m2, double en_m2, double nn_m2) noexcept;

}  // namespace stillpoint::report
