#pragma once
/// The acts of the moment: what may be done now, and what will come of it, or why it cannot be done.
///
/// Threads: pure.

#include <array>
#include <string>

#include "client/day.hpp"
#include "client/hold.hpp"

namespace stillpoint::client {

/// `asks`: wants a second press.
enum class May : std::uint8_t { no, yes, next, asks };

struct ActShown {
  std::string key, name;
  May may = May::no;
  std::string outcome;
  std::string brief{};  ///< the same where there is less room; empty: there is no shorter word
};

enum class ActId : std::uint8_t { begin, keep, discard, seen, more };
inline constexpr std::size_t kActs = 5;

ActShown act_shown(ActId act, const Day& day, const Now& now, const Hold& hold);

}  // namespace stillpoint::client
