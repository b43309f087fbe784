#pragma once
/// Which visits of one point cannot all be true, whatever the time between them: a visit that comes too soon proves
/// nothing, but it can disprove.
///
/// Rule:    two visits contradict each other when they lie farther apart than 3 sigma of their joint error, in plan
///          (two axes together) or in height. Of three or more the largest group that agrees pairwise stays, and the
///          others are held; where no group is the largest, all that are contradicted are held.
/// Units:   metres.
/// Threads: plain functions.
/// Errors:  none. Visits without coordinates, of another frame, or of dates too far apart for a moving frame say
///          nothing.

#include <span>
#include <string>
#include <vector>

#include "occupation/point.hpp"

namespace stillpoint::occupation {

struct Contradicted {
  int visit = 0;
  int by = 0;  ///< the visit that it contradicts, the farthest one
  double apart_m = 0, apart_up_m = 0;
};

/// `visits`: of one name. In the order of `visits`.
std::vector<Contradicted> contradicted_among(std::span<const Point* const> visits);

/// "visit 2 lies 1.80 m away and 0.02 m in height, more than both errors explain: visit the point again"
std::string sentence_of(const Contradicted& contradicted);

/// Puts the reason on the point or takes it off, and sets the status to match. The caller leaves out points that a
/// person accepted or rejected. Returns true when something changed.
bool hold_contradicted(Point& point, const Contradicted* contradicted);

}  // namespace stillpoint::occupation
