#pragma once
/// The visits file: which stays to recompute. CSV with the header `name,start_utc,end_utc,code`.
///
/// Fields:  may be quoted ("a,b", "" for a quote). A name that stands twice is a repeat visit.
/// Time:    `2026-06-03T14:05:10Z`, fractions allowed; start inclusive, end exclusive.
/// Threads: pure.
/// Errors:  one sentence with the line number; the first fault ends the reading.

#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"
#include "session/session.hpp"

namespace stillpoint::session {

/// `path` is used in messages only.
Result<std::vector<PlannedVisit>> parse_visits(std::string_view csv, const std::string& path);

}  // namespace stillpoint::session
