#pragma once
/// The command line of stillpoint-reduce.

#include <optional>
#include <string>
#include <vector>

namespace stillpoint::reduce {

/// Exit statuses.
enum Exit : int { kAllAccepted = 0, kSomeHeld = 1, kUsage = 2, kCannotWrite = 3, kCannotRead = 4 };

struct Options {
  std::string config;
  std::vector<std::string> logs;
  std::string visits;
  bool epochs = false;
  bool verify = false;
  std::string redo;  ///< file of corrections
  std::vector<std::string> merge;
  std::string pointbook;
  bool calibrate = false;  ///< against `marks`, or without a file against repeat visits alone
  std::string marks;
};

/// The options, or the exit status when there is nothing left to do (help, version, usage error: already printed).
struct Parsed {
  Options options;
  std::optional<int> exit;
};
Parsed parse(int argc, char** argv);

}  // namespace stillpoint::reduce
