#include <algorithm>
#include <variant>

#include "base/number.hpp"
#include "config/limits.hpp"
#include "config/parts.hpp"
#include "config/sentences.hpp"

namespace stillpoint::config {
namespace {

constexpr int kHighestStation = 65535;
/// The words of the qualities that rest on corrections: `"differential", "pps", …`.
std::string source_qualities() {
  std::string out;
  for (int i = 0; i < kQualityCount; ++i) {
    const auto quality = static_cast<Quality>(i);
    if (!may_have_source(quality)) continue;
    out += (out.empty() ? "\"" : ", \"") + std::string(to_word(quality)) + "\"";
  }
  return out;
}

void read_qualities(Section& section, std::vector<Quality>& out, Need need) {
  const std::string what = kSay.qualities(source_qualities());
  const Value* list = section.array("quality", what, need);
  if (list == nullptr) return;
  if (list->items.empty()) section.complain("quality", kSay.empty_array(what));
  for (const Value& item : list->items) {
    const auto quality = item.kind == Value::Kind::text ? quality_from_word(item.text) : std::nullopt;
    if (!quality) {
      section.complain_at(item.line, "quality", kSay.quality_unknown(describe(item), source_qualities()));
    } else if (!may_have_source(*quality)) {
      section.complain_at(item.line, "quality", kSay.quality_refused(describe(item), source_qualities()));
    } else if (std::find(out.begin(), out.end(), *quality) != out.end()) {
      section.complain_at(item.line, "quality", kSay.quality_twice(describe(item)));
    } else {
      out.push_back(*quality);
    }
  }
}

std::optional<int> station_number(std::string_view text) {
  if (text.empty() || text.find_first_not_of("0123456789") != std::string_view::npos) return std::nullopt;
  const auto number = parse_integer(text);
  if (!number || *number > kHighestStation) return std::nullopt;
  return static_cast<int>(*number);
}

/// Takes one entry of `match.station`. Returns false when the entry is no station.
bool add_station(const Value& item, StationMatch& out) {
  if (item.kind == Value::Kind::integer) {
    if (item.integer < 0 || item.integer > kHighestStation) return false;
    out.ranges.emplace_back(static_cast<int>(item.integer), static_cast<int>(item.integer));
    return true;
  }
  if (item.kind != Value::Kind::text) return false;
  if (item.text == "blank") return out.blank = true;
  const std::string_view text = item.text;
  const auto dash = text.find('-');
  const auto low = station_number(text.substr(0, dash));
  const auto high = dash == std::string_view::npos ? low : station_number(text.substr(dash + 1));
  if (!low || !high || *low > *high) return false;
  out.ranges.emplace_back(*low, *high);
  return true;
}

void read_stations(Section& match, Match& out) {
  const Value* list = match.array("station", kSay.stations.words());
  if (list == nullptr) return;
  StationMatch stations;
  if (list->items.empty()) {
    match.complain("station", kSay.no_stations(kSay.a_station()));
  }
  for (const Value& item : list->items) {
    if (add_station(item, stations)) continue;
    match.complain_at(item.line, "station", kSay.bad_station(describe(item), kSay.a_station()));
  }
  out.station = std::move(stations);
}

/// A network rover that drops to code-differential keeps its network's station, so only a station list tells the two
/// apart.
void check_differential(Section& source, Section& match, const Match& out) {
  if (match.has("station")) return;
  const bool any = !match.has("quality");
  if (!any && std::find(out.quality.begin(), out.quality.end(), Quality::differential) == out.quality.end()) return;
  source.complain("match", any ? kSay.any_quality_alone() : kSay.differential_alone());
}

void read_match(Section& source, Match& out) {
  auto match = source.inner("match", TableId::match, Need::required);
  if (!match) return;
  read_qualities(*match, out.quality, Need::optional);
  read_stations(*match, out);
  check_differential(source, *match, out);
}

void read_limits(Section& gate, Gate& out) {
  for (const Limit& limit : kLimits) {
    std::visit([&](const auto setting) { gate.read(limit.key, out.*setting, limit.range); }, limit.setting);
  }
}

void read_gate(Section& source, Gate& out) {
  auto gate = source.inner("gate", TableId::gate, Need::required);
  if (!gate) return;
  read_qualities(*gate, out.quality, Need::required);
  const bool fresh = gate->read("fresh_age_s", out.fresh_age_s, {0, 86400, false, "s"}, Need::required);
  const bool oldest = gate->read("max_age_s", out.max_age_s, {0, 86400, false, "s"}, Need::required);
  if (fresh && oldest && out.max_age_s < out.fresh_age_s) {
    gate->complain("max_age_s",
                   kSay.age_below_fresh(describe(gate->value("max_age_s")), describe(gate->value("fresh_age_s"))));
  }
  gate->read("coast_growth_m_per_min", out.coast_growth_m_per_min, {0, 100, false, "m a minute"});
  if (const auto word = gate->choose("age_missing", {"refuse", "allow", "trust-quality"})) {
    out.age_missing = static_cast<AgeMissing>(*word);
  }
  read_limits(*gate, out);
}

void note_absent_limits(const Section& source, const Section* gate, const Source& out, Context& context) {
  const std::string title = "source " + in_quotes(out.name) + ": ";
  const auto note = [&](std::string_view key, std::string_view consequence) {
    context.notes.push_back(title + kSay.absent(key, consequence));
  };
  for (const Limit& limit : kLimits) {
    if (!gate->has(limit.key)) note(limit.key, limit.when_absent);
  }
  const bool coasts = out.gate.max_age_s > out.gate.fresh_age_s;
  if (coasts && !gate->has("coast_growth_m_per_min")) {
    note("coast_growth_m_per_min", kSay.no_growth());
  }
  if (!source.has("error_scale")) note("error_scale", kSay.no_scale());
  if (!source.has("error_scale_evidence")) note("error_scale_evidence", kSay.no_scale_evidence());
  if (!source.has("error_floor_m")) note("error_floor_m", kSay.no_floor());
}

void note_useless_gate(const Source& out, Context& context) {
  if (out.match.quality.empty() || out.gate.quality.empty()) return;
  const auto matched = [&](Quality q) {
    return std::find(out.match.quality.begin(), out.match.quality.end(), q) != out.match.quality.end();
  };
  if (std::any_of(out.gate.quality.begin(), out.gate.quality.end(), matched)) return;
  context.notes.push_back(kSay.useless_gate(in_quotes(out.name)));
}

void read_scale_evidence(Section& source, Source& out) {
  auto section = source.inner("error_scale_evidence", TableId::scale_evidence);
  if (!section) return;
  ScaleEvidence evidence;
  const bool visits = section->read("visits", evidence.visits, {0, 100000, false, {}}, Need::required);
  const bool until = section->read_date("until", evidence.until, Need::required);
  if (visits && until) out.error_scale_evidence = evidence;
}

void read_errors(Section& source, Source& out) {
  source.read("error_scale", out.error_scale, {0, 100, true, {}});
  source.read("unproven_margin", out.unproven_margin, {1, 10, false, {}});
  read_scale_evidence(source, out);
  if (auto floor = source.inner("error_floor_m", TableId::error_floor)) {
    read_per_axis(*floor, out.error_floor_m, {0, 1000, false, "m"}, Need::required);
  }
  if (auto sigma = source.inner("assumed_sigma_m", TableId::assumed_sigma)) {
    PerAxis both;
    if (read_per_axis(*sigma, both, {0, 1000, true, "m"}, Need::required)) out.assumed_sigma_m = both;
  }
  if (auto limit = source.inner("check_limit_m", TableId::check_limit)) {
    PerAxis both;
    if (read_per_axis(*limit, both, {0, 1000, true, "m"}, Need::required)) out.check_limit_m = both;
  }
}

/// `source "sbas": ` once the name is known, else `source 2: `.
std::string title_of(const Value& item, std::size_t number) {
  const Entry* name = item.find("name");
  const bool known = name != nullptr && name->value.kind == Value::Kind::text && !name->value.text.empty();
  return "source " + (known ? in_quotes(name->value.text) : std::to_string(number)) + ": ";
}

Source read_source(const Value& item, std::size_t number, Context& context) {
  Source out;
  Section source(context.report, &item, title_of(item, number), TableId::source, item.line);
  source.read("name", out.name, {kSay.own_name.words()}, Need::required);
  read_match(source, out.match);
  source.read("frame", out.frame, {kSay.source_frame.words()}, Need::required);
  source.read_or_word("coordinate_epoch", out.coordinate_epoch, {1980, 2100, false, kSay.decimal_year.words()},
                      "observation", Need::required);
  source.read("evidence", out.evidence, {kSay.evidence.words(), 2000}, Need::required);
  read_errors(source, out);
  read_gate(source, out.gate);
  const Entry* gate = item.find("gate");
  if (gate != nullptr && gate->value.kind == Value::Kind::table) {
    Report ignored("");  // unknown keys were reported by `read_gate`
    const Section view(ignored, &gate->value, "", TableId::gate, gate->line);
    note_absent_limits(source, &view, out, context);
    note_useless_gate(out, context);
  }
  return out;
}

void check_unique(const Value& list, const std::vector<Source>& sources, Context& context) {
  for (std::size_t i = 0; i < sources.size(); ++i) {
    const auto same = [&](const Source& other) { return other.name == sources[i].name; };
    if (sources[i].name.empty() || std::none_of(sources.begin(), sources.begin() + static_cast<long>(i), same))
      continue;
    const Entry* name = list.items[i].find("name");
    context.report.add(name->line, kSay.same_name(std::to_string(i + 1), in_quotes(sources[i].name)));
  }
}

}  // namespace

void read_sources(Section& top, std::vector<Source>& out, Context& context) {
  const std::string what = kSay.one_table_at_least("source");
  const Value* list = top.array("source", what, Need::required);
  if (list == nullptr) return;
  if (list->items.empty()) top.complain("source", kSay.empty_array(what));
  for (const Value& item : list->items) {
    if (item.kind == Value::Kind::table) {
      out.push_back(read_source(item, out.size() + 1, context));
    } else {
      top.complain("source", kSay.holds(describe(item), kSay.table_that_starts("source")));
      out.emplace_back();
    }
  }
  check_unique(*list, out, context);
}

}  // namespace stillpoint::config
