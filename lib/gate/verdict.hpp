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

/// Every reason for refusing an epoch. A new one stands last: stored bits keep their meaning.
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
  vdop,
  late,
  date_contradicted,
  coarse_altitude,
};

/// What is said of a reason everywhere.
struct ReasonWords {
  Reason reason;
  std::string_view word;         ///< contract name
  std::string_view short_words;  ///< in tables of people
  int turn;                      ///< of several the lowest is told first: a cause before its consequences
  std::string_view advice;       ///< what to do
};

/// One row each, in the order of the enumeration.
inline constexpr std::array kReasons{
    ReasonWords{Reason::quality, "quality", "no corrections", 3,
                "Look for open sky; check that corrections reach the receiver."},
    ReasonWords{Reason::unknown_source, "unknown-source", "unknown source", 4,
                "Check the receiver's corrections: no source of this project gives them."},
    ReasonWords{Reason::unlisted_station, "unlisted-station", "unlisted station", 5,
                "Check the receiver's corrections: this station is not listed."},
    ReasonWords{Reason::correction_age, "correction-age", "corrections too old", 8, "Wait here for fresh corrections."},
    ReasonWords{Reason::corrections_stale, "corrections-stale", "unproven corrections", 9,
                "Wait here for fresh corrections."},
    ReasonWords{Reason::correction_age_missing, "correction-age-missing", "no correction age", 7,
                "Switch the age of corrections on in the receiver's output."},
    ReasonWords{Reason::frozen, "frozen", "frozen feed", 1, "Restart the receiver's output; its values do not change."},
    ReasonWords{Reason::hdop, "hdop", "HDOP", 20, "Wait for better satellites, or look for open sky."},
    ReasonWords{Reason::pdop, "pdop", "PDOP", 19, "Wait for better satellites, or look for open sky."},
    ReasonWords{Reason::satellites, "satellites", "few satellites", 18,
                "Wait for more satellites, or look for open sky."},
    ReasonWords{Reason::horizontal_error, "horizontal-error", "horizontal error", 21,
                "Wait until the error falls, or look for open sky."},
    ReasonWords{Reason::vertical_error, "vertical-error", "vertical error", 22,
                "Wait until the error falls, or look for open sky."},
    ReasonWords{Reason::error_missing, "error-missing", "no error figure", 13,
                "Switch GST on in the receiver's output."},
    ReasonWords{Reason::moving, "moving", "moving", 16, "Stand still and hold the pole upright."},
    ReasonWords{Reason::settling, "settling", "settling", 17, "Stand still; it counts again by itself."},
    ReasonWords{Reason::no_date, "no-date", "no date", 10,
                "Wait for the date; if it never comes, switch RMC or ZDA on."},
    ReasonWords{Reason::no_position, "no-position", "no position", 2, "Look for open sky and wait for a position."},
    ReasonWords{Reason::no_height, "no-height", "no height", 11,
                "Switch GGA with altitude and geoid separation on in the receiver."},
    ReasonWords{Reason::frame, "frame", "wrong frame", 6,
                "Stop: positions of this source cannot be brought into the project frame."},
    ReasonWords{Reason::coarse_coordinates, "coarse-coordinates", "coarse coordinates", 12,
                "Set the receiver to print more decimals."},
    ReasonWords{Reason::conflict, "conflict", "conflicting sentences", 15,
                "Wait; restart the receiver if this goes on."},
    ReasonWords{Reason::jump, "jump", "jump", 14, "Stand still: seconds at the new place are set apart."},
    ReasonWords{Reason::outlier, "outlier", "outlier", 23, "Stand still: a second set apart spoils nothing."},
    ReasonWords{Reason::other_segment, "other-segment", "other place", 24,
                "Discard this point and begin anew, or wait until it counts again."},
    ReasonWords{Reason::time_repeated, "time-repeated", "repeated time", 25, "Wait for the next second."},
    ReasonWords{Reason::vdop, "vdop", "VDOP", 19, "Wait for better satellites, or look for open sky."},
    ReasonWords{Reason::late, "late", "late feed", 1, "Wait until the link has caught up, or make it anew."},
    ReasonWords{Reason::date_contradicted, "date-contradicted", "wrong date", 1,
                "Compare the computer's clock and date with the receiver's."},
    ReasonWords{Reason::coarse_altitude, "coarse-altitude", "coarse height", 12,
                "Set the receiver to print more decimals of altitude and separation."}};
inline constexpr int kReasonCount = static_cast<int>(kReasons.size());

constexpr const ReasonWords& words_of(Reason reason) noexcept {
  return kReasons[static_cast<std::size_t>(reason)];
}
/// `correction-age` …
constexpr std::string_view to_word(Reason reason) noexcept {
  return words_of(reason).word;
}
std::optional<Reason> reason_from_word(std::string_view word) noexcept;

/// A set of reasons without their sentences: what counting needs, cheap enough for every epoch of a season.
using ReasonSet = std::bitset<kReasonCount>;

struct ReasonText {
  Reason reason = Reason::quality;
  std::string text;  ///< one plain sentence with the value and its limit
};

}  // namespace stillpoint::gate
