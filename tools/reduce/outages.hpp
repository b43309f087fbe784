#pragma once
/// The study of a recording in which the corrections were taken away once: how this receiver shows it.
///
/// Errors: one sentence on stderr; exit 0 a loss was found, 1 none in the recording, 2 usage, 4 unreadable input.

#include <optional>

namespace stillpoint::reduce {

/// The exit status when the command line asks for the study; nothing otherwise.
std::optional<int> run_outage_study(int argc, char** argv);

}  // namespace stillpoint::reduce
