#pragma once
/// The file of control marks, CSV or GeoPackage: the one reader for the daemon and the office.
///
/// Layer:   of a GeoPackage the layer called `marks`, or its only layer of points. What its rows mean, and that its
///          system must be the frame the marks declare, is `control/layer.hpp`.
/// Units:   those of the columns. Threads: plain functions; the file must not be the live pointbook (see book.hpp).
/// Errors:  a row that is no mark is a sentence in `errors`, and the others count. A file that cannot be read, or in
///          which no row is a mark, is one sentence.

#include <string>

#include "base/result.hpp"
#include "control/marks.hpp"

namespace stillpoint::pointbook {

Result<control::Marks> read_mark_file(const std::string& path);

}  // namespace stillpoint::pointbook
