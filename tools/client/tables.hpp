#pragma once
/// Points, alerts and the antenna as text for people.
///
/// Threads: pure.

#include <string>
#include <vector>

#include "client/wire_names.hpp"

namespace stillpoint::client {

/// What stands behind the values of a status: source, this second, what the errors rest on, where the points are.
std::vector<std::string> behind_lines(const Json& status);
/// A table of at most 100 columns, one row a point, and a line that says what the errors mean.
std::vector<std::string> points_table(const Json& points);
/// Stays that ended and left nothing: each as a line that says that it is no point.
std::vector<std::string> lost_lines(const Json& lost);
/// What became of a point by hand: what it was held for, and its value.
std::vector<std::string> resolved_lines(const Json& answer);
/// What repeat visits come to together, two lines a point; nothing when no point was visited again.
std::vector<std::string> combined_lines(const Json& combined);
/// What was kept: status, both 95 % errors, what counted and what did not, where it is.
std::vector<std::string> point_sentences(const Json& point, const std::string& storage);
/// `10:41:44 to 10:42:10  WARNING    Text.  NOT SEEN`
std::string alert_line(const Json& alert);
std::vector<std::string> alert_lines(const Json& result);
std::vector<std::string> antenna_lines(const Json& result);
/// `corrections too old 12, moving 3`, the most frequent first.
std::string refusals_text(const Json& refused);

}  // namespace stillpoint::client
