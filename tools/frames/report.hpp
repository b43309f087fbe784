#pragma once
/// What stillpoint-frames prints.

#include <string>

#include "base/result.hpp"
#include "config/settings.hpp"
#include "options.hpp"

namespace stillpoint::frames {

/// ITRF2020 on the day against every usual frame whose area holds the place.
Result<std::string> usual_frames(const Options& options);

/// Every source of a configuration against its project frame, and the sources against each other.
Result<std::string> configured_sources(const Options& options, const config::Settings& settings);

}  // namespace stillpoint::frames
