#pragma once
/// One recomputation: the stream through the session, the points out as JSON lines and into a pointbook.

#include "config/settings.hpp"
#include "options.hpp"
#include "stream.hpp"

namespace stillpoint::reduce {

/// Runs it and returns the exit status; sentences go to stderr, results to stdout.
int run(const Options& options, const config::Settings& settings, Stream stream);

}  // namespace stillpoint::reduce
