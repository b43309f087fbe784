#pragma once
/// Numbers and names as the report prints them.
///
/// Units: in the names. Threads: pure. Errors: none.

#include <string>
#include <string_view>
#include <vector>

namespace stillpoint::report {

/// `140 s`, `12 min 5 s`, `2 h 3 min`
std::string span(double time_s);
/// `correction-age` becomes what people say.
std::string reason_words(std::string_view code);
std::string joined(const std::vector<std::string>& parts, const std::string& between);
std::string point_name(const std::string& name, int visit);

}  // namespace stillpoint::report
