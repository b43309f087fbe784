#pragma once
/// Check shots after a correction.
///
/// A shot of the field comes out of the record again, with everything that was corrected, as points do. A shot that
/// somebody made from a point follows that point and its mark; a mark that is not corrected stays where it was: that is
/// the shot minus its stored offset. A shot that can no longer be compared keeps its old numbers and is not passed.
///
/// Units:  metres. Threads: plain functions. Errors: a mark that cannot be used is one sentence.

#include <map>
#include <span>
#include <string>
#include <vector>

#include "base/result.hpp"
#include "config/redo.hpp"
#include "control/marks.hpp"
#include "office.hpp"
#include "pointbook/reader.hpp"
#include "reduce/recompute.hpp"
#include "second_look.hpp"

namespace stillpoint::office {

/// The marks of every redo, later ones in place of earlier ones.
Result<std::vector<control::Mark>> corrected_marks(std::span<const config::Redo> redos);

/// The next version of a shot, without uuid; a first one for a check that did not count on the day.
struct RevisedShot {
  pointbook::CheckShot shot;
  std::size_t opening = 0;  ///< its stay in the record; 0: it was made from a point
  bool compared = true;     ///< false: it no longer can be; its numbers are the old ones
};

/// Shots of the field that come out otherwise.
std::vector<RevisedShot> revised_shots(const pointbook::Contents& book, const FieldDay& field,
                                       const Recomputation& again);

/// Shots made from points that come out otherwise. `moved`: points as they are now, by the uuid of any of their
/// versions.
Result<std::vector<RevisedShot>> corrected_shots(const pointbook::Contents& book,
                                                 const std::map<std::string, const occupation::Point*>& moved,
                                                 const std::vector<control::Mark>& marks);

}  // namespace stillpoint::office
