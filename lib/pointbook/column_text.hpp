#pragma once
/// How lists and words of a point are written in a text column, and read back.
///
/// A list of contract words is separated by spaces, a list of sentences by line ends, counts are a JSON object
/// (`{"hdop":3,"moving":12}`): readable in a GIS, and the same again when read.
///
/// Time:    instants are `2026-06-03T14:05:10.000Z`, always with milliseconds, as GeoPackage wants them.
/// Errors:  readers return nothing for text that no writer here produces.

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/time.hpp"
#include "occupation/point.hpp"

namespace stillpoint::pointbook {

using RefusedCounts = std::array<std::uint64_t, gate::kReasonCount>;

/// How many reasons a version of book, content and spool knows: the first ones, for later ones stand behind them.
inline constexpr int kLaterReasons = 2;  ///< the version from which on all are known
constexpr std::size_t reason_count(int version) noexcept {
  constexpr std::size_t kFirst = 25;
  return version == 1 ? kFirst : gate::kReasonCount;
}

std::string datetime_text(UtcTime time);

std::string join(const std::vector<std::string>& parts, char separator);
/// An empty text is no part at all.
std::vector<std::string> split(std::string_view text, char separator);

std::string hold_reasons_text(const std::vector<occupation::HoldReason>& reasons);
std::optional<std::vector<occupation::HoldReason>> hold_reasons_from(std::string_view text);

std::string reasons_text(const gate::ReasonSet& reasons);
std::optional<gate::ReasonSet> reasons_from(std::string_view text);

std::string refused_text(const RefusedCounts& refused);
std::optional<RefusedCounts> refused_from(std::string_view text);

std::optional<corrections::State> correction_from_word(std::string_view word) noexcept;

/// `{"pole":1.8,"adapter":0.071}`; empty for no parts.
std::string parts_text(const std::vector<std::pair<std::string, double>>& parts_m);
/// What `parts_text` wrote; a part that cannot be read is left out.
std::vector<std::pair<std::string, double>> parts_from(std::string_view text);

/// A JSON string with its quotes.
std::string json_text(std::string_view text);

}  // namespace stillpoint::pointbook
