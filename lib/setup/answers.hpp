#pragma once
/// What a crew says of its work, and the configuration that follows from it and from what was heard.
///
/// Units:   metres; what was typed in feet is told in metres too (0.3048 m exactly).
/// Time:    none.
/// Threads: pure functions and plain values.
/// Errors:  none here; what is not known is written as `?`, which no program takes for a value.

#include <optional>
#include <string>

#include "setup/heard.hpp"

namespace stillpoint::setup {

inline constexpr const char* kUnknown = "?";

/// Where the bytes come from: a serial device, or a host and a port.
struct Link {
  std::string device;
  int baud = 0;
  std::string host;
  int port = 0;
  bool is_serial() const noexcept { return !device.empty(); }
};

struct Length {
  double metres = 0;
  bool in_feet = false;  ///< as it was typed
};

struct Answers {
  Link link;
  std::string project, crew, zone;
  double wanted_horizontal_m = 0.05;
  std::optional<double> wanted_vertical_m;
  bool satellites = false, network = false;
  std::string frame;          ///< of the office; a code, or `?`
  std::string geoid_grid;     ///< empty: ellipsoid heights
  std::string network_frame;  ///< a code, or `?`
  std::string network_epoch;  ///< a decimal year, `observation`, or `?`
  std::string evidence;       ///< or `?`
  std::string marks;          ///< empty: none
  Length pole, to_measuring_point;

  bool in_feet() const noexcept { return pole.in_feet || to_measuring_point.in_feet; }
};

/// Where the day's files lie: beside the configuration, or where the service may write.
struct Places {
  std::string pointbook = "points.gpkg", record = "record";
  std::string socket;  ///< empty: the default, beside the configuration
};
/// Those of the service for a configuration in its folder, else those beside the file.
Places places_of(const std::string& configuration);

/// A configuration, with a comment behind each value that says where it comes from: heard, asked, or a default of the
/// trade.
std::string draft(const Answers& answers, const Heard& heard, const Places& places = {});

}  // namespace stillpoint::setup
