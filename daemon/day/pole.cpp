#include "day/pole.hpp"

#include <algorithm>
#include <cmath>

#include "base/number.hpp"
#include "common/sentences.hpp"

namespace stillpoint::daemon {
namespace {

constexpr int kEnoughDecimals = 6;  // a height is typed with fewer

/// A basic string of TOML. Control characters are never typed.
std::string quoted(const std::string& text) {
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') out.push_back('\\');
    out.push_back(c);
  }
  return out + "\"";
}

std::string parts_of(const config::Antenna& antenna) {
  std::string out;
  for (const auto& [name, part_m] : antenna.vertical_parts_m) {
    out += (out.empty() ? "" : ", ") + quoted(name) + " = " + fixed(part_m, kEnoughDecimals);
  }
  return "{ " + out + " }";
}

}  // namespace

Result<std::vector<const CatalogueEntry*>> measured_on_another(const Catalogue& points, double antenna_height_m,
                                                               UtcTime since) {
  std::vector<const CatalogueEntry*> out;
  for (const CatalogueEntry& entry : points.entries()) {
    const occupation::Point& point = entry.stored.point;
    if (!has_other_antenna(point, antenna_height_m, since)) continue;
    const double first_m = out.empty() ? point.antenna_height_m : out.front()->stored.point.antenna_height_m;
    if (std::abs(point.antenna_height_m - first_m) >= occupation::kSameAntennaM) {
      return fail(kSay.two_poles(fixed(first_m, 3), fixed(point.antenna_height_m, 3)));
    }
    out.push_back(&entry);
  }
  return out;
}

std::optional<occupation::StoredPoint> held_for_antenna(const CatalogueEntry& entry, double antenna_height_m,
                                                        const PoleAsked& asked) {
  occupation::StoredPoint next = next_version(entry, asked.by, asked.reason);
  if (!hold_for_antenna(next.point, antenna_height_m, asked.since)) return std::nullopt;
  return next;
}

std::string redo_file_of(const std::string& pointbook, UtcTime since) {
  std::string when = to_text(since);
  std::erase(when, ':');
  return pointbook + ".pole-" + when + ".toml";
}

std::string redo_text_of(const PoleAsked& asked, const Span& span) {
  return "by     = " + quoted(asked.by) + "\nreason = " + quoted(asked.reason) +
         "\n\n[[antenna]]\nfrom_utc  = " + quoted(to_text(span.from)) + "\nuntil_utc = " + quoted(to_text(span.until)) +
         "\nvertical_parts_m = " + parts_of(asked.antenna) + "\n";
}

}  // namespace stillpoint::daemon
