#include "pointbook/happened.hpp"

#include <algorithm>
#include <charconv>
#include <nlohmann/json.hpp>

#include "base/number.hpp"
#include "pointbook/sentences.hpp"

namespace stillpoint::pointbook {
namespace {

using Json = nlohmann::ordered_json;

constexpr std::array<std::string_view, 12> kWords{"started",    "stopped",        "recovered",     "resolved",
                                                  "day-closed", "day-reopened",   "day-left-open", "redo",
                                                  "merged",     "merge-conflict", "abandoned",     "outage"};
constexpr std::string_view kOver = "over: ";
constexpr std::string_view kWasOpen = kSay.was_open.words();
constexpr std::string_view kVisit = " visit ";

std::string line_of(const Json& json) {
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

/// The details, or an empty object.
Json details_of(const Event& event) {
  auto json = Json::parse(event.details, nullptr, false);
  return json.is_object() ? json : Json::object();
}

const Json& member(const Json& object, const char* key) {
  static const Json kNothing;
  if (!object.is_object()) return kNothing;
  const auto at = object.find(key);
  return at == object.end() ? kNothing : *at;
}

std::string text_in(const Json& object, const char* key) {
  const Json& value = member(object, key);
  return value.is_string() ? value.get<std::string>() : std::string();
}

std::uint64_t count_in(const Json& object, const char* key) {
  const Json& value = member(object, key);
  return value.is_number_unsigned() ? value.get<std::uint64_t>() : 0;
}

int number_in(const Json& object, const char* key) {
  return static_cast<int>(std::min<std::uint64_t>(count_in(object, key), INT32_MAX));
}

std::optional<bool> yes_in(const Json& object, const char* key) {
  const Json& value = member(object, key);
  return value.is_boolean() ? std::optional(value.get<bool>()) : std::nullopt;
}

std::string name_and_visit(const std::string& name, int visit) {
  return name + std::string(kVisit) + std::to_string(visit);
}

/// Books of before: "VM 11 visit 2 was open when the program ended without a word; it is kept as held, …"
std::optional<Recovered> recovered_in(std::string_view sentence) {
  const std::string_view title = sentence.substr(0, sentence.find(kWasOpen));
  const std::size_t at = title.rfind(kVisit);
  if (title.size() == sentence.size() || at == std::string_view::npos) return std::nullopt;
  const std::string_view visit = title.substr(at + kVisit.size());
  Recovered out{std::string(title.substr(0, at)), 0, 0};
  const auto [end, error] = std::from_chars(visit.data(), visit.data() + visit.size(), out.visit);
  if (error != std::errc() || end != visit.data() + visit.size()) return std::nullopt;
  return out;
}

RedonePoint redone_point(const Json& json) {
  RedonePoint out{
      text_in(json, "name"), number_in(json, "visit"), number_in(json, "version"), text_in(json, "uuid"), {}};
  const Json& moved = member(json, "moved_m");
  const bool whole = moved.is_array() && moved.size() == 3 &&
                     std::all_of(moved.begin(), moved.end(), [](const Json& each) { return each.is_number(); });
  if (whole) out.moved_m = {moved[0].get<double>(), moved[1].get<double>(), moved[2].get<double>()};
  return out;
}

Json json_of(const RedonePoint& point) {
  Json json{{"name", point.name}, {"visit", point.visit}, {"version", point.version}, {"uuid", point.uuid}};
  if (point.moved_m) json["moved_m"] = *point.moved_m;
  return json;
}

Json json_of(const RedoneCheck& check) {
  Json json{{"mark", check.mark}, {"version", check.version}, {"uuid", check.uuid}, {"opening", check.opening}};
  // Written only for a check that cannot be compared, so that all other details stay what they were in earlier books.
  if (check.compared == false) json["compared"] = false;
  return json;
}

}  // namespace

std::string_view to_word(EventKind kind) noexcept {
  return kWords[static_cast<std::size_t>(kind)];
}

std::optional<EventKind> kind_of(const Event& event) noexcept {
  const auto at = std::find(kWords.begin(), kWords.end(), event.kind);
  if (at == kWords.end()) return std::nullopt;
  return static_cast<EventKind>(at - kWords.begin());
}

std::string by_of(const Event& event) {
  return text_in(details_of(event), "by");
}

Event event_of(UtcTime utc, std::string_view kind, std::string text, const std::string& by) {
  return {utc, std::string(kind), std::move(text), by.empty() ? "" : line_of(Json::object({{"by", by}}))};
}

Event alert_event(UtcTime utc, std::string key, const std::string& text, Occurrence occurrence) {
  const auto details =
      Json::object({{"occurrence", occurrence.number.value_or(0)}, {"state", occurrence.over ? "over" : "raised"}});
  return {utc, std::move(key), (occurrence.over ? std::string(kOver) : std::string()) + text, line_of(details)};
}

Occurrence occurrence_of(const Event& event) {
  const Json details = details_of(event);
  // Books of before said the second in the sentence.
  if (!member(details, "occurrence").is_number_unsigned()) return {std::nullopt, event.text.starts_with(kOver)};
  return {count_in(details, "occurrence"), text_in(details, "state") == "over"};
}

Event event_of(UtcTime utc, const Recovered& recovered) {
  const auto details =
      Json::object({{"name", recovered.name}, {"visit", recovered.visit}, {"seconds", recovered.seconds}});
  return {utc, std::string(to_word(EventKind::recovered)),
          kSay.recovered(name_and_visit(recovered.name, recovered.visit), kWasOpen, std::to_string(recovered.seconds)),
          line_of(details)};
}

std::optional<Recovered> recovered_of(const Event& event) {
  if (!is(event, EventKind::recovered)) return std::nullopt;
  const Json details = details_of(event);
  if (!member(details, "name").is_string()) return recovered_in(event.text);
  return Recovered{text_in(details, "name"), number_in(details, "visit"), count_in(details, "seconds")};
}

Event event_of(UtcTime utc, const LostStay& lost) {
  const std::string what = lost.on_mark     ? kSay.check_on(lost.name)
                           : lost.visit > 1 ? name_and_visit(lost.name, lost.visit)
                                            : lost.name;
  const auto details =
      Json::object({{"name", lost.name}, {"visit", lost.visit}, {"on_mark", lost.on_mark}, {"why", lost.why}});
  return {utc, std::string(to_word(EventKind::abandoned)), kSay.nothing_stored(what, lost.why), line_of(details)};
}

std::optional<LostStay> lost_stay_of(const Event& event) {
  if (!is(event, EventKind::abandoned)) return std::nullopt;
  const Json details = details_of(event);
  if (!member(details, "why").is_string()) return std::nullopt;  // dropped by hand, or a book of before
  return LostStay{text_in(details, "name"), number_in(details, "visit"), yes_in(details, "on_mark") == true,
                  text_in(details, "why")};
}

Event event_of(UtcTime utc, const Redone& redone) {
  Json changed = Json::array(), checks = Json::array();
  for (const RedonePoint& point : redone.changed) changed.push_back(json_of(point));
  for (const RedoneCheck& check : redone.checks) checks.push_back(json_of(check));
  Json details{{"by", redone.by},  {"reason", redone.reason}, {"changed", changed},
               {"checks", checks}, {"sha256", redone.sha256}, {"toml", redone.toml}};
  if (!redone.zone.empty()) details["zone"] = redone.zone;
  return {utc, std::string(to_word(EventKind::redo)),
          kSay.redone(redone.by, counted(redone.changed.size(), "point"), redone.reason), line_of(details)};
}

std::optional<Redone> redone_of(const Event& event) {
  if (!is(event, EventKind::redo)) return std::nullopt;
  const Json details = details_of(event);
  if (!member(details, "toml").is_string()) return std::nullopt;
  Redone out{text_in(details, "by"),   text_in(details, "reason"), {}, {}, text_in(details, "sha256"),
             text_in(details, "toml"), text_in(details, "zone")};
  for (const Json& point : member(details, "changed")) out.changed.push_back(redone_point(point));
  for (const Json& check : member(details, "checks")) {
    out.checks.push_back({text_in(check, "mark"), number_in(check, "version"), text_in(check, "uuid"),
                          static_cast<std::size_t>(count_in(check, "opening")), yes_in(check, "compared")});
  }
  return out;
}

Event event_of(UtcTime utc, const std::vector<MergedBook>& from) {
  Json files = Json::array();
  for (const MergedBook& book : from) {
    files.push_back({{"file", book.file},
                     {"sha256", book.sha256},
                     {"project", book.project},
                     {"versions", book.versions},
                     {"closed", book.closed}});
  }
  return {utc, std::string(to_word(EventKind::merged)), kSay.merged(std::to_string(from.size())),
          line_of(Json{{"from", files}})};
}

bool merged_closed_books(const Event& event) {
  const Json details = details_of(event);
  const Json& files = member(details, "from");
  return files.is_array() && !files.empty() &&
         std::all_of(files.begin(), files.end(), [](const Json& file) { return yes_in(file, "closed") == true; });
}

std::vector<ClosedFile> closed_files_of(const Event& event) {
  if (!is(event, EventKind::day_closed)) return {};
  std::vector<ClosedFile> out;
  const Json details = details_of(event);
  for (const Json& file : member(member(details, "record"), "unchanged")) {
    out.push_back({text_in(file, "file"), text_in(file, "sha256")});
  }
  return out;
}

bool says_no_longer_compared(const CheckShot& shot) {
  return shot.text.find(kOldNumbers) != std::string::npos;
}

}  // namespace stillpoint::pointbook
