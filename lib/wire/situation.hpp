#pragma once
/// Does this second count, what is so, and what to do about it: the first thing on the screen.
///
/// Threads: pure.

#include <cstdint>
#include <string>
#include <vector>

#include "wire/fields.hpp"

namespace stillpoint::wire {

enum class Tone : std::uint8_t { counts, coasting, refused };

struct Situation {
  Tone tone = Tone::refused;
  std::string what;               ///< what is so, one sentence
  std::string act;                ///< what to do, one sentence
  std::vector<std::string> also;  ///< further reasons, most important first
  bool counts() const noexcept { return tone != Tone::refused; }
};

/// `lost`: the daemon does not answer, so nothing of the status holds any more. `keys`: acts name keys, not commands.
Situation situation_of(const Json& status, bool lost, bool keys = false);

/// Whole percent of what is needed, the worst of epochs, time and errors; 100 only when the daemon says that it is
/// enough and no error is above what was wanted.
int percent_done(const Json& occupation);

}  // namespace stillpoint::wire
