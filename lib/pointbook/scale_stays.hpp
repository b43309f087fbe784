#pragma once
/// The stays of a pointbook that speak of their sources' error figures: its check shots and its repeat visits.
///
/// Rule:    the newest version of each counts. A shot whose numbers are the old ones proves nothing. Of points those
///          whose name was visited twice; what they claimed is read from their seconds.
/// Units, time, threads: those of control/scales.hpp. Errors: what the book says when it cannot be read.

#include <vector>

#include "control/scales.hpp"
#include "pointbook/book.hpp"
#include "pointbook/reader.hpp"

namespace stillpoint::pointbook {

Result<std::vector<control::ScaleStay>> scale_stays(const Book& book);

/// A point's newest version, and the seconds it rests on.
struct PointStay {
  const occupation::Point* point = nullptr;
  const std::vector<occupation::EpochRecord>* epochs = nullptr;
};
std::vector<PointStay> point_stays(const Contents& book);
/// Of the check shots alone. `number`: which of several books it is.
std::vector<control::ScaleStay> shot_stays(const std::vector<CheckShot>& all, int number);

}  // namespace stillpoint::pointbook
