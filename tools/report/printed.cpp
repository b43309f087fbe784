#include "report/printed.hpp"

#include <cmath>

#include "base/number.hpp"
#include "client/wire_names.hpp"

namespace stillpoint::report {

std::string span(double time_s) {
  const auto seconds = static_cast<long long>(std::llround(std::abs(time_s)));
  if (seconds < 180) return std::to_string(seconds) + " s";
  if (seconds < 7200) return std::to_string(seconds / 60) + " min " + std::to_string(seconds % 60) + " s";
  return std::to_string(seconds / 3600) + " h " + std::to_string(seconds % 3600 / 60) + " min";
}

std::string reason_words(std::string_view code) {
  return client::refusal_words(std::string(code));
}

std::string joined(const std::vector<std::string>& parts, const std::string& between) {
  std::string out;
  for (const std::string& part : parts) out += (out.empty() ? "" : between) + part;
  return out;
}

std::string point_name(const std::string& name, int visit) {
  return visit > 1 ? name + ", visit " + std::to_string(visit) : name;
}

}  // namespace stillpoint::report
