#pragma once
/// `verify`: are the recorded files still what they were when they were closed?
///
/// Beside each pair of the record lies a checksum file, `STEM.sha256`, with a line for each of its files: SHA-256, two
/// spaces, the name.
///
/// Errors: one line on stdout for each file; exit status 0 all agree, 1 some do not or have none, 4 unreadable.

#include <string>
#include <vector>

#include "pointbook/reader.hpp"

namespace stillpoint::office {

/// `brief`: files that are unchanged are not listed.
int verify_files(const std::vector<std::string>& logs, bool brief = false);

/// The files of the record, which lie where the first log does, against the sums that closings of the day hold.
int verify_closings(const pointbook::Contents& book, const std::vector<std::string>& logs);

}  // namespace stillpoint::office
