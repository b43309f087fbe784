#pragma once
/// What `--check` and `--check-feed` tell before the day begins.
///
/// Threads: one. Errors: sentences on stderr, exit status as in the contract.

#include <ostream>
#include <string>

#include "config/load.hpp"
#include "geodesy/frames.hpp"

namespace stillpoint::daemon {

/// Frame operations, limits, antenna height and sentences needed, in plain words.
void tell_check(std::ostream& out, const config::Loaded& loaded, const geodesy::Frames& frames);

/// Listens to the configured feed for so long (a replay: of log time) and tells what arrives and what is missing.
/// Returns the exit status.
int check_feed(std::ostream& out, const config::Settings& settings, double seconds);

/// The serial ports of this machine, in words. Returns the exit status.
int tell_ports(std::ostream& out);

}  // namespace stillpoint::daemon
