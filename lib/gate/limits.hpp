#pragma once
/// What is known of each limit that the judge compares a value with: one row each, beside the one in the configuration
/// (`config/limits.hpp`) and the words of its reason (`gate/verdict.hpp`). The judge, its sentences, `--check` and
/// `--check-feed` follow from it.
///
/// Units:   those of the keys. Threads: plain values. Errors: none.

#include <array>
#include <limits>
#include <optional>
#include <string_view>
#include <vector>

#include "base/sentence.hpp"
#include "config/limits.hpp"
#include "gate/judge.hpp"

namespace stillpoint::gate {

/// How a measured value is told.
struct Wording {
  std::string_view name;  ///< completes "… is not given"
  Sentence<1> phrase;     ///< with the value and its unit
  int decimals = 0;       ///< at most, unless the limit would read the same
};

struct Limit {
  const config::Limit* setting;
  Reason reason;
  Reason when_unknown;  ///< the reason that tells that there is no value
  std::optional<double> (*value)(const Judged&) noexcept;
  Wording wording;
  std::array<std::string_view, 3> carried_by;  ///< sentences, any of them; none: those of every position
  std::string_view otherwise = {};             ///< what is done when none of them comes; empty: nothing can count

  /// True when the limit is the least allowed value, false when it is the largest.
  constexpr bool is_least() const noexcept { return setting->key.starts_with("min_"); }
  constexpr Allowed allowed(double bound) const noexcept {
    constexpr double kEndless = std::numeric_limits<double>::infinity();
    return is_least() ? Allowed{bound, kEndless} : Allowed{-kEndless, bound};
  }
  /// True when a sentence of its own must bring the value, and its absence is told by the limit's own reason. (The
  /// errors share one reason.)
  constexpr bool stands_on_its_own() const noexcept {
    return !carried_by[0].empty() && otherwise.empty() && when_unknown == reason;
  }
  std::vector<std::string_view> sentences() const {
    std::vector<std::string_view> out;
    for (const std::string_view each : carried_by) {
      if (!each.empty()) out.push_back(each);
    }
    return out;
  }
};

/// The ages of corrections have a limit in every source and are judged by `corrections::Monitor`.
inline constexpr Wording kReceiversAge{"correction age", "correction age {value}", 1};
inline constexpr Wording kOwnAge{"no proof of corrections for", "no proof of corrections for {value}", 1};

inline constexpr std::array kLimits{
    Limit{&config::limit("max_hdop"),
          Reason::hdop,
          Reason::hdop,
          [](const Judged& j) noexcept { return j.epoch.hdop; },
          {"HDOP", "HDOP {value}", 2},
          {"GGA", "GNS", "GSA"}},
    Limit{&config::limit("max_pdop"),
          Reason::pdop,
          Reason::pdop,
          [](const Judged& j) noexcept { return j.epoch.pdop; },
          {"PDOP", "PDOP {value}", 2},
          {"GSA"}},
    Limit{&config::limit("max_vdop"),
          Reason::vdop,
          Reason::vdop,
          [](const Judged& j) noexcept { return j.epoch.vdop; },
          {"VDOP", "VDOP {value}", 2},
          {"GSA"}},
    Limit{&config::limit("min_satellites"),
          Reason::satellites,
          Reason::satellites,
          [](const Judged& j) noexcept { return std::optional<double>(j.epoch.satellites); },
          {"the number of satellites", "{value} satellites", 0},
          {}},
    Limit{
        &config::limit("max_error95_horizontal_m"),
        Reason::horizontal_error,
        Reason::error_missing,
        [](const Judged& j) noexcept { return j.error ? std::optional(j.error->error95_horizontal_m) : std::nullopt; },
        {"horizontal error at 95 %", "horizontal error at 95 % {value}", 3},
        {"GST"}},
    Limit{&config::limit("max_error95_vertical_m"),
          Reason::vertical_error,
          Reason::error_missing,
          [](const Judged& j) noexcept { return j.error ? std::optional(j.error->error95_vertical_m) : std::nullopt; },
          {"vertical error at 95 %", "vertical error at 95 % {value}", 3},
          {"GST"}},
    Limit{&config::limit("max_speed_mps"),
          Reason::moving,
          Reason::moving,
          [](const Judged& j) noexcept { return j.speed_mps; },
          {"moving: speed", "moving: speed {value}", 2},
          {"RMC", "VTG"},
          "the speed is worked out from the positions, which is coarser"},
    Limit{&config::limit("min_minute_decimals"),
          Reason::coarse_coordinates,
          Reason::no_position,
          [](const Judged& j) noexcept {
            return j.epoch.position ? std::optional<double>(j.epoch.position->minute_decimals) : std::nullopt;
          },
          {"the position", "coordinates have {value} decimals of a minute", 0},
          {}},
    Limit{&config::limit("min_altitude_decimals"),
          Reason::coarse_altitude,
          Reason::no_height,
          [](const Judged& j) noexcept {
            return j.epoch.ellipsoid_height_m() ? std::optional<double>(j.epoch.height_decimals) : std::nullopt;
          },
          {"the height", "decimals of the height: {value}", 0},
          {}}};

}  // namespace stillpoint::gate
