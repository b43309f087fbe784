#pragma once
/// The command line of stillpoint-reduce.

#include <optional>
#include <string>
#include <vector>

#include "exit.hpp"

namespace CLI {
class App;
}

namespace stillpoint::reduce {

struct Options {
  std::string config;
  std::vector<std::string> logs;
  std::string visits;
  bool epochs = false;
  std::string pointbook;
};

/// The options, or the exit status when there is nothing left to do (help, version, usage error: already printed).
struct Parsed {
  Options options;
  std::optional<int> exit;
};
Parsed parse(int argc, char** argv);

/// The names of files go into points, events and sentences, so each is UTF-8; the sentence about the first that is
/// none.
std::string why_no_name(const std::vector<std::string>& names);
/// The options of a recomputation.
void add_recomputation(CLI::App& app, Options& out);

}  // namespace stillpoint::reduce
