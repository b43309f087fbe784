#pragma once
/// What a hand measured from kept stays to a place that nobody can stand on: a distance and a bearing from one stay, or
/// the distances from two.
///
/// Units:   metres, horizontal unless a name says `up`; degrees from north through east. Every error is 1 sigma.
/// Text:    `to_text` gives one `key=value` line a figure, readable in a table and the same again when read; the name of
///          a stay ends its line. Numbers have as many digits as it takes to read the same double again.
/// Threads: pure. Errors: `offset_measures_from` gives nothing for a text that no `to_text` here has written.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace stillpoint {

/// On which side of the way from the first stay to the second one.
enum class Side : std::uint8_t { left, right };
/// `left` `right`
std::string_view to_word(Side side) noexcept;
std::optional<Side> side_from_word(std::string_view word) noexcept;

/// What is assumed where nobody says how exact a measure is: common practice of the trade, no source.
inline constexpr double kTapeSigmaM = 0.02, kCompassSigmaDeg = 2.0, kLevelSigmaM = 0.05;

struct MeasuredStay {
  std::string name;
  int visit = 1;
  std::string uuid{};  ///< of the version that it was measured from; empty: nobody said
  double distance_m = 0, distance_sigma_m = kTapeSigmaM;
  bool operator==(const MeasuredStay&) const = default;
};

struct OffsetMeasures {
  std::vector<MeasuredStay> stays;    ///< one with a bearing, or two; empty: the point is no offset point
  std::optional<double> bearing_deg;  ///< as it was read, from the stay to the place
  double bearing_sigma_deg = kCompassSigmaDeg;
  std::optional<double> declination_deg;  ///< of a bearing from magnetic north: what was added; empty: from true north
  Side side = Side::left;
  std::optional<double> up_m;  ///< above the stay, or above the mean of both; empty: nobody measured it
  double up_sigma_m = kLevelSigmaM;

  bool empty() const noexcept { return stays.empty(); }
  bool operator==(const OffsetMeasures&) const = default;
};

/// From true north, in [0, 360); as it was read where that is no bearing. Wants a bearing.
double true_bearing_deg(const OffsetMeasures& measures) noexcept;

/// Empty for no offset.
std::string to_text(const OffsetMeasures& measures);
std::optional<OffsetMeasures> offset_measures_from(std::string_view text);

}  // namespace stillpoint
