#pragma once
/// Planned points: what somebody wants measured, and where it is to be looked for.
///
/// Columns: name (required); latitude_deg and longitude_deg, or easting_m and northing_m (required; of a layer its
///          geometry); optional: code, note, frame (without it the project's; of a layer its own), again_from (a date,
///          or a time as 2026-12-01T14:00:00Z: from then on a second visit is due).
/// Units:   degrees, metres. The places come out in the project's frame, without a height: for finding them on foot.
/// Time:    UTC; the year in which coordinates are moved from another frame is given.
/// Threads: plain values; reading opens a PROJ context of its own.
/// Errors:  one sentence a row; a row with an error is no planned point. A frame whose way to the project's nobody knows
///          is a warning, and the place is taken as it stands.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/time.hpp"
#include "control/layer.hpp"
#include "control/table.hpp"

namespace stillpoint::control {

struct PlannedPoint {
  std::string name, code, note;
  double latitude_deg = 0, longitude_deg = 0;
  std::optional<UtcTime> again_from{};
};

struct Plan {
  std::vector<PlannedPoint> points;
  std::vector<std::string> errors;    ///< rows that are no planned points, and why
  std::vector<std::string> warnings;  ///< points that are, with a caution
};

/// Where the plan is to be used.
struct PlanFrame {
  std::string frame;  ///< the project's
  double year = 0;    ///< decimal
};

Plan plan_from(const Table& table, const PlanFrame& used);
Plan plan_from(const Layer& layer, const PlanFrame& used);

/// How a planned point stands: nobody was there, a second visit is due, or all that is due is done.
enum class PlanState : std::uint8_t { open, again, done };
std::string_view to_word(PlanState state) noexcept;

/// `visited`: when the newest visit that counts ended; empty: there is none.
PlanState state_of(const PlannedPoint& point, std::optional<UtcTime> visited, UtcTime now) noexcept;

}  // namespace stillpoint::control
