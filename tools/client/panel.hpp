#pragma once
/// The live screen of a terminal: a pure function from what is known of the day to lines of plain ASCII.
///
/// With 24 rows of 80 every fact has its own row and never moves to another. More columns give longer scales and larger
/// letters, more rows the pole and the newest points; fewer take whole things away, down to 40 x 12. Smaller still,
/// there are the verdict in words and what fits.
///
/// Threads: pure.

#include <string>
#include <vector>

#include "client/acts.hpp"
#include "client/desk.hpp"
#include "client/screen.hpp"

namespace stillpoint::client {

struct Panel {
  int columns = 80, rows = 24;
  Now now{};
  bool mute = false;  ///< never rings
  std::int64_t quiet_left_ms = 0;
  std::string message{};  ///< what the last act came to
  Hold hold{};
  std::optional<Sheet> sheet{};  ///< what is asked
};

Screen draw(const Day& day, const Panel& panel);

/// The same in lines without pictures. `ticking`: with the clock, and what moves with it.
std::vector<std::string> plain_lines(const Day& day, const Panel& panel, bool ticking);

/// Too narrow for more than the smallest letters.
bool is_narrow(int columns) noexcept;
/// Rows that a sheet has for its choices.
std::size_t rows_for_choices(const Panel& panel);

}  // namespace stillpoint::client
