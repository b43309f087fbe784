#pragma once
/// The limits of a source's gate: one row each. Reading, notes, the list of known keys, the printed defaults and
/// `--check` follow from it; what the judge knows of each stands in `gate/limits.hpp`.
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
  /// The member of `Gate` that holds the limit. A plain `double` is a time that is always applied, and 0 when absent.
  std::variant<std::optional<double> Gate::*, std::optional<int> Gate::*, double Gate::*> setting;
  Range range;
  std::string_view shown_unit;    ///< as people read it behind a value, with its blank
  std::string_view when_absent;   ///< completes "KEY is absent, so …"
  std::string_view default_line;  ///< in the printed defaults; behind # while absence is the default
};

/// In the order of every list that people see.
inline constexpr std::array kLimits{
    Limit{"max_hdop", &Gate::max_hdop, {0, 100, true, {}}, "", "HDOP is not limited", "# max_hdop = 2.0"},
    Limit{"max_pdop", &Gate::max_pdop, {0, 100, true, {}}, "", "PDOP is not limited", "# max_pdop = 4.0"},
    Limit{"max_vdop", &Gate::max_vdop, {0, 100, true, {}}, "", "VDOP is not limited", "# max_vdop = 3.0"},
    Limit{"min_satellites",
          &Gate::min_satellites,
          {1, 200, false, "satellites"},
          "",
          "the number of satellites is not limited",
          "# min_satellites = 6"},
    Limit{"max_error95_horizontal_m",
          &Gate::max_error95_horizontal_m,
          {0, 1000, true, "m"},
          " m",
          "the horizontal error of an epoch is not limited",
          "# max_error95_horizontal_m = 0.05"},
    Limit{"max_error95_vertical_m",
          &Gate::max_error95_vertical_m,
          {0, 1000, true, "m"},
          " m",
          "the vertical error of an epoch is not limited",
          "# max_error95_vertical_m = 0.08"},
    Limit{"max_speed_mps",
          &Gate::max_speed_mps,
          {0, 100, true, "m/s"},
          " m/s",
          "speed is not limited and a walking pole counts",
          "# max_speed_mps = 0.10"},
    Limit{"settle_s",
          &Gate::settle_s,
          {0, 3600, false, "s"},
          " s",
          "no settling is asked for after an outage",
          "settle_s                 = 0.0        # how long corrections must be good again before epochs count"},
    Limit{"min_minute_decimals",
          &Gate::min_minute_decimals,
          {1, 12, false, "decimals"},
          "",
          "coarse coordinates are not refused",
          "# min_minute_decimals = 6"},
    Limit{"min_altitude_decimals",
          &Gate::min_altitude_decimals,
          {1, 6, false, "decimals"},
          "",
          "coarse heights are not refused",
          "# min_altitude_decimals = 2"}};

/// The row of a key. A key without a row does not compile.
consteval const Limit& limit(std::string_view key) {
  std::size_t row = 0;
  while (kLimits[row].key != key) ++row;
  return kLimits[row];
}

/// False for a time that is always applied.
constexpr bool may_be_absent(const Limit& limit) noexcept {
  return !std::holds_alternative<double Gate::*>(limit.setting);
}

/// The limit that the gate sets; empty when it is not applied.
inline std::optional<double> value_of(const Gate& gate, const Limit& limit) noexcept {
  return std::visit([&gate](const auto setting) -> std::optional<double> { return gate.*setting; }, limit.setting);
}

}  // namespace stillpoint::config
