#pragma once
// A pointbook as a program of before wrote it.

#include <string>

namespace stillpoint::samples {

/// A dump of a book that a program of then wrote, `data/schema-N.sql`.
/// 1, by version 0.1.0: 8 points with epochs, 2 check shots, 6 antenna setups, 6 events.
/// 6, by version 0.2.0: 6 rows of 5 points, one of them without coordinates, one with two versions and two names, one
/// measured by offset and with its base; 2 check shots, one of them failed; an antenna setup; the day is closed.
void write_kept_book(int schema, const std::string& path);
void write_book_of_schema_1(const std::string& path);

}  // namespace stillpoint::samples
