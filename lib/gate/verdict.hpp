#pragma once
/// Why an epoch does not count, and in what words.
///
/// Units: values and limits are inside the sentences. Errors: none.

#include <array>
#include <bitset>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace stillpoint::gate {

/// Every reason for refusing an epoch. The word of each is its contract name.
enum class Reason : std::uint8_t {
  quality,
  unknown_source,
  unlisted_station,
  correction_age,
  corrections_stale,
  correction_age_missing,
  frozen,
  hdop,
  pdop,
  satellites,
  horizontal_error,
  vertical_error,
  error_missing,
  moving,
  settling,
  no_date,
  no_position,
  no_height,
  frame,
  coarse_coordinates,
  conflict,
  jump,
  outlier,
  other_segment,
  time_repeated,
};
inline constexpr int kReasonCount = 25;

/// `correction-age` …
std::string_view to_word(Reason reason) noexcept;

/// A set of reasons without their sentences: what counting needs, cheap enough for every epoch of a season.
using ReasonSet = std::bitset<kReasonCount>;

struct ReasonText {
  Reason reason = Reason::quality;
  std::string text;  ///< one plain sentence with the value and its limit
};

}  // namespace stillpoint::gate
