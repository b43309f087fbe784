#pragma once
/// The report of a day as one HTML file that needs nothing else: no script, no other file, no network.
///
/// The first page answers whether the points can be used, says how accurate they are in three parts and lists what the
/// office must decide. A day that was not closed and training are stamped on every printed page.
///
/// Units:   metres. Threads: pure. Errors: none.

#include <string>

#include "report/facts.hpp"

namespace stillpoint::report {

/// A file that belongs to the report, with its SHA-256.
struct FileMark {
  std::string name, sha256;
};

std::string page(const Facts& facts, const std::vector<FileMark>& files);

/// What every page of the report carries; empty: the day is closed and no training.
std::string stamp_of(const Facts& facts);

// page_tables.cpp
std::string point_table(const Facts& facts);
std::string provenance_table(const Facts& facts);
std::string repeat_table(const Facts& facts);
std::string check_table(const Facts& facts);
std::string refusal_tables(const Facts& facts);
std::string outage_table(const Facts& facts);
std::string jump_table(const Facts& facts);
std::string alert_table(const Facts& facts);
std::string noted_table(const Facts& facts);
std::string change_table(const Facts& facts);
std::string antenna_table(const Facts& facts);

}  // namespace stillpoint::report
