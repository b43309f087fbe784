#pragma once
/// A layer of points in somebody's GeoPackage, as a table with a place beside each row: control marks, or a plan.
///
/// Layer:   the one called so, or the file's only layer of points. A layer must say which system it is drawn in.
/// Threads: plain functions; the file must not be the live pointbook (see book.hpp).
/// Errors:  one sentence; a row that is no UTF-8 is left out and told in the table's faults.
/// Source:  OGC 12-128r18 (GeoPackage 1.3.1), 2.1 Features.

#include <string>

#include "base/result.hpp"
#include "control/layer.hpp"

namespace stillpoint::pointbook {

/// A plain file that begins as a database does.
bool is_database(const std::string& path);

Result<control::Layer> read_layer(const std::string& path, const std::string& called);

}  // namespace stillpoint::pointbook
