#pragma once
/// The planned points between configuration, day and clients.
///
/// Units:   degrees in the project's frame. Time: of the machine. Threads: plain functions. Errors: one sentence.

#include <string>

#include "base/result.hpp"
#include "base/time.hpp"
#include "config/settings.hpp"
#include "keeping/catalogue.hpp"
#include "pointbook/plan_file.hpp"

namespace stillpoint::daemon {

/// The plan that the configuration names; nothing planned when it names none.
Result<control::Plan> plan_of(const config::Settings& settings, UtcTime now);
/// Says which rows are no planned points.
void log_faults(const control::Plan& plan);

/// For clients: every planned point with its state. A visit counts unless it was rejected.
std::string plan_json(const control::Plan& plan, const Catalogue& points, UtcTime now);

}  // namespace stillpoint::daemon
