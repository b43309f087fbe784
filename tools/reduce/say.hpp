#pragma once
/// What the programs that recompute say alike. Compiled into each, so that each says its own name.
///
/// Threads: plain functions. Errors: none.

#include <string>

#include "occupation/point.hpp"

namespace stillpoint::reduce {

/// Says on stderr what is wrong; gives back `status` for the program to end with.
int complain(const std::string& sentence, int status);

/// A point as sentences name it.
std::string title(const occupation::Point& point);

/// The clock, for rows that say when they were made; nothing computed depends on it.
UtcTime utc_now();

}  // namespace stillpoint::reduce
