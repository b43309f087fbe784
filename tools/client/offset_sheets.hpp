#pragma once
/// What is asked for a point that nobody can stand on: from which kept point, how it was measured, the figures.
///
/// Threads: pure but for what their closures do with the desk. The day must outlive the sheets.

#include "client/day.hpp"
#include "client/desk.hpp"

namespace stillpoint::client {

/// Somebody stood there, and nobody has rejected it.
bool may_be_measured_from(const Json& point);
Sheet offset_sheet(const Day& day, const Json& point);

}  // namespace stillpoint::client
