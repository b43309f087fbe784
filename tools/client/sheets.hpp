#pragma once
/// What the day's acts ask: a new point, More and all that it opens. Each sheet reads the day when it is opened.
///
/// Threads: pure but for what their closures do with the desk. The day must outlive the sheets.

#include "client/day.hpp"
#include "client/desk.hpp"

namespace stillpoint::client {

Sheet name_sheet(const Day& day);
Sheet more_sheet(const Day& day, const Now& now, bool narrow);
Sheet help_sheet(bool narrow);

}  // namespace stillpoint::client
