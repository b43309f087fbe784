#pragma once
/// Which rows of a pointbook are versions of one point: what a row supersedes is the same point, whatever its name was.
///
/// Rule:    a row without a known predecessor begins a point, unless a row of its name and visit is there already, as
///          in books that were cut or put together by others.
/// Units:   none. Time: none. Threads: pure. Errors: none.

#include <vector>

#include "occupation/point.hpp"

namespace stillpoint::pointbook {

/// One point: its versions, oldest first; never empty. They point into the list that was given.
using Versions = std::vector<const occupation::StoredPoint*>;

/// `all` in the order of storing, in which a version follows what it supersedes; the points in that of their first ones.
std::vector<Versions> points_of(const std::vector<occupation::StoredPoint>& all);

/// The newest version of every point.
std::vector<occupation::StoredPoint> newest_of_each(const std::vector<occupation::StoredPoint>& all);

}  // namespace stillpoint::pointbook
