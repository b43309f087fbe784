#pragma once
/// The kinds of alert, and how each behaves. One table; who raises them says only whether a condition holds.
///
/// Units: milliseconds. Errors: none.

#include <array>
#include <cstdint>
#include <limits>
#include <string_view>

#include "session/status.hpp"

namespace stillpoint::session {

/// In the order in which they are looked at: of several that begin together the first gets the smallest number.
enum class AlertKind : std::uint8_t {
  corrections_stale,
  corrections_coasting,
  station_unlisted,
  feed_frozen,
  feed_silent,
  feed_unavailable,
  source_changed,
  settings_changed,
  satellites_lost,
  position_jump,
  check_due,
  check_failed,
  stay_left,
  feed_late,
  date_contradicted,
  geoid_contradicted,
  corrections_stopped,
  receiver_not_using,
  base_changed,
  frame_contradicted,
};

struct AlertRule {
  std::string_view key;  ///< its contract name
  Severity severity = Severity::notice;
  std::int64_t on_ms = 0;   ///< the condition must hold this long
  std::int64_t off_ms = 0;  ///< and be gone this long
  bool latched = false;     ///< stays until somebody has seen it
};

inline constexpr std::array<AlertRule, 20> kAlertRules{{
    {"corrections-stale", Severity::stop_work, 0, 5000, false},
    {"corrections-coasting", Severity::notice, 0, 5000, false},
    {"station-unlisted", Severity::warning, 2000, 5000, false},
    {"feed-frozen", Severity::stop_work, 0, 5000, false},
    {"feed-silent", Severity::warning, 0, 0, false},
    {"feed-unavailable", Severity::warning, 0, 0, false},
    {"source-changed", Severity::notice, 0, 0, false},
    {"receiver-settings-changed", Severity::notice, 0, 0, false},
    {"satellites-lost", Severity::notice, 0, 5000, false},
    {"position-jump", Severity::stop_work, 0, 0, true},
    {"check-due", Severity::notice, 0, 0, false},
    {"check-failed", Severity::stop_work, 0, 0, false},
    {"stay-left", Severity::warning, 0, 0, false},
    {"feed-late", Severity::stop_work, 1000, 5000, false},
    {"date-contradicted", Severity::stop_work, 0, 5000, false},
    {"geoid-contradicted", Severity::stop_work, 2000, 5000, false},
    {"corrections-stopped", Severity::warning, 0, 5000, false},
    {"receiver-not-using", Severity::warning, 0, 5000, false},
    {"base-changed", Severity::stop_work, 0, 0, true},
    {"frame-contradicted", Severity::stop_work, 0, 0, false},
}};

/// Only something heard, or a command, can change it.
inline constexpr std::int64_t kNotByTime = std::numeric_limits<std::int64_t>::max();

/// When something is looked at: the session's time, and the receiver's where it is known.
struct Moment {
  SteadyTime now;
  std::optional<UtcTime> utc;
};

/// Whether a condition holds, and the earliest time at which time alone can change that. The time may be too early,
/// which only costs another look, and is never too late.
struct Condition {
  bool holds = false;
  std::int64_t may_change_ms = kNotByTime;
};

/// `at`, in so many seconds from `now`; never in the past.
inline std::int64_t ms_after(SteadyTime now, double seconds) noexcept {
  constexpr double kFar_s = 1e9;
  if (!(seconds > 0)) return now.ms;
  return seconds > kFar_s ? kNotByTime : now.ms + static_cast<std::int64_t>(seconds * 1000);
}

}  // namespace stillpoint::session
