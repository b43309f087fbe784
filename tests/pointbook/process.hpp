#pragma once
// Another program beside the test: its lines are read, and it can be told to go on, or killed.

#include <sys/types.h>
#include <time.h>

#include <optional>
#include <string>
#include <vector>

namespace stillpoint::samples {

class Process {
 public:
  explicit Process(const std::vector<std::string>& command);
  ~Process();
  Process(const Process&) = delete;
  Process& operator=(const Process&) = delete;

  bool started() const { return pid_ > 0; }
  /// The next line of its output; nothing at its end.
  std::optional<std::string> line();
  /// The same, but nothing as well when no line comes for this long.
  std::optional<std::string> line_within(long microseconds);
  std::string rest();
  /// Closes its input, which lets a waiting neighbour go on, and waits for its end.
  int finish();
  void kill();

 private:
  bool fill(const timespec* patience);
  pid_t pid_ = -1;
  int in_ = -1, out_ = -1;
  std::string buffer_;
};

/// Whether such a program can be found on this machine.
bool has_program(const std::string& name);
/// Runs it to its end and gives its output.
std::string output_of(const std::vector<std::string>& command);

}  // namespace stillpoint::samples
