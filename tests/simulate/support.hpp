#pragma once
// A small scenario as text, to which a test adds what it is about, and the log and truth that come out.

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "simulate/simulation.hpp"

namespace stillpoint::test {

/// `head` replaces the defaults of the top and the receiver, `more` is put behind everything.
inline std::string scenario_text(const std::string& seconds, const std::string& receiver, const std::string& more) {
  return "name = \"Trial\"\nabout = \"Invented.\"\nstart_utc = \"2026-06-03T14:00:00Z\"\nseconds = " + seconds +
         "\nseed = 5\nframe = \"EPSG:6319\"\n[receiver]\n" + receiver + R"(
[[mark]]
name = "VM-11"
known = true
latitude_deg = 47.6
longitude_deg = -87.4
ellipsoid_height_m = 148.300
[[mark]]
name = "CUL-1"
wanted = true
tolerance_m = 0.05
tolerance_up_m = 0.08
latitude_deg = 47.6009
longitude_deg = -87.4
ellipsoid_height_m = 149.100
[[source]]
name = "network"
quality = "rtk-fixed"
station = "0417"
frame = "EPSG:6319"
white_m = { east = 0.004, north = 0.004, up = 0.008 }
[[source]]
name = "sbas"
quality = "sbas"
station = "0131"
frame = "EPSG:9989"
age_from_s = 3
age_cycle_s = 5
drift_m_per_min = 0.3
white_m = { east = 0.1, north = 0.1, up = 0.2 }
markov_m = { east = 0.3, north = 0.3, up = 0.5 }
tau_s = { east = 100, north = 100, up = 150 }
)" + more;
}

inline simulate::Scenario scenario_of(const std::string& text) {
  auto parsed = simulate::parse_scenario(text, "trial.toml");
  for (const Error& error : parsed.errors) INFO(error.text);
  REQUIRE(parsed.errors.empty());
  return std::move(parsed.scenario);
}

inline simulate::Simulation simulation_of(const std::string& text) {
  auto simulation = simulate::Simulation::open(scenario_of(text));
  REQUIRE(simulation.has_value());
  return std::move(*simulation);
}

struct Made {
  std::string bytes;
  std::vector<simulate::TrueEpoch> truth;
  std::vector<simulate::Burst> bursts;
};

inline Made made_of(const std::string& text) {
  auto simulation = simulation_of(text);
  Made out;
  simulate::Burst burst;
  while (simulation.next(burst)) {
    out.bytes += burst.bytes;
    out.truth.push_back(simulation.truth());
    out.bursts.push_back(burst);
  }
  return out;
}

}  // namespace stillpoint::test
