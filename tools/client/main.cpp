// The process around the client: signals, the terminal, the surroundings.

#include <fcntl.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <unistd.h>

#include <array>
#include <csignal>
#include <cstdlib>
#include <ctime>
#include <iostream>
#include <string>
#include <string_view>
#include <vector>

#include "client/painter.hpp"
#include "client/run.hpp"

namespace {

// A signal handler may touch nothing but such things.
volatile std::sig_atomic_t stop_pipe = -1;

extern "C" void on_stop(int) {
  const char byte = 's';
  if (::write(stop_pipe, &byte, 1) < 0) return;
}

// Written before the handlers that read them are set.
termios before{}, while_watching{};
volatile std::sig_atomic_t page_taken = 0, keys_taken = 0, spoilt = 0;

/// Only calls that are allowed in a signal handler.
void give_terminal_back() {
  const auto& back = stillpoint::client::kTerminalBack;
  if (page_taken == 0) return;
  if (keys_taken != 0) ::tcsetattr(STDIN_FILENO, TCSANOW, &before);
  if (::write(STDOUT_FILENO, back.data(), back.size()) < 0) return;
}

/// Gives the terminal back, then dies of the signal (or stops by it) as the system would have it.
extern "C" void on_crash(int signal) {
  give_terminal_back();
  std::signal(signal, SIG_DFL);
  ::raise(signal);
}

extern "C" void on_continue(int) {
  std::signal(SIGTSTP, on_crash);
  if (keys_taken != 0) ::tcsetattr(STDIN_FILENO, TCSANOW, &while_watching);
  constexpr std::string_view kOwnPage = "\x1b[?1049h";
  if (::write(STDOUT_FILENO, kOwnPage.data(), kOwnPage.size()) < 0) return;
  spoilt = 1;
}

/// Keys come one by one and unseen; Ctrl-C and Ctrl-Z stay what they are.
void take_keys() {
  if (::isatty(STDIN_FILENO) == 1 && ::tcgetattr(STDIN_FILENO, &before) == 0) {
    while_watching = before;
    while_watching.c_lflag &= ~static_cast<tcflag_t>(ICANON | ECHO);
    while_watching.c_cc[VMIN] = 1;
    while_watching.c_cc[VTIME] = 0;
    keys_taken = 1;
  }
  page_taken = 1;
  for (const int signal : {SIGSEGV, SIGABRT, SIGBUS, SIGFPE, SIGILL, SIGQUIT, SIGTSTP}) std::signal(signal, on_crash);
  std::signal(SIGCONT, on_continue);
  if (keys_taken != 0) ::tcsetattr(STDIN_FILENO, TCSANOW, &while_watching);
}

stillpoint::client::TerminalSize terminal_now() {
  stillpoint::client::TerminalSize out;
  winsize size{};
  if (::ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 0 && size.ws_row > 0) {
    out.columns = size.ws_col;
    out.rows = size.ws_row;
  }
  out.spoilt = spoilt != 0;
  spoilt = 0;
  return out;
}

std::string variable(const char* name) {
  const char* value = std::getenv(name);  // NOLINT(concurrency-mt-unsafe): one thread
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

int zone_now() {
  const std::time_t now = std::time(nullptr);
  std::tm here{};
  return ::localtime_r(&now, &here) == nullptr ? 0 : static_cast<int>(here.tm_gmtoff);
}

stillpoint::client::Surroundings look_around() {
  stillpoint::client::Surroundings around;
  around.control_variable = variable("STILLPOINT_CONTROL");
  around.runtime_folder = variable("XDG_RUNTIME_DIR");
  around.terminal = ::isatty(STDOUT_FILENO) == 1 && variable("TERM") != "dumb";
  around.colour = around.terminal && variable("NO_COLOR").empty() && !variable("TERM").empty();
  around.stop_fd = catch_stop_signals();
  around.zone_now = zone_now;
  if (!around.terminal) return around;
  const auto size = terminal_now();
  around.columns = size.columns;
  around.rows = size.rows;
  around.terminal_now = terminal_now;
  around.take_keys = take_keys;
  if (::isatty(STDIN_FILENO) == 1) around.key_fd = STDIN_FILENO;
  return around;
}

}  // namespace

int main(int argc, char** argv) {
  const std::vector<std::string> arguments(argv + 1, argv + (argc > 0 ? argc : 1));
  const int status = stillpoint::client::run(arguments, look_around(), std::cout, std::cerr);
  if (keys_taken != 0) ::tcsetattr(STDIN_FILENO, TCSANOW, &before);
  return status;
}
