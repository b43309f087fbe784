#pragma once
/// Brings screens to the eye: repainted in place on a terminal, else every changed line printed once.
///
/// Threads: one painter, one thread.
/// Errors:  none; the stream's own state tells whether it still takes text.

#include <iosfwd>
#include <string>
#include <string_view>
#include <vector>

#include "client/screen.hpp"
#include "client/where.hpp"

namespace stillpoint::client {

/// Leaves the screen's own page of the terminal, so that no old verdict stays in view, and gives the cursor back.
inline constexpr std::string_view kTerminalBack = "\x1b[?1049l\x1b[?25h";

class Painter {
 public:
  Painter(std::ostream& out, const Surroundings& around);
  /// Gives the terminal back.
  ~Painter();
  Painter(const Painter&) = delete;
  Painter& operator=(const Painter&) = delete;

  void show(const Screen& screen);
  /// From the next screen on everything is painted anew, in this size.
  void resize(int columns, int rows);

 private:
  void repaint(const Screen& screen);
  void print_changes(const Screen& screen);
  std::string dressed(const Screen& screen, std::size_t row) const;

  std::ostream& out_;
  Surroundings around_;
  std::vector<std::string> shown_;  ///< lines as they stand on the terminal, escape sequences included
  bool started_ = false;
};

}  // namespace stillpoint::client
