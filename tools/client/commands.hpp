#pragma once
/// What each command asks the daemon and what it prints.
///
/// Threads: one.
/// Errors:  a `Failure` with its sentence and exit status.

#include <iosfwd>
#include <optional>
#include <string>
#include <vector>

#include "client/link.hpp"
#include "client/where.hpp"

namespace stillpoint::client {

/// The command line, read.
struct Command {
  std::string verb;
  std::string control;
  bool json = false, follow = false, seen = false, again = false, is_new = false, sure = false, accept = false,
       reject = false, make_void = false;
  bool plain = false, mute = false;
  bool closing = false;
  std::string name, code, note, reason, turn, leave_held, leave_record;
  std::optional<std::string> new_name, new_code, new_note;  ///< `amend`: empty means as before
  std::optional<int> visit;
  std::optional<double> height_m, feet;  ///< `antenna`, `pole`: the new height, and a second reading of it
  std::vector<std::string> from, distances, distance_errors;  ///< `offset`: of each kept point, in their order
  std::vector<int> from_visits;
  std::string bearing, bearing_error, north, declination, side, up, up_error;
  std::string since;  ///< `pole`: HH:MM of the machine's zone, or a time in UTC
};

Outcome<void> carry_out(const Command& command, const Surroundings& around, std::ostream& out);

}  // namespace stillpoint::client
