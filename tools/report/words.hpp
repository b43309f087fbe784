#pragma once
/// Numbers and names as the report prints them.
///
/// Units: in the names. Threads: pure. Errors: none.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/time.hpp"

namespace stillpoint::report {

/// `0.012 m`, `--` when not known.
std::string metres(std::optional<double> length_m);
std::string plain_metres(std::optional<double> length_m);
/// `2026-06-03 14:05:10`
std::string moment(std::optional<UtcTime> time);
/// `140 s`, `12 min 5 s`, `2 h 3 min`
std::string span(double time_s);
/// `correction-age` becomes what people say.
std::string reason_words(std::string_view code);
std::string joined(const std::vector<std::string>& parts, const std::string& between);
std::string point_name(const std::string& name, int visit);

}  // namespace stillpoint::report
