#include "simulate/truth.hpp"

#include "base/number.hpp"
#include "simulate/said.hpp"

namespace stillpoint::simulate {
namespace {

std::string field(std::string_view name, const std::string& value) {
  return json_text(name) + ":" + value;
}

std::string axes(const Axes& a, int decimals) {
  return "{\"east\":" + fixed(a.east, decimals) + ",\"north\":" + fixed(a.north, decimals) +
         ",\"up\":" + fixed(a.up, decimals) + "}";
}

std::string place(const geodesy::Geographic& at) {
  return field("latitude_deg", fixed(at.latitude_deg, 10)) + "," + field("longitude_deg", fixed(at.longitude_deg, 10)) +
         "," + field("ellipsoid_height_m", fixed(at.ellipsoid_height_m, 4));
}

std::string span(const Scenario& scenario, const Span& when) {
  return field("start_utc", json_text(to_text(scenario.utc_at(when.from_s)))) + "," +
         field("end_utc", json_text(to_text(scenario.utc_at(when.to_s))));
}

/// One JSON array, each item on a line of its own.
template <class Item, class Write>
std::string list(const std::vector<Item>& items, Write&& write) {
  std::string out = "[";
  for (std::size_t i = 0; i < items.size(); ++i) out += (i > 0 ? ",\n  " : "\n  ") + write(items[i], i);
  return out + "]";
}

std::string mark(const Simulation& simulation, const Mark& m, std::size_t i) {
  const Scenario& s = simulation.scenario();
  std::string out = "{" + field("name", json_text(m.name)) + "," + field("code", json_text(m.code)) + "," +
                    field("known", m.known ? "true" : "false") + "," + place(simulation.marks()[i].at) + "," +
                    field("by_source", "{");
  for (std::size_t k = 0; k < s.sources.size(); ++k) {
    out += (k > 0 ? "," : "") + json_text(s.sources[k].name) + ":{" + place(simulation.marks_of(k)[i].at) + "}";
  }
  return out + "}}";
}

std::string stand(const Scenario& s, const Stand& st) {
  return "{" + field("mark", json_text(s.marks[st.mark].name)) + "," + span(s, st.when) + "," +
         field("antenna_height_m", fixed(st.antenna_height_m, 4)) + "," + field("lean_m", axes(st.lean_m, 4)) + "}";
}

std::string source(const Source& so) {
  return "{" + field("name", json_text(so.name)) + "," + field("quality", json_text(to_word(so.quality))) + "," +
         field("station", json_text(so.station)) + "," + field("frame", json_text(so.frame)) + "," +
         field("bias_m", axes(so.errors.bias_m, 4)) + "," + field("claim_scale", fixed(so.claim_scale, 3)) + "}";
}

std::string use(const Scenario& s, const Use& u) {
  return "{" + field("from_utc", json_text(to_text(s.utc_at(u.at_s)))) + "," +
         field("source", u.source ? json_text(s.sources[*u.source].name) : "null") + "}";
}

std::string fault(const Scenario& s, const Fault& f) {
  return "{" + field("kind", json_text(to_word(f.kind))) + "," + span(s, f.when) + "," +
         field("offset_m", axes(f.offset_m, 4)) + "," + field("note", json_text(f.note)) + "}";
}

/// `[seconds from the start, source or -1, east, north, up]`: short, there are thousands.
std::string epoch(const TrueEpoch& e) {
  return "[" + fixed(static_cast<double>(e.epoch_ms) / 1000.0, 2) + "," +
         (e.source ? std::to_string(*e.source) : std::string("-1")) + "," + fixed(e.error_m.east, 4) + "," +
         fixed(e.error_m.north, 4) + "," + fixed(e.error_m.up, 4) + "]";
}

}  // namespace

std::string json_text(std::string_view text) {
  std::string out = "\"";
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == '"' || c == '\\') out += '\\';
    if (byte >= 0x20) {
      out += c;
    } else {
      constexpr std::string_view kHex = "0123456789abcdef";
      out += c == '\n' ? std::string("\\n") : std::string("\\u00") + kHex[byte >> 4U] + kHex[byte & 15U];
    }
  }
  return out + "\"";
}

std::string truth_json(const Simulation& simulation, const std::vector<TrueEpoch>& epochs) {
  const Scenario& s = simulation.scenario();
  std::string out = "{" + field("scenario", json_text(s.name)) + ",\n";
  out += field("about", json_text(kSay.invented())) + ",\n";
  out += field("frame", json_text(s.frame)) + "," + field("seed", std::to_string(s.seed)) + "," +
         span(s, {0, s.seconds_s}) + ",\n";
  out += field("marks", list(s.marks, [&](const Mark& m, std::size_t i) { return mark(simulation, m, i); })) + ",\n";
  out += field("stands", list(s.stands, [&](const Stand& st, std::size_t) { return stand(s, st); })) + ",\n";
  out += field("sources", list(s.sources, [](const Source& so, std::size_t) { return source(so); })) + ",\n";
  out += field("uses", list(s.uses, [&](const Use& u, std::size_t) { return use(s, u); })) + ",\n";
  out += field("faults", list(s.faults, [&](const Fault& f, std::size_t) { return fault(s, f); })) + ",\n";
  out += field("epoch_columns", R"(["seconds","source","error_east_m","error_north_m","error_up_m"])") + ",\n";
  out += field("epochs", list(epochs, [](const TrueEpoch& e, std::size_t) { return epoch(e); }));
  return out + "}\n";
}

}  // namespace stillpoint::simulate
