#pragma once
/// The live screen of a terminal: a pure function from the daemon's status to lines of plain ASCII.
///
/// With 24 rows of 80 every fact has its own row and never moves to another, the verdict stands in letters that are
/// read from a pole's length away, and beside it the one number that decides the next act. Smaller terminals get a
/// reduced form, down to 40 x 12; smaller still, the verdict in words and what fits. Colour adds nothing to the text.
///
/// Threads: pure.

#include <string>
#include <vector>

#include "client/screen.hpp"

namespace stillpoint::client {

inline constexpr std::size_t kPanelColumns = 79;  ///< the last column stays free: some terminals wrap there

struct Panel {
  int columns = 80, rows = 24;
  bool lost = false;
  double heard_s = 0;     ///< since the daemon was last heard
  bool help = false;      ///< the keys explained, in place of the values
  std::string sound{};    ///< whether the bell is on, one sentence
  std::string message{};  ///< what the last key did
  std::string prompt{};   ///< a question, in place of the keys
};

/// One alert: its kind, and which of that kind.
using AlertName = std::pair<std::string, std::uint64_t>;
/// The alerts that are in view: those that a press of A marks as seen.
std::vector<AlertName> shown_alerts(const Json& status, const Panel& panel);

Screen draw(const Json& status, const Panel& panel);

}  // namespace stillpoint::client
