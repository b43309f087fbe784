#pragma once
// An invented day along the Harrowfen Trail, of as many points as wanted, as a pointbook's whole content and as a file.

#include <string>

#include "pointbook/reader.hpp"

namespace stillpoint::samples {

struct DayRules {
  int points = 24;
  std::size_t seconds = 66;  ///< of each stay
  bool closed = true;
};

/// Accepted points but for three in 24: one stay is too short, for an outage; one has a jump; one misses what was
/// wanted. Checks on two marks through the day, an outage, points of two codes. The same for the same rules.
pointbook::Contents invented_day(const DayRules& rules);

/// The same day as a GeoPackage; empty when it is written, else what went wrong.
std::string write_day(const DayRules& rules, const std::string& path);

}  // namespace stillpoint::samples
