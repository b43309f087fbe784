#pragma once
/// `status --follow` and `alerts --follow`: shows what the daemon sends until the user stops it.
///
/// On a terminal a lost daemon is shown and waited for; elsewhere the program ends with its exit status and sentence.
///
/// Time:    reads the steady clock.
/// Threads: one.

#include <iosfwd>
#include <string>

#include "client/link.hpp"
#include "client/where.hpp"

namespace stillpoint::client {

Outcome<void> follow_status(const std::string& path, const Surroundings& around, bool json, std::ostream& out);
/// `params`: those of `alerts`, whose list is printed first.
Outcome<void> follow_alerts(const std::string& path, const Surroundings& around, const nlohmann::json& params,
                            bool json, std::ostream& out);

}  // namespace stillpoint::client
