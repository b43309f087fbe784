#pragma once
/// The checksum file beside a closed pair of the record: a line for each of the two files, and one for the corrections
/// where some came, SHA-256, two spaces, name.
///
/// File:    `STEM.sha256`. It is made under another name first: a half one would accuse good files.
/// Threads: plain functions. Errors: one sentence.

#include <string>
#include <vector>

#include "base/result.hpp"
#include "pointbook/disk.hpp"

namespace stillpoint::daemon {

/// What a pair should be: its path without the ending, and the sums of what was written to it.
struct PairSums {
  std::string stem;
  std::string nmea, journal;  ///< hexadecimal; empty: as the files lie there
  std::string rtcm{};         ///< empty: as the file lies there, or there is none
};

/// Of a stem, without the folder.
std::string pair_name(const std::string& stem);

/// Reads the files for sums that are not known.
Result<void> write_checksum_file(pointbook::Disk& disk, PairSums sums);

/// Pairs in the folder without a checksum file.
std::vector<PairSums> unsealed_in(const std::string& folder);

}  // namespace stillpoint::daemon
