// The process around the client: signals, the terminal, the surroundings.

#include <fcntl.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <array>
#include <csignal>
#include <cstdlib>
#include <iostream>
#include <string>
#include <string_view>
#include <vector>

#include "client/run.hpp"

namespace {

// A signal handler may touch nothing but such things.
volatile std::sig_atomic_t stop_pipe = -1;

extern "C" void on_stop(int) {
  const char byte = 's';
  if (::write(stop_pipe, &byte, 1) < 0) return;
}

/// Gives the cursor back, then dies of the signal as the system would have it.
extern "C" void on_crash(int signal) {
  constexpr std::string_view kShowCursor = "\x1b[?25h\n";
  if (::write(STDOUT_FILENO, kShowCursor.data(), kShowCursor.size()) < 0) std::signal(signal, SIG_DFL);
  std::signal(signal, SIG_DFL);
  ::raise(signal);
}

std::string variable(const char* name) {
  const char* value = std::getenv(name);
  return value == nullptr ? std::string() : std::string(value);
}

/// The reading end of a pipe that a stop signal writes to; -1 when there is none.
int catch_stop_signals() {
  std::array<int, 2> ends{};
  if (::pipe(ends.data()) != 0) return -1;
  for (const int end : ends) {
    ::fcntl(end, F_SETFD, FD_CLOEXEC);
    ::fcntl(end, F_SETFL, O_NONBLOCK);
  }
  stop_pipe = ends[1];
  for (const int signal : {SIGINT, SIGTERM, SIGHUP}) std::signal(signal, on_stop);
  return ends[0];
}

stillpoint::client::Surroundings look_around() {
  stillpoint::client::Surroundings around;
  around.control_variable = variable("STILLPOINT_CONTROL");
  around.runtime_folder = variable("XDG_RUNTIME_DIR");
  around.terminal = ::isatty(STDOUT_FILENO) == 1 && variable("TERM") != "dumb";
  around.colour = around.terminal && variable("NO_COLOR").empty() && !variable("TERM").empty();
  winsize size{};
  if (around.terminal && ::ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 0 && size.ws_row > 0) {
    around.columns = size.ws_col;
    around.rows = size.ws_row;
  }
  around.stop_fd = catch_stop_signals();
  if (around.terminal) {
    for (const int signal : {SIGSEGV, SIGABRT, SIGBUS, SIGFPE}) std::signal(signal, on_crash);
  }
  return around;
}

}  // namespace

int main(int argc, char** argv) {
  const std::vector<std::string> arguments(argv + 1, argv + (argc > 0 ? argc : 1));
  return stillpoint::client::run(arguments, look_around(), std::cout, std::cerr);
}
