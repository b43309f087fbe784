#pragma once
/// Whether the record of the day still is what was recorded: every closed pair against its checksum file.
///
/// Time:    the day are the 25 hours before the pair that is written now, by the names of the files.
/// Threads: `check_record` reads for seconds, so it runs on a thread of its own and shares nothing.
/// Errors:  one sentence for each file that is not what it was.

#include <atomic>
#include <string>
#include <vector>

namespace stillpoint::daemon {

struct RecordSum {
  std::string file;  ///< without its folder
  std::string sha256;
};

struct RecordChecked {
  std::vector<RecordSum> files;  ///< unchanged
  std::vector<std::string> faults;
};

/// `current`: the pair that is being written, without the ending; it is left out. Ends early when `stop` is set.
RecordChecked check_record(const std::string& folder, const std::string& current, const std::atomic<bool>& stop);

}  // namespace stillpoint::daemon
