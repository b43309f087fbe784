#pragma once
/// The programs a rehearsal starts: the daemon for the whole day, the client for each of a scripted crew's commands.
///
/// Time:    starting waits up to 20 s, stopping up to 5 s.
/// Threads: one. Errors: a sentence with what the program said.

#include <sys/types.h>

#include <string>
#include <vector>

#include "base/result.hpp"

namespace stillpoint::rehearse {

class DaemonProcess {
 public:
  /// Returns once it takes commands. Its log goes to `log`.
  static Result<DaemonProcess> start(const std::string& program, const std::string& config, const std::string& log);
  DaemonProcess(DaemonProcess&& other) noexcept;
  DaemonProcess& operator=(DaemonProcess&&) = delete;
  ~DaemonProcess();
  void stop();

 private:
  DaemonProcess() = default;
  pid_t pid_ = -1;
};

struct Ran {
  int status = -1;
  std::string said;  ///< standard output and error
};
Ran run_program(const std::string& program, const std::vector<std::string>& arguments);

}  // namespace stillpoint::rehearse
