#pragma once
/// Where the daemon's socket is: --control, then $STILLPOINT_CONTROL, then $XDG_RUNTIME_DIR/stillpoint/control, then
/// the socket of the service.
///
/// Threads: pure but for the look whether a file is there.

#include <functional>
#include <iosfwd>
#include <string>

namespace stillpoint::client {

struct TerminalSize {
  int columns = 80, rows = 24;
  bool spoilt = false;  ///< something else has written on it: paint anew
};

/// What the program knows of its surroundings, so that tests can give their own.
struct Surroundings {
  std::string control_variable;  ///< $STILLPOINT_CONTROL, empty when unset
  std::string runtime_folder;    ///< $XDG_RUNTIME_DIR, empty when unset
  std::string service_socket = "/run/stillpoint/control";
  bool terminal = false;  ///< stdout is one
  bool colour = false;    ///< it has colour, and NO_COLOR is unset
  int columns = 80, rows = 24;
  int stop_fd = -1;                 ///< readable once the user wants to stop
  int answer_ms = 5000;             ///< patience with the daemon
  int quiet_ms = 1000;              ///< silence in `follow` after which the daemon is asked whether it is there
  int retry_ms = 1000;              ///< between two attempts to find a lost daemon again
  std::istream* answers = nullptr;  ///< to questions; none: standard input
  int key_fd = -1;                  ///< gives key presses as they come; -1: there is no keyboard
  /// Asked often: the terminal's size now. Empty: it never changes.
  std::function<TerminalSize()> terminal_now{};
  /// Asked often: how far east of UTC the times are that are shown, in seconds. Empty: they are UTC.
  std::function<int()> zone_now{};
  /// Called before the first key is waited for; what it changes lasts until the program ends. Empty: nothing to do.
  std::function<void()> take_keys{};
};

/// A path that was named is used as it is; of the others the first that exists.
std::string socket_path(const std::string& given, const Surroundings& around);

}  // namespace stillpoint::client
