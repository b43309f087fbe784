#pragma once
/// What a crew says of its work, and the configuration that follows from it and from what was heard.
///
/// Units:   metres; what was typed in feet is told in metres too.
/// Time:    none.
/// Threads: pure functions and plain values.
/// Errors:  none here; what is not known is written as `?`, which no program takes for a value.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

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

enum class Unit : std::uint8_t { metre, foot, survey_foot };
/// As the configuration writes it: `m` `ft` `ft-us`.
std::string_view to_word(Unit unit) noexcept;

struct Length {
  double metres = 0;
  Unit unit = Unit::metre;  ///< as it was typed
  bool is_open = true;      ///< nobody knows it yet
};

/// Of a caster that the daemon shall ask.
struct CasterAsked {
  std::string host;  ///< empty: the corrections reach the receiver without us
  int port = 0;
  bool tls = false;
  std::string mount = kUnknown;
  std::string login;  ///< a file; empty: none is wanted; or `?`
  bool send_position = false;
  bool is_wanted() const noexcept { return !host.empty(); }
};

struct Answers {
  Link link;
  std::string project, crew;  ///< empty: not known
  std::string zone;           ///< empty: UTC
  Unit unit = Unit::metre;    ///< that people read
  std::optional<double> wanted_horizontal_m, wanted_vertical_m;
  bool satellites = false, network = false;
  CasterAsked caster;
  std::string frame;          ///< of the office; a code, or `?`
  std::string geoid_grid;     ///< empty: ellipsoid heights
  std::string network_frame;  ///< a code, or `?`
  std::string network_epoch;  ///< a decimal year, `observation`, or `?`
  std::string evidence;       ///< or `?`
  std::string marks;          ///< empty: none
  Length pole, to_measuring_point;
};

/// Where the day's files lie: beside the configuration, or where the service may write.
struct Places {
  std::string pointbook = "points.gpkg", record = "record";
  std::string socket;                    ///< empty: the default, beside the configuration
  std::string page = "127.0.0.1:28100";  ///< where the page listens
};
/// Those of the service for a configuration in its folder, else those beside the file.
Places places_of(const std::string& configuration);

/// Whether a length was typed in feet.
bool has_feet(const Answers& answers) noexcept;

/// A configuration, with a comment behind each value that says where it comes from: heard, asked, or a default of the
/// trade.
std::string draft(const Answers& answers, const Heard& heard, const Places& places = {});

}  // namespace stillpoint::setup
