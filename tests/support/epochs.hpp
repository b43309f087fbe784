#pragma once
/// Epochs and sources for tests: a good second, to be spoilt by the test.

#include <string>

#include "config/settings.hpp"
#include "epoch/epoch.hpp"

namespace stillpoint::support {

inline config::Source network() {
  config::Source s;
  s.name = "county network";
  s.match.station = config::StationMatch{false, {{417, 417}, {900, 910}}};
  s.frame = "EPSG:6319";
  s.coordinate_epoch = 2010.0;
  s.evidence = "invented";
  s.error_floor_m = {0.008, 0.012};
  s.gate.quality = {Quality::rtk_fixed};
  s.gate.fresh_age_s = 3;
  s.gate.max_age_s = 10;
  s.gate.coast_growth_m_per_min = 0.05;
  s.gate.max_hdop = 2.0;
  s.gate.max_pdop = 4.0;
  s.gate.min_satellites = 6;
  s.gate.max_error95_horizontal_m = 0.05;
  s.gate.max_error95_vertical_m = 0.08;
  s.gate.max_speed_mps = 0.10;
  s.gate.settle_s = 5;
  s.gate.min_minute_decimals = 6;
  return s;
}

inline config::Source sbas() {
  config::Source s;
  s.name = "sbas";
  s.match.quality = {Quality::differential, Quality::sbas};
  s.match.station = config::StationMatch{true, {{0, 0}, {33, 64}, {120, 158}}};
  s.frame = "EPSG:9989";
  s.evidence = "invented";
  s.error_floor_m = {0.10, 0.20};
  s.gate.quality = {Quality::differential, Quality::sbas};
  s.gate.fresh_age_s = 30;
  s.gate.max_age_s = 1200;
  s.gate.coast_growth_m_per_min = 0.05;
  s.gate.age_missing = config::AgeMissing::allow;
  s.gate.settle_s = 10;
  return s;
}

inline config::Settings settings() {
  config::Settings s;
  s.project.name = "Harrowfen culvert inventory";
  s.project.frame = "EPSG:6319";
  s.feeds.push_back({});
  s.antenna.vertical_parts_m = {{"pole", 1.800}, {"adapter", 0.071}};
  s.sources = {network(), sbas()};
  return s;
}

/// A fixed epoch of the county network that passes everything, `t_s` seconds into 2026-06-03T14:00Z.
inline epoch::Epoch fixed_epoch(double t_s, double age_s = 1.0) {
  epoch::Epoch e;
  e.stream_ms = 50'400'000 + static_cast<std::int64_t>(t_s * 1000);
  e.utc = UtcTime{*parse_utc("2026-06-03T14:00:00Z")};
  e.utc->ms += static_cast<std::int64_t>(t_s * 1000);
  e.step = epoch::TimeStep::forward;
  e.first_arrival = e.last_arrival = SteadyTime{static_cast<std::int64_t>(t_s * 1000) + 80};
  e.quality = Quality::rtk_fixed;
  // The digits differ from second to second, as a living receiver's do.
  e.position = nmea::Position{47.6 + 1e-9 * t_s, -87.4, 7,
                              static_cast<std::uint64_t>(static_cast<std::int64_t>(t_s * 1000)) + 1};
  e.altitude_m = 180.0;
  e.geoid_separation_m = -36.0;
  e.satellites = 12;
  e.hdop = 0.7;
  e.pdop = 1.3;
  e.age = nmea::Age{age_s, false};
  e.station = 417;
  nmea::Gst gst;
  gst.semi_major_m = 0.010;
  gst.semi_minor_m = 0.008;
  gst.orientation_deg = 30.0;
  gst.sigma_latitude_m = 0.0095;
  gst.sigma_longitude_m = 0.0086;
  gst.sigma_altitude_m = 0.015;
  e.error = gst;
  e.speed_mps = 0.02;
  return e;
}

}  // namespace stillpoint::support
