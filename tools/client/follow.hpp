#pragma once
/// `status --follow` away from a terminal, and `alerts --follow`: prints what the daemon sends until the user stops it.
///
/// A lost daemon ends the program with its exit status and sentence.
///
/// Time:    reads the steady clock.
/// Threads: one.

#include <iosfwd>
#include <string>

#include "client/link.hpp"
#include "client/where.hpp"

namespace stillpoint::client {

/// A link to which the daemon sends every status and alert.
Outcome<Link> start_following(const std::string& path, const Surroundings& around);

Outcome<void> follow_status(const std::string& path, const Surroundings& around, bool json, std::ostream& out);
/// `params`: those of `alerts`, whose list is printed first.
Outcome<void> follow_alerts(const std::string& path, const Surroundings& around, const nlohmann::json& params,
                            bool json, std::ostream& out);

}  // namespace stillpoint::client
