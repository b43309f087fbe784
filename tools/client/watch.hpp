#pragma once
/// The live screen: shows what the daemon sends, rings, and carries out what keys ask for, until the user leaves.
///
/// A lost daemon is shown within 2.5 s and waited for; keys then do nothing but say so.
///
/// Time:    reads the steady clock.
/// Threads: one.
/// Errors:  only that no daemon was there at the start; later ones are shown.

#include <iosfwd>
#include <string>

#include "client/link.hpp"
#include "client/where.hpp"

namespace stillpoint::client {

/// `mute`: never rings.
Outcome<void> watch(const std::string& path, const Surroundings& around, bool mute, std::ostream& out);

}  // namespace stillpoint::client
