#pragma once
/// The drawings of the report as SVG, each with the sentence that says the same.
///
/// Shapes, places and words carry the meaning; ink is black on white. Dots that fall on one another are drawn once.
///
/// Units:   metres and seconds in the data; pixels in the drawings.
/// Threads: pure.
/// Errors:  none.

#include <string>
#include <vector>

#include "report/facts.hpp"

namespace stillpoint::report {

/// The stays of one correction source around their means, all at one scale.
std::string scatters(const Facts& facts);

/// The age of the corrections over the day, with which seconds counted; gaps are gaps.
std::string day_strip(const Facts& facts);

/// How the 95 % error of the mean fell during the stays that ended with the largest one.
std::string error_curves(const Facts& facts);

/// What each check was off, from the mark.
std::string check_arrows(const Facts& facts);

}  // namespace stillpoint::report
