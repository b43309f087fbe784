#pragma once
/// Check shots after a correction: of the point they were made from, or of the mark.
///
/// A shot whose mark is not corrected keeps its mark where it was: that is the shot minus its stored offset.
///
/// Units:  metres. Threads: plain functions. Errors: a mark that cannot be used is one sentence.

#include <map>
#include <span>
#include <string>
#include <vector>

#include "base/result.hpp"
#include "config/redo.hpp"
#include "control/marks.hpp"
#include "pointbook/reader.hpp"

namespace stillpoint::reduce {

/// The marks of every redo, later ones in place of earlier ones.
Result<std::vector<control::Mark>> corrected_marks(std::span<const config::Redo> redos);

/// Next versions of the shots that come out otherwise; without uuid. `moved`: new coordinates by the uuid of any
/// version of their point.
Result<std::vector<pointbook::CheckShot>> corrected_shots(const pointbook::Contents& book,
                                                          const std::map<std::string, occupation::Coordinates>& moved,
                                                          const std::vector<control::Mark>& marks);

}  // namespace stillpoint::reduce
