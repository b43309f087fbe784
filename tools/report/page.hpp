#pragma once
/// The report of a day as one HTML file that needs nothing else: no script, no other file, no network.
///
/// Page 1 is for the client: the answer, four facts, the map, how accurate the points are, and a place for a signature.
/// Then points (1), checks (2), corrections through the day (3), decisions (4), and an appendix for the office: how the
/// points were made (A), coordinates (B), files (C), events (D), limits of use (E), map sheets (F) where there are many
/// points. What is so of a whole day is marked on each page: DAY NOT CLOSED, TRAINING.
///
/// Units:   those that the project wants. Threads: pure. Errors: none.

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

// The parts, in their order.
std::string style_of(const Facts& facts, std::size_t decisions);               // style.cpp
std::string summary(const Facts& facts, std::size_t decisions);                // summary.cpp
std::string points_section(const Facts& facts);                                // sections.cpp
std::string checks_section(const Facts& facts);                                // sections.cpp
std::string corrections_section(const Facts& facts);                           // sections.cpp
std::string decisions_section(const Facts& facts);                             // sections.cpp
std::string appendix(const Facts& facts, const std::vector<FileMark>& files);  // appendix.cpp
std::string provenance(const Facts& facts);                                    // provenance.cpp
std::string events_table(const Facts& facts);                                  // events.cpp

/// A heading with its number before it.
std::string heading(const std::string& id, const std::string& number, const std::string& title);

}  // namespace stillpoint::report
