#include "record/command.hpp"
#include "record/sentences.hpp"

#include <array>
#include <limits>
#include <nlohmann/json.hpp>

namespace stillpoint::record {
namespace {

using Json = nlohmann::ordered_json;

struct Word {
  const char* member;
  const char* word;
};

// In the order of the variant.
constexpr std::array<Word, std::variant_size_v<Command> - 1> kWords{{{"command", "occupy"},
                                                                     {"command", "keep"},
                                                                     {"command", "drop"},
                                                                     {"command", "check"},
                                                                     {"command", "antenna"},
                                                                     {"command", "resolve"},
                                                                     {"command", "amend"},
                                                                     {"command", "offset"},
                                                                     {"command", "close_day"},
                                                                     {"event", "started"},
                                                                     {"event", "stopped"},
                                                                     {"event", "cut"},
                                                                     {"event", "feed"},
                                                                     {"event", "safe"},
                                                                     {"event", "clock"},
                                                                     {"event", "dates"},
                                                                     {"event", "corrections"},
                                                                     {"event", "delivery"}}};

void put(Json& json, const Occupy& occupy) {
  json["name"] = occupy.name;
  if (occupy.visit) json["visit"] = *occupy.visit;
  json["code"] = occupy.code;
  json["note"] = occupy.note;
  json["again"] = occupy.again;
  if (occupy.is_new) json["new"] = true;
}
void put(Json& json, const Keep& keep) {
  if (!keep.made.empty()) json["made"] = keep.made;
}
void put(Json& json, const Check& check) {
  json["mark"] = check.mark;
  if (check.closing) json["closing"] = true;
  if (!check.turn.empty()) json["turn"] = check.turn;
}
void put(Json& json, const SetAntenna& antenna) {
  json["height_m"] = antenna.height_m;
  json["reason"] = antenna.reason;
  if (antenna.since) json["since"] = to_text(*antenna.since);
}
void put(Json& json, const Resolve& resolve) {
  json["name"] = resolve.name;
  json["visit"] = resolve.visit;
  json["accept"] = resolve.accept;
  if (resolve.sure) json["sure"] = true;
}
void put(Json& json, const Amend& amend) {
  json["name"] = amend.name;
  json["visit"] = amend.visit;
  if (!amend.to.empty()) json["to"] = amend.to;
  if (amend.to_visit) json["to_visit"] = *amend.to_visit;
  if (amend.code) json["code"] = *amend.code;
  if (amend.note) json["note"] = *amend.note;
  if (amend.again) json["again"] = true;
  if (amend.is_new) json["new"] = true;
  json["reason"] = amend.reason;
  if (!amend.made.empty()) json["made"] = amend.made;
}
Json json_of(const MeasuredStay& stay) {
  return {{"name", stay.name},
          {"visit", stay.visit},
          {"uuid", stay.uuid},
          {"distance_m", stay.distance_m},
          {"error_m", stay.distance_sigma_m}};
}
void put(Json& json, const OffsetMeasures& measures) {
  json["from"] = Json::array();
  for (const MeasuredStay& stay : measures.stays) json["from"].push_back(json_of(stay));
  if (measures.bearing_deg) {
    json["bearing_deg"] = *measures.bearing_deg;
    json["bearing_error_deg"] = measures.bearing_sigma_deg;
  }
  if (measures.declination_deg) json["declination_deg"] = *measures.declination_deg;
  if (measures.stays.size() == 2) json["side"] = to_word(measures.side);
  if (!measures.up_m) return;
  json["up_m"] = *measures.up_m;
  json["up_error_m"] = measures.up_sigma_m;
}
void put(Json& json, const Offset& offset) {
  json["name"] = offset.name;
  if (offset.visit) json["visit"] = *offset.visit;
  json["code"] = offset.code;
  json["note"] = offset.note;
  if (offset.measured) json["measured_utc"] = to_text(*offset.measured);
  put(json, offset.measures);
  if (offset.is_new) json["new"] = true;
  if (!offset.made.empty()) json["made"] = offset.made;
}
void put(Json& json, const CloseDay& close) {
  json["closed_utc"] = to_text(close.closed_utc);
}
void put(Json& json, const Cut& cut) {
  if (!cut.why.empty()) json["why"] = cut.why;
}
void put(Json& json, const FeedNews& feed) {
  json["state"] = feed.state;
  json["what"] = feed.what;
}
void put(Json& json, const Safe& safe) {
  json["made"] = safe.made;
}
void put(Json& json, const Clock& clock) {
  if (clock.said) json["said"] = to_text(*clock.said);
}
void put(Json& json, const Dates& dates) {
  json["text"] = dates.text;
}
void put(Json& json, const Corrections& corrections) {
  json["to"] = corrections.to;
  if (corrections.lost) json["lost"] = true;
}
void put(Json& json, const Delivery& delivery) {
  json["state"] = delivery.state;
  json["reason"] = delivery.reason;
  if (!delivery.detail.empty()) json["detail"] = delivery.detail;
}
/// A word alone says it.
template <class Plain>
void put(Json& /*json*/, const Plain& /*plain*/) {}

/// Throws as nlohmann does when a member is missing or of another type.
int whole_number(const Json& json, const char* key) {
  const auto& value = json.at(key);
  if (value.is_number_integer()) {
    const auto number = value.get<std::int64_t>();
    if (number >= 0 && number <= std::numeric_limits<int>::max()) return static_cast<int>(number);
  }
  throw Json::other_error::create(501, kSay.no_visits(key), &value);
}

void get(const Json& json, Occupy& occupy) {
  occupy.name = json.at("name").get<std::string>();
  occupy.code = json.value("code", "");
  occupy.note = json.value("note", "");
  occupy.again = json.value("again", false);
  occupy.visit = whole_number(json, "visit");
  occupy.is_new = json.value("new", false);
}
void get(const Json& json, Keep& keep) {
  keep.made = json.value("made", "");
}
void get(const Json& json, Check& check) {
  check.mark = json.at("mark").get<std::string>();
  check.closing = json.value("closing", false);
  check.turn = json.value("turn", "");
}
void get(const Json& json, SetAntenna& antenna) {
  antenna.height_m = json.at("height_m").get<double>();
  antenna.reason = json.value("reason", "");
}
void get(const Json& json, Resolve& resolve) {
  resolve.name = json.at("name").get<std::string>();
  resolve.visit = whole_number(json, "visit");
  resolve.accept = json.at("accept").get<bool>();
  resolve.sure = json.value("sure", false);
}
std::optional<std::string> text_in(const Json& json, const char* key) {
  return json.contains(key) ? std::optional(json.at(key).get<std::string>()) : std::nullopt;
}
void get(const Json& json, Amend& amend) {
  amend.name = json.at("name").get<std::string>();
  amend.visit = whole_number(json, "visit");
  amend.to = json.value("to", "");
  amend.to_visit = json.contains("to_visit") ? whole_number(json, "to_visit") : amend.visit;
  amend.code = text_in(json, "code");
  amend.note = text_in(json, "note");
  amend.again = json.value("again", false);
  amend.is_new = json.value("new", false);
  amend.reason = json.value("reason", "");
  amend.made = json.value("made", "");
}
std::optional<double> number_in(const Json& json, const char* key) {
  return json.contains(key) ? std::optional(json.at(key).get<double>()) : std::nullopt;
}
void get(const Json& json, OffsetMeasures& measures) {
  for (const Json& from : json.at("from")) {
    measures.stays.push_back({from.at("name").get<std::string>(), whole_number(from, "visit"), from.value("uuid", ""),
                              from.at("distance_m").get<double>(), from.value("error_m", kTapeSigmaM)});
  }
  measures.bearing_deg = number_in(json, "bearing_deg");
  measures.bearing_sigma_deg = json.value("bearing_error_deg", kCompassSigmaDeg);
  measures.declination_deg = number_in(json, "declination_deg");
  measures.side = side_from_word(json.value("side", "")).value_or(Side::left);
  measures.up_m = number_in(json, "up_m");
  measures.up_sigma_m = json.value("up_error_m", kLevelSigmaM);
}
void get(const Json& json, Offset& offset) {
  offset.name = json.at("name").get<std::string>();
  offset.visit = whole_number(json, "visit");
  offset.code = json.value("code", "");
  offset.note = json.value("note", "");
  get(json, offset.measures);
  offset.is_new = json.value("new", false);
  offset.made = json.value("made", "");
}
void get(const Json& json, Cut& cut) {
  cut.why = json.value("why", "");
}
void get(const Json& json, FeedNews& feed) {
  feed.state = json.value("state", "");
  feed.what = json.value("what", "");
}
void get(const Json& json, Dates& dates) {
  dates.text = json.value("text", "");
}
void get(const Json& json, Corrections& corrections) {
  const auto& to = json.at("to");
  if (!to.is_number_unsigned()) throw Json::other_error::create(501, kSay.no_offset(), &to);
  corrections.to = to.get<std::uint64_t>();
  corrections.lost = json.value("lost", false);
}
void get(const Json& json, Delivery& delivery) {
  delivery.state = json.value("state", "");
  delivery.reason = json.value("reason", "");
  delivery.detail = json.value("detail", "");
}
void get(const Json& json, Safe& safe) {
  safe.made = json.value("made", "");
}
template <class Plain>
void get(const Json& /*json*/, Plain& /*plain*/) {}

std::optional<UtcTime> time_of(const Json& json, const char* key) {
  const auto at = json.find(key);
  return at != json.end() && at->is_string() ? parse_utc(at->get<std::string>()) : std::nullopt;
}

/// The alternative whose word the line says, still empty.
template <std::size_t At = 0>
Command empty_of(std::size_t index) {
  if constexpr (At == std::variant_size_v<Command>) {
    return Unknown{};
  } else {
    return index == At ? Command(std::in_place_index<At>) : empty_of<At + 1>(index);
  }
}

Command command_of(const Json& json) {
  const std::string event = json.value("event", ""), command = json.value("command", "");
  for (std::size_t i = 0; i < kWords.size(); ++i) {
    if ((std::string_view(kWords[i].member) == "event" ? event : command) != kWords[i].word) continue;
    Command out = empty_of(i);
    std::visit([&json](auto& what) { get(json, what); }, out);
    if (auto* const close = std::get_if<CloseDay>(&out)) {
      const auto at = time_of(json, "closed_utc");
      if (!at) return Unknown{};  // a closing without a time closes nothing
      close->closed_utc = *at;
    }
    if (auto* const clock = std::get_if<Clock>(&out)) clock->said = time_of(json, "said");
    if (auto* const offset = std::get_if<Offset>(&out)) offset->measured = time_of(json, "measured_utc");
    if (auto* const antenna = std::get_if<SetAntenna>(&out)) antenna->since = time_of(json, "since");
    return out;
  }
  return Unknown{};
}

}  // namespace

std::string to_line(const Entry& entry) {
  Json json = Json::object();
  if (const std::size_t at = entry.what.index(); at < kWords.size()) json[kWords[at].member] = kWords[at].word;
  if (entry.utc) json["utc"] = to_text(*entry.utc);
  std::visit([&json](const auto& what) { put(json, what); }, entry.what);
  const bool by_a_person = entry.what.index() <= Command(CloseDay{}).index();
  if (by_a_person || !entry.by.empty()) json["by"] = entry.by;
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

Result<Entry> from_line(std::string_view line) {
  try {
    const Json json = Json::parse(line);
    Entry entry{command_of(json), time_of(json, "utc"), ""};
    const auto by = json.find("by");
    if (by != json.end() && by->is_string()) entry.by = by->get<std::string>();
    return entry;
  } catch (const Json::exception&) {
    return fail(kSay.command_unreadable(line));
  }
}

}  // namespace stillpoint::record
