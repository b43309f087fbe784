#pragma once
/// What is known about the corrections at one instant.
///
/// Units: seconds. A missing value never counts as fresh: where the quality alone is trusted the state is unknown.

#include <cstdint>
#include <optional>
#include <string_view>

namespace stillpoint::corrections {

/// A new one stands last.
enum class State : std::uint8_t { none, fresh, coasting, stale, unknown };
/// `none` `fresh` `coasting` `stale` `unknown`
std::string_view to_word(State state) noexcept;

/// Seconds whose corrections are in this state may count.
constexpr bool is_usable(State state) noexcept {
  return state == State::fresh || state == State::coasting || state == State::unknown;
}

enum class AgeFrom : std::uint8_t { receiver, own_clock, quality, corrections };
/// `receiver` `own-clock` `quality` `corrections`
std::string_view to_word(AgeFrom from) noexcept;

/// What our own clock counts from.
enum class Proof : std::uint8_t { listening_began, class_gained, fresh_age };

struct Freshness {
  State state = State::none;
  std::optional<double> age_s;  ///< the age that was used; of our own clock: the time without a proof
  AgeFrom from = AgeFrom::receiver;
  std::optional<double> coast_left_s;  ///< while coasting: what is left of the coast window
  bool age_missing = false;            ///< the source demands an age and there is none
  bool frozen = false;                 ///< the feed repeats itself
  bool settling = false;               ///< corrections are good again, but not for long enough
  double settle_left_s = 0;
  Proof proof = Proof::listening_began;  ///< while our own clock runs: since what
  std::int64_t proof_ms = 0;             ///< and when, in stream time
};

}  // namespace stillpoint::corrections
