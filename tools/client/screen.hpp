#pragma once
/// The status screen: a pure function from the daemon's status to 24 lines of plain ASCII.
///
/// Every fact has its own row and never moves to another; the most important comes first. At most 76 characters a line,
/// every value with its unit and, where the status has it, its limit. Colour adds nothing that the text does not say.
///
/// Threads: pure.

#include <cstddef>
#include <string>
#include <vector>

#include "client/words.hpp"

namespace stillpoint::client {

inline constexpr std::size_t kScreenRows = 24;
inline constexpr std::size_t kScreenColumns = 76;
inline constexpr std::size_t kVerdictRow = 2;  ///< counted from 0

struct View {
  bool lost = false;      ///< the daemon does not answer
  double lost_for_s = 0;  ///< and for how long
  bool clock = true;      ///< off where every change is printed as a line: the clock is no news
};

struct Screen {
  Tone tone = Tone::refused;
  std::vector<std::string> lines;      ///< always `kScreenRows`
  std::size_t tone_row = kVerdictRow;  ///< a coloured cell stands at the left of these rows
  std::size_t tone_rows = 1;
};

Screen render(const Json& status, const View& view);

/// At the end of every line from row `from` up to row `past`: this is no longer so.
void mark_old(std::vector<std::string>& lines, std::size_t from, std::size_t past, std::size_t columns);

}  // namespace stillpoint::client
