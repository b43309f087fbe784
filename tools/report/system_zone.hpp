#pragma once
/// The machine's own knowledge of time zones.
///
/// Units:   seconds east of UTC.
/// Time:    of the data; asks no clock.
/// Threads: one zone for the whole program, for the system library knows only one.
/// Errors:  empty when the machine knows no zone of that name.

#include <optional>
#include <string>

#include "report/day_clock.hpp"

namespace stillpoint::report {

std::optional<DayClock> clock_of_zone(const std::string& zone);

}  // namespace stillpoint::report
