#include "config/redo.hpp"

#include <algorithm>
#include <array>
#include <charconv>

#include "base/number.hpp"
#include "config/parts.hpp"
#include "config/sentences.hpp"

namespace stillpoint::config {
namespace {

constexpr std::array<std::string_view, 5> kTop{"by", "reason", "antenna", "source", "mark"};
constexpr KeyTable kTopKeys{"", kTop};
constexpr std::array<std::string_view, 10> kAntenna{
    "from_utc",         "until_utc",         "from_local", "until_local",      "points",
    "vertical_parts_m", "vertical_parts_ft", "slant_m",    "also_measured_ft", "already_reduced_by_receiver"};
/// Of them those that say for which stays; the others are the antenna.
constexpr std::array<std::string_view, 5> kFor{"from_utc", "until_utc", "from_local", "until_local", "points"};
constexpr KeyTable kAntennaKeys{"antenna", kAntenna};
constexpr std::array<std::string_view, 18> kMark{"name",
                                                 "frame",
                                                 "coordinate_epoch",
                                                 "latitude_deg",
                                                 "longitude_deg",
                                                 "easting_m",
                                                 "northing_m",
                                                 "height_m",
                                                 "height_kind",
                                                 "sigma_horizontal_m",
                                                 "sigma_vertical_m",
                                                 "geoid",
                                                 "velocity_east_mm_per_year",
                                                 "velocity_north_mm_per_year",
                                                 "velocity_up_mm_per_year",
                                                 "recovered",
                                                 "status",
                                                 "remarks"};
constexpr KeyTable kMarkKeys{"mark", kMark};

void read_time(Section& section, std::string_view key, std::optional<UtcTime>& out) {
  constexpr std::string_view kWhat = kSay.utc_time.words();
  std::string text;
  if (!section.read(key, text, {kWhat})) return;
  out = parse_utc(text);
  if (!out) section.complain(key, kSay.wrong(in_quotes(text), kWhat));
}

/// `2026-06-03 10:05` or with seconds; as if it were UTC.
std::optional<UtcTime> local_time(std::string text) {
  if (text.size() == 16) text += ":00";
  if (text.size() != 19 || (text[10] != ' ' && text[10] != 'T')) return std::nullopt;
  text[10] = 'T';
  return parse_utc(text + "Z");
}

void read_local(Section& section, std::string_view key, std::optional<UtcTime>& out) {
  constexpr std::string_view kWhat = kSay.local_clock_time.words();
  std::string text;
  if (!section.read(key, text, {kWhat})) return;
  out = local_time(text);
  if (!out) section.complain(key, kSay.wrong(in_quotes(text), kWhat));
}

/// `CUL-7 visit 2`; a name alone is its first visit.
std::pair<std::string, int> stay_called(const std::string& text) {
  constexpr std::string_view kVisit = " visit ";
  const std::size_t at = text.rfind(kVisit);
  const auto visit = at == std::string::npos ? std::nullopt : parse_integer(text.substr(at + kVisit.size()));
  if (!visit || *visit < 1 || *visit > 1'000'000) return {text, 1};
  return {text.substr(0, at), static_cast<int>(*visit)};
}

void read_points(Section& section, std::vector<std::pair<std::string, int>>& out) {
  constexpr std::string_view kWhat = kSay.names_of_points.words();
  const Value* list = section.array("points", kWhat);
  if (list == nullptr) return;
  if (list->items.empty()) section.complain("points", kSay.holds(kSay.an_empty_array(), kWhat));
  for (const Value& item : list->items) {
    if (item.kind == Value::Kind::text && !item.text.empty()) {
      out.push_back(stay_called(item.text));
    } else {
      section.complain_at(item.line, "points", kSay.holds(describe(item), kWhat));
    }
  }
}

/// Either UTC, or local times, or names.
void check_for(Section& section) {
  const bool utc = section.has("from_utc") || section.has("until_utc");
  const bool local = section.has("from_local") || section.has("until_local");
  const bool points = section.has("points");
  if (static_cast<int>(utc) + static_cast<int>(local) + static_cast<int>(points) > 1)
    section.complain(points                      ? "points"
                     : section.has("from_local") ? "from_local"
                                                 : "until_local",
                     kSay.one_way_to_say());
}

/// Every table of an array of tables; anything else in it is reported.
template <class Take>
void each_table(Section& top, std::string_view key, Take take) {
  const Value* list = top.array(key, kSay.tables_that_start(key));
  if (list == nullptr) return;
  for (const Value& item : list->items) {
    if (item.kind == Value::Kind::table) {
      take(item);
    } else {
      top.complain_at(item.line, key, kSay.holds(describe(item), kSay.table_that_starts(key)));
    }
  }
}

AntennaCorrection read_correction(const Value& item, Context& context) {
  AntennaCorrection out;
  out.line = item.line;
  Section section(context.report, &item, "antenna.", kAntennaKeys, item.line);
  read_time(section, "from_utc", out.from);
  read_time(section, "until_utc", out.until);
  if (out.from && out.until && *out.until <= *out.from) section.complain("until_utc", kSay.time_not_after());
  read_local(section, "from_local", out.from_local);
  read_local(section, "until_local", out.until_local);
  read_points(section, out.points);
  check_for(section);
  if (section.has("already_reduced_by_receiver")) {
    section.complain("already_reduced_by_receiver", kSay.not_afterwards());
  }
  Value parts = item;
  std::erase_if(parts.entries, [](const Entry& entry) {
    return std::find(kFor.begin(), kFor.end(), entry.key) != kFor.end() ||
           std::find(kAntenna.begin(), kAntenna.end(), entry.key) == kAntenna.end();
  });
  Value whole;
  whole.line = item.line;
  whole.entries.push_back({"antenna", item.line, std::move(parts)});
  Section around(context.report, &whole, "", TableId::top, item.line);
  read_antenna(around, out.antenna, context);
  return out;
}

/// The value as a cell of a marks file would hold it.
std::string cell(const Value& value) {
  if (value.kind == Value::Kind::text) return value.text;
  if (value.kind == Value::Kind::integer) return std::to_string(value.integer);
  std::array<char, 400> text{};
  const auto end = std::to_chars(text.data(), text.data() + text.size(), value.number, std::chars_format::fixed).ptr;
  return {text.data(), end};
}

MarkCorrection read_mark(const Value& item, Context& context) {
  MarkCorrection out;
  out.line = item.line;
  Section section(context.report, &item, "mark.", kMarkKeys, item.line);
  std::string name;
  section.read("name", name, {kSay.mark_name.words()}, Need::required);
  for (const Entry& entry : item.entries) {
    const auto kind = entry.value.kind;
    if (kind == Value::Kind::text || kind == Value::Kind::integer || kind == Value::Kind::number) {
      out.columns.emplace_back(entry.key, cell(entry.value));
    } else {
      section.complain_at(entry.line, entry.key, kSay.wrong(describe(entry.value), kSay.number_or_text()));
    }
  }
  return out;
}

void check_source(const Value& item, Context& context, std::vector<Value>& out) {
  Section section(context.report, &item, "source.", TableId::source, item.line);
  std::string name;
  if (!section.read("name", name, {kSay.redo_source.words()}, Need::required)) return;
  if (section.has("match")) {
    section.complain("match", kSay.match_not_afterwards());
  }
  if (item.entries.size() < 2) section.complain("name", kSay.stands_alone());
  out.push_back(item);
}

void read_redo(const Value& tree, Redo& out, Context& context) {
  Section top(context.report, &tree, "", kTopKeys, 1);
  top.read("by", out.by, {kSay.redo_by.words()}, Need::required);
  top.read("reason", out.reason, {kSay.redo_reason.words(), 2000}, Need::required);
  each_table(top, "antenna", [&](const Value& item) { out.antennas.push_back(read_correction(item, context)); });
  each_table(top, "source", [&](const Value& item) { check_source(item, context, out.sources); });
  each_table(top, "mark", [&](const Value& item) { out.marks.push_back(read_mark(item, context)); });
  if (!top.has("antenna") && !top.has("source") && !top.has("mark")) {
    top.complain("reason", kSay.nothing_to_correct());
  }
}

/// Errors in what stands in the configuration are reported at the line of the correction that changed something beside
/// it.
void set_lines(Value& value, int line) {
  value.line = line;
  for (Value& item : value.items) set_lines(item, line);
  for (Entry& entry : value.entries) {
    entry.line = line;
    set_lines(entry.value, line);
  }
}

void lay_over(Value& under, const Value& over) {
  for (const Entry& entry : over.entries) {
    const auto same = [&](const Entry& e) { return e.key == entry.key; };
    const auto at = std::find_if(under.entries.begin(), under.entries.end(), same);
    if (at == under.entries.end()) {
      under.entries.push_back(entry);
    } else if (entry.key == "gate" && at->value.kind == Value::Kind::table && entry.value.kind == Value::Kind::table) {
      lay_over(at->value, entry.value);
    } else {
      *at = entry;
    }
  }
}

std::string_view name_in(const Value& source) {
  const Entry* name = source.find("name");
  return name == nullptr ? std::string_view() : std::string_view(name->value.text);
}

/// The configuration's source of this name, with the lines of the correction; nothing when there is none.
Value* source_for(Value& tree, const Value& correction, Report& report) {
  const auto at =
      std::find_if(tree.entries.begin(), tree.entries.end(), [](const Entry& e) { return e.key == "source"; });
  std::string names;
  for (Value& source : at->value.items) {
    if (name_in(source) == name_in(correction)) {
      set_lines(source, correction.line);
      return &source;
    }
    names += (names.empty() ? "" : ", ") + in_quotes(name_in(source));
  }
  report.add(correction.line, kSay.no_such_source(in_quotes(name_in(correction)), names));
  return nullptr;
}

}  // namespace

void lay_over(Value& tree, const Redo& redo, Settings& settings, std::vector<Error>& errors) {
  Report report(redo.path);
  std::vector<std::string> notes;
  Context context{report, notes, {}};
  for (const Value& correction : redo.sources) {
    if (Value* source = source_for(tree, correction, report)) lay_over(*source, correction);
  }
  Section top(report, &tree, "", TableId::top, 1);
  std::vector<Source> corrected;
  read_sources(top, corrected, context);
  settings.sources = std::move(corrected);
  const auto found = report.take();
  errors.insert(errors.end(), found.begin(), found.end());
}

LoadedRedo parse_redo(std::string_view toml_text, const std::string& path) {
  LoadedRedo out;
  out.redo.path = path;
  const auto tree = parse_tree(toml_text, path);
  if (!tree) {
    out.errors.push_back(tree.error());
    return out;
  }
  Report report(path);
  std::vector<std::string> notes;
  Context context{report, notes, {}};
  read_redo(*tree, out.redo, context);
  out.errors = report.take();
  return out;
}

}  // namespace stillpoint::config
