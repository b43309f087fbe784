#pragma once
/// What the office's programs of this folder say alike.
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
