#pragma once
/// What the repeat visits of one point come to together, and which of them count. The visits themselves stay as they
/// are.
///
/// Rule:    accepted visits of one source, in one frame and coordinate epoch (to half a year), 45 min or more apart and
///          with the receiver initialized anew in between. Visits that disagree are no mean: the error then covers all
///          of them, and the point wants another visit.
/// Units:   in the names. Time: the visits' own UTC.
/// Threads: plain functions. Errors: none; fewer than two visits with coordinates give nothing.

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "config/settings.hpp"
#include "occupation/point.hpp"

namespace stillpoint::occupation {

/// On a visit: the receiver was not seen to initialize anew since the visit before it.
inline constexpr const char* kSameInitialization = "same-initialization";

struct LeftOut {
  int visit = 0;
  std::string why;  ///< `not-accepted` `other-source` `other-frame` `other-coordinate-epoch` `same-initialization`
                    ///< `too-soon`
};

struct Combined {
  std::string name;
  std::string source;  ///< of the visits that count; empty: none does
  std::string frame;
  std::vector<int> counted;  ///< visits, the longest first
  std::vector<LeftOut> left_out;
  std::optional<Coordinates> at;  ///< easting, northing and orthometric height are still to be delivered
  double separation_m = 0, separation_up_m = 0;
  bool disagree = false;
  bool error_scale_verified = true;
  std::optional<UtcTime> next_counts_from;
};

/// `visits`: of one name, in the order of time.
std::optional<Combined> combine(std::span<const Point* const> visits, const std::vector<config::Source>& sources);

}  // namespace stillpoint::occupation
