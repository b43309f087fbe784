#include "ntrip/source_table.hpp"

#include <algorithm>
#include <array>

#include "base/number.hpp"
#include "base/typed.hpp"
#include "base/utf8.hpp"

namespace stillpoint::ntrip {
namespace {

constexpr std::size_t kLongestText = 128;
constexpr std::size_t kFields = 19;

using Fields = std::array<std::string_view, kFields>;

/// What stands between the semicolons; fields that are missing are empty.
Fields fields_of(std::string_view line) {
  Fields fields;
  for (std::size_t i = 0; i < kFields; ++i) {
    const std::size_t end = line.find(';');
    fields[i] = line.substr(0, end);
    if (end == std::string_view::npos) break;
    line.remove_prefix(end + 1);
  }
  return fields;
}

/// Empty where it holds what cannot be seen or is no UTF-8.
std::string readable_text(std::string_view text) {
  if (text.size() > kLongestText || !is_utf8(text) || holds_unseen(text)) return "";
  return std::string(text);
}

std::optional<double> degrees(std::string_view text, double most) {
  const auto value = parse_decimal(text);
  return value && *value >= -most && *value <= most ? value : std::nullopt;
}

/// East of Greenwich to 360 degrees is common, and means the same place.
std::optional<double> longitude(std::string_view text) {
  const auto value = degrees(text, 360);
  if (!value) return std::nullopt;
  return *value > 180 ? *value - 360 : *value < -180 ? *value + 360 : *value;
}

std::optional<Mount> mount_of(std::string_view line) {
  const Fields f = fields_of(line);
  Mount mount;
  mount.name = readable_text(f[1]);
  if (mount.name.empty()) return std::nullopt;
  mount.place = readable_text(f[2]);
  mount.format = readable_text(f[3]);
  mount.details = readable_text(f[4]);
  mount.systems = readable_text(f[6]);
  mount.network = readable_text(f[7]);
  mount.country = readable_text(f[8]);
  const auto latitude = degrees(f[9], 90), east = longitude(f[10]);
  if (latitude && east && (*latitude != 0 || *east != 0)) {
    mount.latitude_deg = latitude;
    mount.longitude_deg = east;
  }
  mount.wants_position = f[11] == "1";
  mount.is_network = f[12] == "1";
  mount.wants_login = !f[15].empty() && f[15] != "N";
  return mount;
}

}  // namespace

SourceTable source_table_of(std::string_view text) {
  SourceTable table;
  while (!text.empty()) {
    const std::size_t end = text.find('\n');
    std::string_view line = text.substr(0, end);
    text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
    if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
    if (line.rfind("STR;", 0) != 0) continue;
    auto mount = table.mounts.size() < kMostMounts ? mount_of(line) : std::nullopt;
    if (mount) {
      table.mounts.push_back(*std::move(mount));
    } else {
      ++table.left_out;
    }
  }
  return table;
}

}  // namespace stillpoint::ntrip
