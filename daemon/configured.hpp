#pragma once
/// Whether a day can begin with a configuration.
///
/// Threads: one. Errors: sentences with file, line and key where there are any.

#include <string>
#include <vector>

#include "base/result.hpp"
#include "config/load.hpp"

namespace stillpoint::daemon {

/// What is wrong with what was loaded and the files that it names, but for frames, marks and plan.
std::vector<Error> faults_of(const config::Loaded& loaded, const std::string& path);

/// What stands in the way of a day with this file; empty: nothing.
std::vector<Error> faults_of_file(const std::string& path);

}  // namespace stillpoint::daemon
