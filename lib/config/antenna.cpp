// The height of the antenna: its parts, or a slant, and what speaks against a slip of the unit.

#include <algorithm>
#include <array>
#include <numeric>

#include "base/number.hpp"
#include "base/units.hpp"
#include "config/parts.hpp"
#include "config/sentences.hpp"

namespace stillpoint::config {
namespace {

// A pole this high is rare, and feet taken for metres come to about as much.
constexpr double kHighPoleM = 3.5;

/// One of the two tables of parts.
struct PartTable {
  std::string_view key;
  double in_metres;
  Range range;
  std::string_view unit;
  std::array<std::string_view, 4> other_units;  ///< ends of names that would say something else than the table
};
constexpr PartTable kInMetres{"vertical_parts_m", 1.0, {0, 30, false, "m"}, "metres", {"_ft", "_in", "_mm", "_cm"}};
constexpr PartTable kInFeet{"vertical_parts_ft", kFootM, {0, 98, false, "ft"}, "feet", {"_m", "_in", "_mm", "_cm"}};

bool names_another_unit(const std::string& name, const PartTable& table) {
  return std::any_of(table.other_units.begin(), table.other_units.end(),
                     [&](std::string_view unit) { return name.ends_with(unit); });
}

/// Empty when the part will do; else what is wrong with it.
std::string part_fault(const Entry& part, const PartTable& table, const Antenna& so_far) {
  const Value& value = part.value;
  const bool number = value.kind == Value::Kind::integer || value.kind == Value::Kind::number;
  if (has_control_characters(part.key) || part.key.empty()) {
    return kSay.part_no_name();
  }
  if (names_another_unit(part.key, table)) {
    return kSay.part_other_unit(table.unit, table.key);
  }
  if (!number || !(value.number >= table.range.lowest && value.number <= table.range.highest)) {
    return kSay.wrong(describe(value), words_of(table.range, false));
  }
  const auto& parts = so_far.vertical_parts_m;
  const bool twice =
      std::any_of(parts.begin(), parts.end(), [&](const auto& other) { return other.first == part.key; });
  return twice ? kSay.part_twice() : std::string();
}

bool read_parts(Section& antenna, const PartTable& which, Antenna& out) {
  const Value* table = antenna.table(which.key);
  if (table == nullptr) return false;
  for (const Entry& entry : table->entries) {
    if (auto fault = part_fault(entry, which, out); !fault.empty()) {
      antenna.complain_at(entry.line, std::string(which.key) + "." + printable(entry.key), fault);
    } else {
      out.vertical_parts_m.emplace_back(entry.key, entry.value.number * which.in_metres);
    }
  }
  if (table->entries.empty()) {
    antenna.complain(which.key, kSay.no_parts(which.unit));
  }
  return true;
}

void want_second_reading(Section& antenna, const Antenna& out) {
  const double sum_m = std::accumulate(out.vertical_parts_m.begin(), out.vertical_parts_m.end(), 0.0,
                                       [](double sum, const auto& part) { return sum + part.second; });
  if (!(sum_m > kHighPoleM) || antenna.has("also_measured_ft")) return;
  antenna.complain("also_measured_ft", kSay.second_reading(fixed(sum_m, 3), fixed(kHighPoleM, 1)));
}

bool read_slant(Section& antenna, Antenna& out) {
  if (!antenna.has("slant_m")) return false;
  auto table = antenna.inner("slant_m", TableId::slant);
  if (!table) return true;
  Slant slant;
  const bool length = table->read("length", slant.length_m, {0, 30, true, "m"}, Need::required);
  const bool radius = table->read("radius", slant.radius_m, {0, 5, false, "m"}, Need::required);
  const bool plane = table->read("plane_to_phase_centre", slant.plane_to_phase_centre_m, {-1, 1, false, "m"});
  if (length && radius && slant.radius_m >= slant.length_m) {
    table->complain("radius", kSay.radius_too_long());
  }
  const bool plane_wrong = table->has("plane_to_phase_centre") && !plane;
  if (length && radius && !plane_wrong) out.slant_m = slant;
  return true;
}

}  // namespace

void read_antenna(Section& top, Antenna& out, Context& context) {
  const Value* value = top.table("antenna", Need::required);
  if (value == nullptr) return;
  Section antenna(context.report, value, "antenna.", TableId::antenna, top.line_of("antenna"));
  antenna.read("already_reduced_by_receiver", out.already_reduced_by_receiver);
  const bool metres = read_parts(antenna, kInMetres, out);
  const bool feet = read_parts(antenna, kInFeet, out);
  const bool parts = metres || feet;
  const bool slant = read_slant(antenna, out);
  antenna.read("also_measured_ft", out.also_measured_ft, {0, 100, true, "ft"});
  want_second_reading(antenna, out);
  if (parts && slant) {
    antenna.complain("slant_m", kSay.parts_and_slant(metres ? kInMetres.key : kInFeet.key));
  } else if (!parts && !slant && !out.already_reduced_by_receiver && !antenna.has("vertical_parts_m")) {
    antenna.complain("vertical_parts_m", kSay.no_antenna());
  }
  if ((parts || slant) && out.already_reduced_by_receiver) {
    context.notes.push_back(kSay.reduced_anyway());
  }
}

}  // namespace stillpoint::config
