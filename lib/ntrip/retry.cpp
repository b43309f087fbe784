#include "ntrip/retry.hpp"

#include <algorithm>

namespace stillpoint::ntrip {

constexpr double kShareOfChance = 0.2;

std::int64_t Retry::wait_ms(bool refused, double chance) noexcept {
  const std::int64_t whole_ms = refused ? kLongestMs : next_ms_;
  if (!refused) next_ms_ = std::min(kLongestMs, 2 * next_ms_);
  const double more = kShareOfChance * std::clamp(chance, 0.0, 1.0);
  return whole_ms + static_cast<std::int64_t>(more * static_cast<double>(whole_ms));
}

}  // namespace stillpoint::ntrip
