#pragma once
/// For which stays a correction of the antenna is: local times and names of points become what the record knows.
///
/// Rule:    a name is that of any version of a point, and stands for the stay it was measured with. It means the same for
///          ever, since a name and visit is one point's, so that an earlier redo reads today as it did then.
/// Time:    UTC of the data; local times by the zone that is handed in.
/// Threads: one, for the system library knows one zone.
/// Errors:  one sentence with file and line.

#include <string>
#include <vector>

#include "config/redo.hpp"
#include "office.hpp"
#include "pointbook/versions.hpp"

namespace stillpoint::office {

bool has_local_times(const config::Redo& redo);

/// Local times become UTC.
Result<void> resolve_times(config::Redo& redo, const std::string& zone);

/// Names become those under which the record knows the stays.
Result<void> resolve_names(config::Redo& redo, const std::vector<pointbook::Versions>& points);

}  // namespace stillpoint::office
