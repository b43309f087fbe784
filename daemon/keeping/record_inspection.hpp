#pragma once
/// Whether the record of the day still is what was recorded: every pair that the catalogue knows, against what the
/// catalogue says of it and against its checksum file.
///
/// Threads: `inspect_record` reads for seconds, so it runs on a thread of its own and shares nothing.
/// Errors:  one sentence for each file that is not what it was.

#include <atomic>
#include <string>
#include <vector>

#include "keeping/pair_catalogue.hpp"

namespace stillpoint::daemon {

struct RecordSum {
  std::string file;  ///< without its folder
  std::string sha256;
};

struct RecordInspection {
  std::vector<RecordSum> files;  ///< unchanged
  std::vector<std::string> faults;
};

/// Ends early when `stop` is set.
RecordInspection inspect_record(const std::string& folder, const std::vector<RecordedPair>& pairs,
                                const std::atomic<bool>& stop);

}  // namespace stillpoint::daemon
