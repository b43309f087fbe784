#include "base/offset_measures.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <utility>

#include "base/number.hpp"

namespace stillpoint {
namespace {

constexpr double kCircleDeg = 360.0;

std::string exact(double value) {
  std::array<char, 32> text{};
  const auto end = std::to_chars(text.data(), text.data() + text.size(), value == 0 ? 0.0 : value).ptr;
  return {text.data(), end};
}

std::optional<double> number_from(std::string_view text) {
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  const bool whole = error == std::errc() && end == text.data() + text.size() && std::isfinite(value);
  return whole ? std::optional(value) : std::nullopt;
}

/// The figures of one line, taken from its left.
class Figures {
 public:
  explicit Figures(std::string_view line) : rest_(line) {}
  bool begins_with(std::string_view key) const { return rest_.starts_with(std::string(key) + "="); }
  /// The value up to the next blank, or up to the end of the line for the last one.
  std::optional<std::string_view> text(std::string_view key, bool is_last = false) {
    if (!begins_with(key)) return std::nullopt;
    rest_.remove_prefix(key.size() + 1);
    const std::size_t end = is_last ? rest_.size() : std::min(rest_.find(' '), rest_.size());
    const std::string_view value = rest_.substr(0, end);
    rest_.remove_prefix(std::min(end + 1, rest_.size()));
    return value;
  }
  bool number(std::string_view key, double& value) {
    const auto found = text(key);
    const auto read = found ? number_from(*found) : std::nullopt;
    value = read.value_or(value);
    return read.has_value();
  }
  bool is_over() const { return rest_.empty(); }

 private:
  std::string_view rest_;
};

bool take_stay(Figures figures, OffsetMeasures& out) {
  MeasuredStay stay;
  if (!figures.number("distance_m", stay.distance_m) || !figures.number("sigma_m", stay.distance_sigma_m)) return false;
  const auto uuid = figures.text("from"), visit = figures.text("visit"), name = figures.text("stay", true);
  const auto number = visit ? parse_integer(*visit) : std::nullopt;
  if (!uuid || !number || !name) return false;
  stay.uuid = *uuid;
  stay.visit = static_cast<int>(*number);
  stay.name = *name;
  out.stays.push_back(std::move(stay));
  return true;
}

bool take_bearing(Figures figures, OffsetMeasures& out) {
  double bearing_deg = 0, declination_deg = 0;
  if (!figures.number("bearing_deg", bearing_deg) || !figures.number("sigma_deg", out.bearing_sigma_deg)) return false;
  out.bearing_deg = bearing_deg;
  if (figures.is_over()) return true;
  if (!figures.number("declination_deg", declination_deg)) return false;
  out.declination_deg = declination_deg;
  return figures.is_over();
}

bool take_up(Figures figures, OffsetMeasures& out) {
  double up_m = 0;
  if (!figures.number("up_m", up_m) || !figures.number("sigma_m", out.up_sigma_m)) return false;
  out.up_m = up_m;
  return figures.is_over();
}

bool take_line(std::string_view line, OffsetMeasures& out) {
  Figures figures(line);
  if (figures.begins_with("distance_m")) return take_stay(figures, out);
  if (figures.begins_with("bearing_deg")) return take_bearing(figures, out);
  if (figures.begins_with("up_m")) return take_up(figures, out);
  const auto word = figures.text("side");
  const auto side = word ? side_from_word(*word) : std::nullopt;
  out.side = side.value_or(out.side);
  return side && figures.is_over();
}

}  // namespace

std::string_view to_word(Side side) noexcept {
  return side == Side::left ? "left" : "right";
}

std::optional<Side> side_from_word(std::string_view word) noexcept {
  if (word == "left") return Side::left;
  return word == "right" ? std::optional(Side::right) : std::nullopt;
}

double true_bearing_deg(const OffsetMeasures& measures) noexcept {
  const double read_deg = measures.bearing_deg.value_or(0);
  if (!measures.declination_deg || !(read_deg >= 0 && read_deg <= kCircleDeg)) return read_deg;
  const double turned = std::fmod(read_deg + *measures.declination_deg, kCircleDeg);
  return turned < 0 ? turned + kCircleDeg : turned;
}

std::string to_text(const OffsetMeasures& measures) {
  std::string out;
  const auto line = [&out](const std::string& text) { out += (out.empty() ? "" : "\n") + text; };
  for (const MeasuredStay& stay : measures.stays) {
    line("distance_m=" + exact(stay.distance_m) + " sigma_m=" + exact(stay.distance_sigma_m) + " from=" + stay.uuid +
         " visit=" + std::to_string(stay.visit) + " stay=" + stay.name);
  }
  if (measures.bearing_deg) {
    line("bearing_deg=" + exact(*measures.bearing_deg) + " sigma_deg=" + exact(measures.bearing_sigma_deg) +
         (measures.declination_deg ? " declination_deg=" + exact(*measures.declination_deg) : ""));
  }
  if (measures.stays.size() == 2) line("side=" + std::string(to_word(measures.side)));
  if (measures.up_m) line("up_m=" + exact(*measures.up_m) + " sigma_m=" + exact(measures.up_sigma_m));
  return out;
}

std::optional<OffsetMeasures> offset_measures_from(std::string_view text) {
  OffsetMeasures out;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    if (!take_line(text.substr(0, end), out)) return std::nullopt;
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return out;
}

}  // namespace stillpoint
