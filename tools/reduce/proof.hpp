#pragma once
/// The two evaluations that need no recorded bytes: an accuracy statement over check points, and the field test of a
/// receiver.
///
/// Errors: one sentence on stderr; exit 0 done (a test: passed), 1 not passed or not enough measured, 2 usage, 4
/// unreadable input.

#include <optional>

namespace stillpoint::reduce {

/// The exit status when the command line asks for one of the two; nothing otherwise.
std::optional<int> run_proof(int argc, char** argv);

}  // namespace stillpoint::reduce
