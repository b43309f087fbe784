#pragma once
/// The limits of a source's gate: one row each. Reading, notes, the list of known keys and `--check` follow from it.
///
/// Units:   in the keys and in the range. Threads: plain values. Errors: none.

#include <array>
#include <optional>
#include <string_view>
#include <variant>

#include "config/section.hpp"
#include "config/settings.hpp"

namespace stillpoint::config {

struct Limit {
  std::string_view key;
  /// Where the gate keeps it. A plain number is a time that is always applied, and 0 when absent.
  std::variant<std::optional<double> Gate::*, std::optional<int> Gate::*, double Gate::*> setting;
  Range range;
  std::string_view shown_unit;   ///< as `--check` prints it, with its blank
  std::string_view when_absent;  ///< completes "KEY is absent, so …"
};

/// In the order of every list that people see.
inline constexpr std::array<Limit, 8> kLimits{
    {{"max_hdop", &Gate::max_hdop, {0, 100, true, {}}, "", "HDOP is not limited"},
     {"max_pdop", &Gate::max_pdop, {0, 100, true, {}}, "", "PDOP is not limited"},
     {"min_satellites",
      &Gate::min_satellites,
      {1, 200, false, "satellites"},
      "",
      "the number of satellites is not limited"},
     {"max_error95_horizontal_m",
      &Gate::max_error95_horizontal_m,
      {0, 1000, true, "m"},
      " m",
      "the horizontal error of an epoch is not limited"},
     {"max_error95_vertical_m",
      &Gate::max_error95_vertical_m,
      {0, 1000, true, "m"},
      " m",
      "the vertical error of an epoch is not limited"},
     {"max_speed_mps",
      &Gate::max_speed_mps,
      {0, 100, true, "m/s"},
      " m/s",
      "speed is not limited and a walking pole counts"},
     {"settle_s", &Gate::settle_s, {0, 3600, false, "s"}, " s", "no settling is asked for after an outage"},
     {"min_minute_decimals",
      &Gate::min_minute_decimals,
      {1, 12, false, "decimals"},
      "",
      "coarse coordinates are not refused"}}};

}  // namespace stillpoint::config
