#pragma once
// A pointbook as a program of before wrote it.

#include <string>

namespace stillpoint::samples {

/// Schema 1, by version 0.1.0: 8 points with epochs, 2 check shots, 6 antenna setups, 6 events.
void write_book_of_schema_1(const std::string& path);

}  // namespace stillpoint::samples
