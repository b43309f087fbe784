#pragma once
/// The file of planned points, CSV or GeoPackage (the layer called `plan`, or its only layer of points).
///
/// Units, time, columns: control/plan.hpp. Threads: plain functions; the file must not be the live pointbook.
/// Errors:  a row that is no planned point is a sentence in `errors`, and the others count. A file that cannot be read,
///          or in which no row is one, is one sentence.

#include <string>

#include "base/result.hpp"
#include "control/plan.hpp"

namespace stillpoint::pointbook {

Result<control::Plan> read_plan_file(const std::string& path, const control::PlanFrame& used);

}  // namespace stillpoint::pointbook
