#pragma once
/// Does this second count, what is so, and what to do about it: the first thing on the screen.
///
/// Rule:    worked out from a few facts of the status, which the daemon takes from the status itself and a client from
///          its JSON, so that page and terminal say the same. Numbers are those of the JSON, with its decimals.
/// Threads: pure. Units: in the names. Time: none. Errors: none; what is not known reads as empty.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "session/status.hpp"
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

/// What of an open stay the situation is told from.
struct StayFacts {
  bool check = false, enough = false;
  std::string keep_gives{};
  std::vector<std::string> keep_why{}, keep_texts{}, unproven{};
  std::string recounted{};
  std::optional<double> apart_m{};
  std::optional<double> error95_horizontal_m{}, error95_vertical_m{};
  std::optional<double> wanted_error95_horizontal_m{}, wanted_error95_vertical_m{};
  std::optional<double> needed_epochs{}, accepted{};
  std::optional<double> needed_s{}, counted_s{};
};

/// What of the status; words are those of the contract.
struct StatusFacts {
  struct Reason {
    std::string code, text;
  };
  std::string feed_state{}, feed_what{}, standstill{};
  bool accepted = false;
  std::vector<Reason> reasons{};
  std::string correction_state{}, correction_from{};
  std::optional<double> coast_left_s{};
  std::optional<StayFacts> stay{};
};
StatusFacts facts_of(const session::Status& status);
StatusFacts facts_of(const Json& status);

/// `keys`: acts name keys, not commands.
Situation situation_of(const StatusFacts& status, bool keys);
/// For a client. `lost`: the daemon does not answer, so nothing of the status holds any more.
Situation situation_of(const Json& status, bool lost, bool keys = false);

/// Whole percent of what is needed, the worst of epochs, time and errors; 100 only when the daemon says that it is
/// enough and no error is above what was wanted.
int percent_done(const StayFacts& stay);
int percent_done(const Json& occupation);

}  // namespace stillpoint::wire
