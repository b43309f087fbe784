#pragma once
/// The command line of stillpoint-rehearse.

#include <optional>
#include <string>

namespace stillpoint::rehearse {

enum Exit : int { kPassed = 0, kNotPassed = 1, kUsage = 2, kCannotStart = 3 };

struct Options {
  std::string scenario;
  std::optional<double> pace = 1.0;  ///< times real time; empty: as fast as the daemon reads (scripted crews only)
  bool with_daemon = false;
  bool pty = false;
  int port = 0;         ///< 0: any free one
  std::string control;  ///< socket of a daemon that runs already
  std::string folder;   ///< for the daemon's files; empty: a new one under the temporary folder
  std::string crew;     ///< empty: the trainee works
  std::string json;     ///< file for the debrief as JSON
  std::string daemon_program, client_program;
  std::optional<unsigned long long> seed;
};

/// The options, or the exit status when there is nothing left to do (help, version, usage error: already printed).
struct Parsed {
  Options options;
  std::optional<int> exit;
};
Parsed parse(int argc, char** argv);

}  // namespace stillpoint::rehearse
