#pragma once
/// Starts a program of the system and waits for its end: without a shell, in a folder of its own, with an environment
/// that holds nothing of this user's settings.
///
/// Names:   arguments are ours; nothing that somebody typed is among them.
/// Time:    until it ends. Threads: one.
/// Errors:  `missing` where there is no such program; else what it said and how it ended.

#include <string>
#include <vector>

namespace stillpoint::office {

struct RanProgram {
  bool missing = false;
  int status = -1;   ///< -1: it was killed, or could not be started
  std::string said;  ///< the beginning of its output and complaints
};

RanProgram run_in(const std::string& folder, const std::string& program, const std::vector<std::string>& arguments);

}  // namespace stillpoint::office
