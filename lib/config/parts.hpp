#pragma once
/// The readers of the single tables, called by `parse` in the order of the file.
///
/// Threads: pure but for the `Report` and the notes they are handed.
/// Errors:  collected in the `Report`.

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "config/section.hpp"
#include "config/settings.hpp"

namespace stillpoint::config {

struct Redo;

inline constexpr const char* kDefaultPointbook = "pointbook.gpkg";
inline constexpr const char* kDefaultRecord = "record";
inline constexpr const char* kDefaultSocket = "control";

/// What every table reader needs to know about the file.
struct Context {
  Report& report;
  std::vector<std::string>& notes;
  std::filesystem::path folder;  ///< absolute; relative paths start here
};

/// The path under `key`, made absolute. A leading `~` is an error: nothing expands it.
bool read_path(Section& section, std::string_view key, std::string& out, const Context& context,
               Need need = Need::optional);
/// Both axes, each within `range`.
bool read_per_axis(Section& section, PerAxis& out, const Range& range, Need need);

void read_project(Section& top, Project& out, Context& context);
void read_feeds(Section& top, std::vector<Feed>& out, Context& context);
void read_antenna(Section& top, Antenna& out, Context& context);
void read_sources(Section& top, std::vector<Source>& out, Context& context);
void read_occupation(Section& top, OccupationRule& out);
void read_services(Section& top, Settings& out, Context& context);
void read_corrections(Section& top, Corrections& out, Context& context);

/// Lays the sources of `redo` over those of a valid configuration, and reads the result into `settings`.
void lay_over(Value& tree, const Redo& redo, Settings& settings, std::vector<Error>& errors);

/// An IPv4 or IPv6 address in figures.
bool is_address(const std::string& text) noexcept;
/// `127.0.0.1:28101` or `[::1]:28101`: an address of this machine only, and a port above 0.
bool is_loopback_listen(const std::string& text) noexcept;
/// Any address in figures with a port.
bool is_listen(const std::string& text) noexcept;
/// `caster.example.org:2101`, `192.0.2.7:2101` or `[2001:db8::1]:2101`: host, without brackets, and port above 0.
std::optional<std::pair<std::string, std::uint16_t>> host_and_port(const std::string& text);

}  // namespace stillpoint::config
