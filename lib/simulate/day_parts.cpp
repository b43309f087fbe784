#include <algorithm>
#include <array>

#include "simulate/parts.hpp"
#include "simulate/said.hpp"

namespace stillpoint::simulate {
namespace {

using config::KeyTable;
using config::Range;
using std::string_view;

constexpr std::array<string_view, 14> kReceiver{"rate_hz",       "talker",          "sentences",       "every",
                                                "blank",         "minute_decimals", "height_decimals", "age_decimals",
                                                "satellite_cap", "sbas_quality",    "status_v",        "system_id",
                                                "crlf",          "separation_m"};
constexpr std::array<string_view, 1> kReceiverMore{"latency_ms"};
constexpr auto kReceiverAll = [] {
  std::array<string_view, kReceiver.size() + kReceiverMore.size()> all{};
  std::copy(kReceiver.begin(), kReceiver.end(), all.begin());
  std::copy(kReceiverMore.begin(), kReceiverMore.end(), all.begin() + kReceiver.size());
  return all;
}();
constexpr KeyTable kReceiverKeys{"receiver", kReceiverAll};
constexpr std::array<string_view, 9> kSentences{"GGA", "GSA", "GSV", "RMC", "GST", "ZDA", "VTG", "GNS", "DTM"};
constexpr KeyTable kEveryKeys{"receiver.every", kSentences};
constexpr std::array<string_view, 12> kMark{
    "name",       "code",        "latitude_deg", "longitude_deg", "ellipsoid_height_m", "known",
    "has_height", "disturbed_m", "wanted",       "tolerance_m",   "tolerance_up_m",     "points"};
constexpr KeyTable kMarkKeys{"mark", kMark};
constexpr std::array<string_view, 6> kStand{"mark", "from_s", "to_s", "antenna_height_m", "wobble_m", "lean_m"};
constexpr KeyTable kStandKeys{"stand", kStand};
constexpr std::array<string_view, 8> kCanopy{"from_s",       "to_s",        "mask_deg",        "keep",
                                             "noise_factor", "multipath_m", "multipath_tau_s", "claimed"};
constexpr KeyTable kCanopyKeys{"canopy", kCanopy};
constexpr std::array<string_view, 18> kSource{
    "name",     "quality",    "station",     "frame",           "coordinate_epoch", "white_m",
    "markov_m", "tau_s",      "bias_m",      "tail_freedom",    "claim_scale",      "claim_m",
    "age",      "age_from_s", "age_cycle_s", "drift_m_per_min", "converge_factor",  "converge_s"};
constexpr KeyTable kSourceKeys{"source", kSource};
constexpr std::array<string_view, 2> kUse{"at_s", "source"};
constexpr KeyTable kUseKeys{"use", kUse};
constexpr std::array<string_view, 11> kFault{"kind", "from_s", "to_s",    "note", "offset_m", "claim_m",
                                             "rate", "count",  "seconds", "text", "says"};
constexpr KeyTable kFaultKeys{"fault", kFault};

constexpr std::array<string_view, 4> kBase{"base", "station", "frame", "coordinate_epoch"};
constexpr KeyTable kBaseKeys{"corrections", kBase};
constexpr Range kStations{0, 4095, false, {}};

constexpr Range kMetres{0, 1000, false, "m"};
constexpr Range kOffset{-100000, 100000, false, "m"};
constexpr int kFaultKinds = 21;

std::vector<string_view> words_of(std::span<const string_view> all) {
  return {all.begin(), all.end()};
}

void read_every(Section& receiver, Receiver& out) {
  auto every = receiver.inner("every", kEveryKeys);
  if (!every) return;
  for (const string_view sentence : kSentences) {
    int epochs = 1;
    if (every->read(sentence, epochs, {1, 3600, false, "epochs"})) out.every.push_back({std::string(sentence), epochs});
  }
}

void check_source(Section& section, const Source& source) {
  if (!may_have_source(source.quality) && !source.station.empty()) {
    section.complain("station", kSay.station_not_wanted());
  }
  if (source.station.find_first_not_of("0123456789") != std::string::npos || source.station.size() > 5) {
    section.complain("station", kSay.bad_station(config::in_quotes(source.station)));
  }
  if (source.errors.tail_freedom == 1 || source.errors.tail_freedom == 2) {
    section.complain("tail_freedom", kSay.no_variance());
  }
}

Source read_source(Section& section) {
  Source out;
  section.read("name", out.name, {kSay.own_name.words()}, Need::required);
  std::vector<string_view> words;
  for (int i = 0; i < kQualityCount; ++i) words.push_back(to_word(static_cast<Quality>(i)));
  if (const auto quality = section.choose("quality", words, Need::required))
    out.quality = static_cast<Quality>(*quality);
  section.read("station", out.station, {kSay.station_number.words(), 20, true});
  section.read("frame", out.frame, {kSay.positions_frame.words()});
  section.read("coordinate_epoch", out.coordinate_epoch, {1980, 2100, false, kSay.decimal_year.words()});
  read_axes(section, "white_m", out.errors.white_m, kMetres);
  read_axes(section, "markov_m", out.errors.markov_m, kMetres);
  read_axes(section, "tau_s", out.errors.tau_s, {0, 100000, true, "s"});
  read_axes(section, "bias_m", out.errors.bias_m, kOffset);
  section.read("tail_freedom", out.errors.tail_freedom, {0, 100, false, {}});
  section.read("claim_scale", out.claim_scale, {0, 100, true, {}});
  if (section.has("claim_m")) {
    Axes claim_m;
    read_axes(section, "claim_m", claim_m, kMetres);
    out.claim_m = claim_m;
  }
  if (const auto age = section.choose("age", {"counts", "blank", "zero", "constant"}))
    out.age = static_cast<AgeManner>(*age);
  section.read("age_from_s", out.age_from_s, {0, 3600, false, "s"});
  section.read("age_cycle_s", out.age_cycle_s, {0, 3600, false, "s"});
  section.read("drift_m_per_min", out.drift_m_per_min, kMetres);
  section.read("converge_factor", out.converge_factor, {1, 1000, false, {}});
  section.read("converge_s", out.converge_s, {0, 3600, true, "s"});
  check_source(section, out);
  return out;
}

/// What a kind of fault cannot do without.
void check_fault(Section& section, const Fault& fault) {
  const auto needs = [&](string_view key, string_view what) {
    if (!section.has(key)) section.complain(key, kSay.missing(what));
  };
  switch (fault.kind) {
    case FaultKind::false_fix:
    case FaultKind::multipath:
    case FaultKind::base_shift:
      return needs("offset_m", kSay.an_offset.words());
    case FaultKind::own_shift:
      return needs("text", kSay.own_frame.words());
    case FaultKind::bit_errors:
    case FaultKind::drops:
    case FaultKind::merges:
    case FaultKind::garbage:
    case FaultKind::binary:
      return needs("rate", kSay.a_rate.words());
    case FaultKind::no_sentence:
      return needs("text", kSay.missing_sentence.words());
    case FaultKind::decimals:
    case FaultKind::date_step:
      return needs("count", kSay.whole_number.words());
    case FaultKind::time_step:
      return needs("seconds", kSay.time_off.words());
    case FaultKind::other_base:
      if (fault.count < 0 || fault.count > 4095) section.complain("count", kSay.bad_base());
      needs("count", kSay.base_number.words());
      return needs("text", kSay.base_mark.words());
    case FaultKind::late:
      if (fault.seconds_s < 0) section.complain("seconds", kSay.before_sent());
      return needs("seconds", kSay.comes_late.words());
    default:
      return;
  }
}

Fault read_fault(Section& section, double day_s) {
  Fault out;
  std::vector<string_view> words;
  for (int i = 0; i < kFaultKinds; ++i) words.push_back(to_word(static_cast<FaultKind>(i)));
  if (const auto kind = section.choose("kind", words, Need::required)) out.kind = static_cast<FaultKind>(*kind);
  read_span(section, out.when, day_s, Need::optional);
  section.read("note", out.note, {kSay.what_it_stands_for.words(), 500});
  read_axes(section, "offset_m", out.offset_m, kOffset);
  section.read("claim_m", out.claim_m, {0, 1000, true, "m"});
  section.read("rate", out.rate, {0, 1, false, {}});
  const bool decimals = out.kind == FaultKind::decimals;
  section.read("count", out.count, decimals ? Range{2, 8, false, "decimals"} : Range{-20000, 20000, false, {}});
  section.read("seconds", out.seconds_s, {-86400, 86400, false, "s"});
  section.read("text", out.text, {"a text"});
  section.read("says", out.says);
  check_fault(section, out);
  return out;
}

template <class T>
std::vector<std::string> names_of(const std::vector<T>& all) {
  std::vector<std::string> out;
  for (const T& each : all) out.push_back(each.name);
  return out;
}

void refuse_twice(Section& section, const std::string& name, const std::vector<std::string>& before) {
  if (!name.empty() && std::find(before.begin(), before.end(), name) != before.end()) {
    section.complain("name", kSay.name_taken(config::in_quotes(name)));
  }
}

}  // namespace

void read_receiver(Section& top, Receiver& out) {
  auto r = top.inner("receiver", kReceiverKeys);
  if (!r) return;
  r->read("rate_hz", out.rate_hz, {0.1, 20, false, "Hz"});
  r->read("talker", out.talker, {kSay.two_letters.words(), 2});
  if (r->has("sentences")) out.sentences = read_texts(*r, "sentences", "sentence", words_of(kSentences));
  read_every(*r, out);
  out.blank = read_texts(*r, "blank", "field", {"hdop", "ellipse", "satellites", "age", "station", "separation"});
  r->read("minute_decimals", out.minute_decimals, {2, 8, false, {}});
  r->read("height_decimals", out.height_decimals, {0, 4, false, {}});
  r->read("age_decimals", out.age_decimals, {0, 3, false, {}});
  r->read("satellite_cap", out.satellite_cap, {4, 99, false, {}});
  r->read("sbas_quality", out.sbas_quality, {2, 9, false, {}});
  if (out.sbas_quality != 2 && out.sbas_quality != 9) r->complain("sbas_quality", kSay.bad_sbas_quality());
  r->read("status_v", out.status_v);
  r->read("system_id", out.system_id);
  r->read("crlf", out.crlf);
  r->read("separation_m", out.separation_m, {-200, 200, false, "m"});
  r->read("latency_ms", out.latency_ms, {0, 2000, false, "ms"});
}

void read_marks(Section& top, Scenario& out) {
  for_each_table(top, "mark", kMarkKeys, Need::required, [&](Section& section) {
    Mark m;
    section.read("name", m.name, {kSay.own_name.words(), 60}, Need::required);
    refuse_twice(section, m.name, names_of(out.marks));
    section.read("code", m.code, {"a code", 60});
    section.read("latitude_deg", m.latitude_deg, {-89, 89, false, "degrees"}, Need::required);
    section.read("longitude_deg", m.longitude_deg, {-180, 180, false, "degrees"}, Need::required);
    section.read("ellipsoid_height_m", m.ellipsoid_height_m, {-500, 9000, false, "m"}, Need::required);
    section.read("known", m.known);
    section.read("has_height", m.has_height);
    read_axes(section, "disturbed_m", m.disturbed_m, kOffset);
    section.read("wanted", m.wanted);
    const Need need = m.wanted ? Need::required : Need::optional;
    section.read("tolerance_m", m.tolerance_m, {0, 100, true, "m"}, need);
    section.read("tolerance_up_m", m.tolerance_up_m, {0, 100, true, "m"}, need);
    section.read("points", m.points, {0, 1000, false, {}});
    out.marks.push_back(m);
  });
}

void read_stands(Section& top, Scenario& out) {
  const auto names = names_of(out.marks);
  for_each_table(top, "stand", kStandKeys, Need::required, [&](Section& section) {
    Stand s;
    if (const auto mark = read_name(section, "mark", names, kSay.a_mark(), Need::required)) s.mark = *mark;
    read_span(section, s.when, out.seconds_s, Need::required);
    section.read("antenna_height_m", s.antenna_height_m, {0, 30, false, "m"}, Need::required);
    section.read("wobble_m", s.wobble_m, kMetres);
    read_axes(section, "lean_m", s.lean_m, kOffset);
    out.stands.push_back(s);
  });
}

void read_canopies(Section& top, Scenario& out) {
  for_each_table(top, "canopy", kCanopyKeys, Need::optional, [&](Section& section) {
    Canopy c;
    read_span(section, c.when, out.seconds_s, Need::optional);
    section.read("mask_deg", c.mask_deg, {0, 85, false, "degrees"});
    section.read("keep", c.keep, {0, 1, false, {}});
    section.read("noise_factor", c.noise_factor, {1, 1000, false, {}});
    section.read("multipath_m", c.multipath_m, kMetres);
    section.read("multipath_tau_s", c.multipath_tau_s, {0, 100000, true, "s"});
    section.read("claimed", c.claimed);
    out.canopies.push_back(c);
  });
}

void read_sources(Section& top, Scenario& out) {
  for_each_table(top, "source", kSourceKeys, Need::required, [&](Section& section) {
    Source source = read_source(section);
    refuse_twice(section, source.name, names_of(out.sources));
    out.sources.push_back(std::move(source));
  });
}

void read_uses(Section& top, Scenario& out) {
  auto names = names_of(out.sources);
  names.emplace_back("none");
  for_each_table(top, "use", kUseKeys, Need::required, [&](Section& section) {
    Use use;
    section.read("at_s", use.at_s, {0, 86400, false, "s"}, Need::required);
    const auto source = read_name(section, "source", names, kSay.a_source_or_none(), Need::required);
    if (source && *source < out.sources.size()) use.source = source;
    out.uses.push_back(use);
  });
}

void read_base(Section& top, Scenario& out) {
  auto section = top.inner("corrections", kBaseKeys);
  if (!section) return;
  Base base;
  if (const auto mark = read_name(*section, "base", names_of(out.marks), kSay.a_mark(), Need::required))
    base.mark = *mark;
  section->read("station", base.station, kStations, Need::required);
  section->read("frame", base.frame, {kSay.positions_frame.words()});
  section->read("coordinate_epoch", base.coordinate_epoch, {1980, 2100, false, kSay.decimal_year.words()});
  out.base = std::move(base);
}

void read_faults(Section& top, Scenario& out) {
  for_each_table(top, "fault", kFaultKeys, Need::optional, [&](Section& section) {
    Fault fault = read_fault(section, out.seconds_s);
    if (fault.kind == FaultKind::other_base) {
      (void)read_name(section, "text", names_of(out.marks), kSay.a_mark(), Need::required);
      if (!out.base) section.complain("kind", kSay.no_base());
    }
    out.faults.push_back(std::move(fault));
  });
}

}  // namespace stillpoint::simulate
