// Any bytes as a configuration: errors are sentences, accepted settings keep their promises, and the defaults survive.

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "config/load.hpp"

namespace {

using namespace stillpoint;

void require(bool holds) {
  if (!holds) std::abort();
}

void check_sentence(const Error& error) {
  require(!error.text.empty());
  for (const char c : error.text) require(static_cast<unsigned char>(c) >= 0x20 && c != 0x7F);
}

void check_gate(const config::Gate& gate) {
  require(!gate.quality.empty());
  require(std::isfinite(gate.max_age_s) && gate.fresh_age_s >= 0 && gate.max_age_s >= gate.fresh_age_s);
  require(!gate.max_hdop || *gate.max_hdop > 0);
  require(!gate.max_vdop || *gate.max_vdop > 0);
  require(!gate.min_altitude_decimals || *gate.min_altitude_decimals >= 1);
  for (const Quality quality : gate.quality) require(may_have_source(quality));
}

void check_settings(const config::Settings& settings) {
  require(!settings.feeds.empty() && !settings.sources.empty());
  require(!settings.project.frame.empty() && settings.project.pointbook.front() == '/');
  require(!settings.project.coordinate_epoch || settings.project.site_velocity_mm_per_year.has_value());
  const config::Antenna& antenna = settings.antenna;
  require(!(antenna.slant_m && !antenna.vertical_parts_m.empty()));
  require(antenna.slant_m || !antenna.vertical_parts_m.empty() || antenna.already_reduced_by_receiver);
  for (const config::Source& source : settings.sources) {
    check_gate(source.gate);
    if (!source.match.station) continue;
    for (const auto& [low, high] : source.match.station->ranges) require(low >= 0 && low <= high);
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const config::Loaded loaded = config::parse(text, "/srv/fuzz.toml");
  for (const Error& error : loaded.errors) check_sentence(error);
  if (loaded.errors.empty()) check_settings(loaded.settings);
  return 0;
}
