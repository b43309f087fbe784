#include <algorithm>
#include <array>
#include <limits>

#include "simulate/parts.hpp"
#include "simulate/said.hpp"

namespace stillpoint::simulate {
namespace {

constexpr std::array<std::string_view, 20> kTop{"name",          "about",      "start_utc",
                                                "seconds",       "seed",       "frame",
                                                "config",        "pass_at",    "computer_clock_off_s",
                                                "disk_free_mib", "receiver",   "mark",
                                                "stand",         "canopy",     "source",
                                                "use",           "fault",      "hazard",
                                                "crew",          "corrections"};
constexpr config::KeyTable kTopKeys{"", kTop};
constexpr std::array<std::string_view, 3> kAxes{"east", "north", "up"};
constexpr config::KeyTable kAxesKeys{"axes", kAxes};

void read_head(Section& top, Scenario& out) {
  top.read("name", out.name, {kSay.scenario_name.words()}, Need::required);
  top.read("about", out.about, {kSay.what_happens.words(), 2000}, Need::required);
  std::string start;
  constexpr std::string_view kStart = kSay.utc_time.words();
  if (top.read("start_utc", start, {kStart}, Need::required)) {
    const auto utc = parse_utc(start);
    if (utc && utc->ms % 1000 == 0 && date_of(*utc).year >= 1990 && date_of(*utc).year < 2080) {
      out.start = *utc;
    } else {
      top.complain("start_utc", kSay.bad_start(config::in_quotes(start), kStart));
    }
  }
  top.read("seconds", out.seconds_s, {1, 86400, false, "s"}, Need::required);
  int seed = 1;
  if (top.read("seed", seed, {0, 2147483647, false, {}})) out.seed = static_cast<std::uint64_t>(seed);
  top.read("frame", out.frame, {kSay.true_frame.words()}, Need::required);
  top.read("config", out.config, {kSay.config_path.words(), 4096});
  top.read("pass_at", out.pass_at, {1, 100, false, {}});
  top.read("computer_clock_off_s", out.computer_clock_off_s, {-86400, 86400, false, "s"});
  top.read("disk_free_mib", out.disk_free_mib, {0, 10000000, false, "MiB"});
}

void check_stands(Section& top, const Scenario& out) {
  for (std::size_t i = 1; i < out.stands.size(); ++i) {
    if (out.stands[i].when.from_s < out.stands[i - 1].when.to_s) {
      top.complain("stand", kSay.stands_out_of_order(std::to_string(i + 1)));
    }
  }
  for (std::size_t i = 1; i < out.uses.size(); ++i) {
    if (out.uses[i].at_s <= out.uses[i - 1].at_s) {
      top.complain("use", kSay.uses_out_of_order(std::to_string(i + 1)));
    }
  }
}

}  // namespace

void for_each_table(Section& top, std::string_view name, const config::KeyTable& keys, Need need,
                    const std::function<void(Section&)>& each) {
  const std::string what = kSay.tables_of(name);
  const Value* list = top.array(name, what, need);
  if (list == nullptr) return;
  std::size_t number = 0;
  for (const Value& item : list->items) {
    ++number;
    if (item.kind != Value::Kind::table) {
      top.complain(name, "holds " + config::describe(item) + ", give " + what);
      continue;
    }
    const config::Entry* named = item.find(name == "hazard" ? "id" : "name");
    const bool known = named != nullptr && named->value.kind == Value::Kind::text && !named->value.text.empty();
    std::string title =
        std::string(name) + " " + (known ? config::in_quotes(named->value.text) : std::to_string(number));
    Section section(top.report(), &item, title + ": ", keys, item.line);
    each(section);
  }
}

void read_axes(Section& section, std::string_view key, Axes& out, const config::Range& range) {
  auto inner = section.inner(key, kAxesKeys);
  if (!inner) return;
  inner->read("east", out.east, range);
  inner->read("north", out.north, range);
  inner->read("up", out.up, range);
}

void read_span(Section& section, Span& out, double day_s, Need need) {
  out = {0, day_s};
  section.read("from_s", out.from_s, {0, 86400, false, "s"}, need);
  section.read("to_s", out.to_s, {0, 86400, false, "s"}, need);
  if (out.to_s <= out.from_s) section.complain("to_s", kSay.ends_too_early());
}

std::optional<std::size_t> read_name(Section& section, std::string_view key, const std::vector<std::string>& names,
                                     std::string_view what, Need need) {
  std::string name;
  if (!section.read(key, name, {what}, need)) return std::nullopt;
  const auto at = std::find(names.begin(), names.end(), name);
  if (at != names.end()) return static_cast<std::size_t>(at - names.begin());
  std::string list;
  for (const auto& each : names) list += (list.empty() ? "" : ", ") + each;
  section.complain(
      key, kSay.unknown_name(config::in_quotes(name), what, list.empty() ? kSay.none_defined() : kSay.there_are(list)));
  return std::nullopt;
}

std::vector<std::string> read_texts(Section& section, std::string_view key, std::string_view what,
                                    const std::vector<std::string_view>& allowed) {
  std::vector<std::string> out;
  const Value* list = section.array(key, kSay.array_of(what));
  if (list == nullptr) return out;
  for (const Value& item : list->items) {
    const bool good = item.kind == Value::Kind::text && !item.text.empty() && item.text.size() <= 200 &&
                      !config::has_control_characters(item.text) &&
                      (allowed.empty() || std::find(allowed.begin(), allowed.end(), item.text) != allowed.end());
    if (good) {
      out.push_back(item.text);
      continue;
    }
    std::string words;
    for (const auto word : allowed) words += (words.empty() ? " of \"" : ", \"") + std::string(word) + "\"";
    section.complain_at(item.line, key, "holds " + config::describe(item) + ", give " + std::string(what) + words);
  }
  return out;
}

ParsedScenario parse_scenario(std::string_view toml_text, const std::string& path) {
  ParsedScenario out;
  out.scenario.path = path;
  const auto tree = config::parse_tree(toml_text, path);
  if (!tree) {
    out.errors.push_back(tree.error());
    return out;
  }
  config::Report report(path);
  Section top(report, &*tree, "", kTopKeys, 1);
  Scenario& s = out.scenario;
  read_head(top, s);
  read_receiver(top, s.receiver);
  read_marks(top, s);
  read_stands(top, s);
  read_canopies(top, s);
  read_sources(top, s);
  read_uses(top, s);
  read_base(top, s);
  read_faults(top, s);
  read_hazards(top, s);
  read_crews(top, s);
  check_stands(top, s);
  out.errors = report.take();
  return out;
}

std::string scenario_help() {
  return R"(A scenario is one TOML file. Times are seconds from its start; errors are 1 sigma in metres.

name, about, start_utc, seconds, seed   what it is, when it starts, how long it lasts
frame         of all true coordinates, such as "EPSG:6319"
config        the trainee's configuration (rehearsal); pass_at points out of 100; disk_free_mib below which it warns
computer_clock_off_s   how wrong the clock is that stamps the log's lines
[receiver]    rate_hz 1-20, talker, sentences in their order, every = { GSV = 10 } for those sent in every tenth
              epoch, blank = fields left empty ("hdop", "ellipse", "satellites", "age", "station", "separation"),
              minute_decimals, height_decimals, age_decimals, satellite_cap, sbas_quality 2 or 9, status_v, system_id,
              crlf, separation_m, latency_ms
[[mark]]      name, code, latitude_deg, longitude_deg, ellipsoid_height_m; known = true for a control mark, has_height,
              disturbed_m; wanted = true for a point to bring home, with tolerance_m, tolerance_up_m, points
[[stand]]     mark, from_s, to_s, antenna_height_m (true), wobble_m, lean_m; between stands the pole is carried
[[canopy]]    from_s, to_s, mask_deg, keep (share of satellites), noise_factor, multipath_m, multipath_tau_s, claimed
[[source]]    name, quality, station, frame, coordinate_epoch; white_m, markov_m, tau_s, bias_m per axis; tail_freedom;
              claim_scale or claim_m; age = "counts" | "blank" | "zero" | "constant", age_from_s, age_cycle_s;
              drift_m_per_min; converge_factor, converge_s
[[use]]       at_s, source: what the receiver works with from then on; "none" for no position
[corrections] base (the mark it stands on), station, and the frame in which it says so: frame, coordinate_epoch;
              stillpoint-rehearse lets a caster send them, which fall silent in an outage
[[fault]]     kind, from_s, to_s, note, and by kind:
              outage, frozen, silence, cut, cold-start
              false-fix, base-shift, multipath: offset_m, claim_m
              own-shift: text (the frame its output is moved to), says (a DTM sentence tells it)
              bit-errors, drops, merges, garbage, binary: rate
              no-sentence: text ("GST"); decimals: count; date-step: count (days); time-step, late: seconds
              unused (corrections come, and the receiver does not use them)
              other-base: text (the mark it stands on), count (its number)
[[hazard]]    id, what, move, cost (sentences), from_s, to_s, mark, said = alert keys, reasons or flags, points,
              right = "good-point" | "again" | "not-accepted" | "mark-measured" | "waited"
[[crew]]      name, actions = [ { at_s, do = "begin" | "keep" | "discard" | "reject" | "accept" | "check" |
              "close-day", name, code, note, reason, again, visit } ]
)";
}

}  // namespace stillpoint::simulate
