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

#include "client/fields.hpp"
#include "client/situation.hpp"

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
  std::vector<std::string> lines;  ///< always `kScreenRows`
};

Screen render(const Json& status, const View& view);

/// Whole percent of what is needed, the worse of epochs and time; 100 only when the daemon says that it is enough.
int percent_done(const Json& occupation);

}  // namespace stillpoint::client
