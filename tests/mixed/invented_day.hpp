#pragma once
// A day of a receiver as receivers are, from a seed: several manners at once, and something that happens on each stay.

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "base/time.hpp"
#include "config/settings.hpp"
#include "record/command.hpp"

namespace stillpoint::mixed {

/// What happens next: bytes arrive, somebody commands, or the link is cut.
struct Happening {
  SteadyTime at;
  std::string bytes;        ///< empty: a command
  record::Command command;  ///< `Unknown` with bytes
};

struct InventedDay {
  config::Settings settings;
  std::vector<Happening> happenings;
  std::string manners;  ///< of the receiver and the link, in words
  int seconds = 0;
};

InventedDay invented_day(std::uint64_t seed);

}  // namespace stillpoint::mixed
