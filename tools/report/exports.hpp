#pragma once
/// The points as CSV (RFC 4180) and GeoJSON (RFC 7946 but for its frame, which is the project's and is named).
///
/// Units:   as in the column names. Threads: pure. Errors: none.

#include <string>

#include "report/facts.hpp"

namespace stillpoint::report {

/// Newest version of every stay, all statuses; lines end in CRLF.
std::string points_csv(const Facts& facts);

/// Stays that have coordinates, with latitude and longitude in the project frame's geographic base.
std::string points_geojson(const Facts& facts);

}  // namespace stillpoint::report
