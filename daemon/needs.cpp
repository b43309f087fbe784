#include "needs.hpp"

namespace stillpoint::daemon {
namespace {

using config::Source;

std::string quoted(const std::string& name) {
  return "\"" + name + "\"";
}

/// One need for each limit of each source: so a person sees what to change, the receiver's output or the limit.
void add_limit(std::vector<Need>& needs, std::vector<std::string_view> any_of, std::string_view limit,
               const Source& source) {
  const std::string names = joined(any_of, ", no ");
  needs.push_back(
      {any_of, "the limit " + std::string(limit) + " of " + quoted(source.name),
       "no " + names + ": the limit " + std::string(limit) + " can never pass (source " + quoted(source.name) + ")"});
}

void add_source(std::vector<Need>& needs, const Source& source) {
  const bool sigma_assumed = source.assumed_sigma_m.has_value();
  if (source.gate.max_error95_horizontal_m && !sigma_assumed) {
    add_limit(needs, {"GST"}, "max_error95_horizontal_m", source);
  }
  if (source.gate.max_error95_vertical_m && !sigma_assumed) add_limit(needs, {"GST"}, "max_error95_vertical_m", source);
  if (!sigma_assumed) {
    needs.push_back({{"GST"},
                     "the error of every second of " + quoted(source.name),
                     "no GST: without assumed_sigma_m no second of source " + quoted(source.name) +
                         " has an error, and none can count"});
  }
  if (source.gate.max_pdop) add_limit(needs, {"GSA"}, "max_pdop", source);
  if (source.gate.max_hdop) add_limit(needs, {"GGA", "GNS", "GSA"}, "max_hdop", source);
}

}  // namespace

std::string joined(const std::vector<std::string_view>& words, std::string_view glue) {
  std::string text;
  for (const auto word : words) {
    if (!text.empty()) text += glue;
    text += word;
  }
  return text;
}

std::vector<Need> needs_of(const config::Settings& settings) {
  std::vector<Need> needs;
  needs.push_back({{"GGA", "GNS"}, "positions", "no GGA, no GNS: there is no position, and no second can count"});
  needs.push_back({{"RMC", "ZDA"}, "the date", "no RMC, no ZDA: there is no date, and no second can count (no-date)"});
  bool speed = false;
  for (const Source& source : settings.sources) {
    add_source(needs, source);
    speed = speed || source.gate.max_speed_mps.has_value();
  }
  if (speed) {
    needs.push_back({{"RMC", "VTG"},
                     "the limit max_speed_mps",
                     "no RMC, no VTG: the speed is worked out from the positions, which is coarser"});
  }
  return needs;
}

}  // namespace stillpoint::daemon
