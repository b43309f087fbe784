#pragma once
/// What `--check` and `--check-feed` tell before the day begins.
///
/// Threads: one. Errors: sentences on stderr, exit status as in the contract.

#include <optional>
#include <ostream>
#include <string>
#include <vector>

#include "base/result.hpp"
#include "base/time.hpp"
#include "config/load.hpp"
#include "control/marks.hpp"
#include "control/plan.hpp"
#include "geodesy/frames.hpp"

namespace stillpoint::daemon {

/// Where and when the shifts between the frames are told.
struct TrialPlace {
  std::optional<geodesy::Geographic> place;  ///< empty: somewhere in each operation's area
  UtcTime utc;
};

/// Why sources cannot serve the place that was named, one sentence each; empty when all do.
std::vector<Error> unserved(const config::Settings& settings, const geodesy::Frames& frames, const TrialPlace& trial);

/// What the files beside the configuration hold.
struct Lists {
  control::Marks marks;
  control::Plan plan;
};

/// Frame operations with their shift, limits, antenna height, marks, planned points and sentences needed, in plain
/// words.
void tell_configuration(std::ostream& out, const config::Loaded& loaded, const geodesy::Frames& frames,
                        const TrialPlace& trial, const Lists& lists);

/// Listens to the configured feed for so long (a replay: of log time) and tells what arrives and what is missing.
/// Returns the exit status.
int check_feed(std::ostream& out, const config::Settings& settings, double seconds);

/// What the record of the day has and the pointbook lacks; nothing when all is there.
void tell_missing(std::ostream& out, const config::Settings& settings);

/// The serial ports of this machine, in words. Returns the exit status.
int tell_ports(std::ostream& out);

}  // namespace stillpoint::daemon
