#pragma once
/// The truth file: what a log was made from, as JSON.
///
/// Units: metres, degrees, UTC; in the names. Threads: pure. Errors: none.

#include <string>
#include <vector>

#include "simulate/simulation.hpp"

namespace stillpoint::simulate {

/// One JSON object. `epochs`: of every epoch in order.
std::string truth_json(const Simulation& simulation, const std::vector<TrueEpoch>& epochs);

/// `text` as a JSON string, in quotes.
std::string json_text(std::string_view text);

}  // namespace stillpoint::simulate
