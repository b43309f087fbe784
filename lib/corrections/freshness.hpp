#pragma once
/// What is known about the corrections at one instant.
///
/// Units: seconds. A missing value never counts as fresh.

#include <cstdint>
#include <optional>
#include <string_view>

namespace stillpoint::corrections {

enum class State : std::uint8_t { none, fresh, coasting, stale };
/// `none` `fresh` `coasting` `stale`
std::string_view to_word(State state) noexcept;

enum class AgeFrom : std::uint8_t { receiver, own_clock };
/// `receiver` `own-clock`
std::string_view to_word(AgeFrom from) noexcept;

struct Freshness {
  State state = State::none;
  std::optional<double> age_s;  ///< the age that was used
  AgeFrom from = AgeFrom::receiver;
  std::optional<double> coast_left_s;  ///< while coasting: what is left of the coast window
  bool age_missing = false;            ///< the source demands an age and there is none
  bool frozen = false;                 ///< the feed repeats itself
  bool settling = false;               ///< corrections are good again, but not for long enough
  double settle_left_s = 0;
};

}  // namespace stillpoint::corrections
