#pragma once
/// The JSON shapes of points, epochs, summaries, status and alerts. Numbers are JSON numbers or null, never NaN.
///
/// Latitude and longitude are written with 11 decimals, metres with 4 or more, so a printed value reads the same
/// wherever it was computed. Text is built in the order of the contract; it is one line without LF.

#include <string>

#include "occupation/point.hpp"
#include "occupation/repeats.hpp"
#include "session/session.hpp"
#include "session/status.hpp"

namespace stillpoint::wire {

std::string to_json(const occupation::Point& point);
/// {"combined": NAME, ...}: what the repeat visits of a point come to together.
std::string to_json(const occupation::Combined& combined);
std::string to_json(const occupation::EpochRecord& epoch);
/// {"summary": {...}}
std::string to_json(const session::Summary& summary, std::uint64_t points);
std::string to_json(const session::Status& status);
std::string to_json(const session::Alert& alert);
std::string to_json(const session::Outage& outage);

}  // namespace stillpoint::wire
