#pragma once
/// The one operation between two frames that may be used, out of all that PROJ offers, and the reasons against the
/// rest.
///
/// An operation is refused when it is a guess ("ballpark"), passes through an ensemble, has a step that moves nothing,
/// works on latitude and longitude alone, lacks its grid, states no accuracy or a worse one than allowed, or fails a
/// trial inside its own area.
///
/// Units:   degrees in longitude, latitude order inside; metres; decimal years.
/// Threads: belongs to the thread of its PROJ context.
/// Errors:  one sentence naming the operation and what is wrong with it.

#include <optional>
#include <string>

#include "base/result.hpp"
#include "base/time.hpp"
#include "geodesy/local.hpp"
#include "geodesy/proj_handle.hpp"
#include "geodesy/reference_frame.hpp"

namespace stillpoint::geodesy {

/// Dates that a transformation may be asked for. PROJ takes 0 without a word and is tens of metres off.
inline constexpr double kEarliestYear = 1980.0;
inline constexpr double kLatestYear = 2100.0;
constexpr bool is_usable_year(double year) noexcept {
  return year > kEarliestYear && year < kLatestYear;
}
/// Whether its decimal year is: the same bounds, which are the first moments of those years.
constexpr bool is_usable(UtcTime time) noexcept {
  constexpr UtcTime kEarliest{315'532'800'000}, kLatest{4'102'444'800'000};
  return time > kEarliest && time < kLatest;
}

class Operation3d {
 public:
  /// Moves nothing: two names for one frame.
  Operation3d(std::string description, std::optional<double> accuracy_m, Area area);
  Operation3d(PjPtr normalized, bool inverse, std::string description, double accuracy_m, Area area);

  /// Nothing when PROJ fails or any number of the result is not finite. `year` must be usable.
  std::optional<Geographic> apply(const Geographic& position, double year) const noexcept;
  /// From the target frame back to the source frame.
  std::optional<Geographic> undo(const Geographic& position, double year) const noexcept;

  bool is_identity() const noexcept { return !pj_; }
  const std::string& description() const noexcept { return description_; }
  std::optional<double> accuracy_m() const noexcept { return accuracy_m_; }
  const Area& area() const noexcept { return area_; }
  bool is_time_dependent() const noexcept { return time_dependent_; }
  bool moves_nothing() const noexcept { return !pj_ || moves_nothing_; }

  /// A trial at places inside the area: the reason why it cannot be used, else nothing.
  std::optional<std::string> trial_fault(bool may_move_nothing);

 private:
  std::optional<Geographic> transform(const Geographic& position, double year, bool backwards) const noexcept;

  PjPtr pj_;
  bool inverse_ = false;
  std::string description_;
  std::optional<double> accuracy_m_;
  Area area_;
  bool time_dependent_ = false;
  bool moves_nothing_ = false;
};

/// `worst_accuracy_m` empty: any stated accuracy will do.
Result<Operation3d> choose_operation(PJ_CONTEXT* context, const ReferenceFrame& from, const ReferenceFrame& to,
                                     std::optional<double> worst_accuracy_m);

}  // namespace stillpoint::geodesy
