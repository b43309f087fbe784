#pragma once
/// Decides whether the sentences of one second contradict each other.
///
/// The claim of GGA counts; a sentence beside it that claims clearly less is a conflict, one that claims more is not.
/// What healthy receivers print is let through: RMC mode D beside a fixed or floating GGA, mode A beside code
/// corrections, a navigation status V, a PDOP that is larger than its parts.
///
/// Units:   DOPs as printed. Threads: pure. Errors: none.
/// Source:  mode letters of RMC and GNS as in published receiver manuals; PDOP² = HDOP² + VDOP² by definition.

#include <string_view>

#include "epoch/epoch.hpp"

namespace stillpoint::gate {

/// The sentence that says what contradicts what; empty: nothing does.
std::string_view conflict_in(const epoch::Epoch& epoch) noexcept;

}  // namespace stillpoint::gate
