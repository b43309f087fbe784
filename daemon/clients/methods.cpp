#include "clients/methods.hpp"

#include <algorithm>
#include <array>
#include <memory>
#include <utility>

#include "base/number.hpp"
#include "base/typed.hpp"
#include "clients/guard.hpp"
#include "common/clock.hpp"
#include "common/sentences.hpp"
#include "day/marks.hpp"
#include "geodesy/antenna.hpp"
#include "occupation/occupation.hpp"
#include "session/checks.hpp"
#include "wire/fields.hpp"
#include "wire/json.hpp"
#include "wire/rpc.hpp"
#include "wire/words.hpp"

namespace stillpoint::daemon {
namespace {

using nlohmann::json;

constexpr int kUnknownMethod = -32601;
constexpr int kBadParameters = -32602;
constexpr int kRefused = 1;

// Points and status are written by `wire` with fixed decimals; going through a JSON tree would print them anew.
std::string response_with(const json& id, const std::string& result) {
  return R"({"jsonrpc":"2.0","id":)" + id.dump() + R"(,"result":)" + result + "}";
}

/// Texts are UTF-8 since they were read; where one is not after all, the rest of the answer is still worth having.
std::string text_of(const json& value) {
  return escape_unseen(value.dump(-1, ' ', false, json::error_handler_t::replace));
}

/// The point as clients get it: with the flag of a day that is not closed.
occupation::Point delivered(const Day& day, const occupation::Point& point) {
  return day.events().book().closings().delivered(point);
}

std::string point_in_list(const CatalogueEntry& entry, const Day& day) {
  std::string text = wire::to_json(delivered(day, entry.stored.point));
  text.pop_back();  // the closing brace
  const json version = entry.stored.version, uuid = entry.stored.uuid, storage = to_word(entry.storage);
  return text + ",\"version\":" + text_of(version) + ",\"uuid\":" + text_of(uuid) + ",\"storage\":" + text_of(storage) +
         "}";
}

std::string antenna_text(const config::Antenna& antenna, double height_m) {
  if (antenna.already_reduced_by_receiver) return kSay.antenna_reduced();
  return kSay.antenna_height(fixed(height_m, 3));
}

config::Antenna with_pole(config::Antenna antenna, double height_m) {
  auto& parts = antenna.vertical_parts_m;
  const auto pole = std::find_if(parts.begin(), parts.end(), [](const auto& part) { return part.first == "pole"; });
  antenna.also_measured_ft.reset();
  if (pole != parts.end()) {
    pole->second = height_m;
    return antenna;
  }
  antenna.slant_m.reset();
  parts = {{"measured", height_m}};
  return antenna;
}

/// True when nobody can tell whether the name is taken, because the pointbook cannot be read now: the client is asked.
std::string question_of(const record::Occupy& command) {
  return command.again ? kSay.visit_unknown(command.name) : kSay.perhaps_in_book(command.name);
}

/// What a program needs to ask in its own words.
json data_of(const std::optional<session::Question>& question) {
  if (!question) return nullptr;
  return {{"question", question->word}, {"candidate", question->candidate}, {"is", question->candidate_is}};
}

/// A parameter as people call it: `leave_held` says why points are left held.
std::string words_of(const std::string& parameter) {
  return parameter.starts_with("leave_") ? kSay.the_reason() : kSay.the_parameter(parameter);
}

/// The calls that only look. Every other call changes something and needs the right to do so.
bool only_looks(const wire::Request& request) {
  constexpr std::array<std::string_view, 5> kLooking{"status", "follow", "points", "marks", "plan"};
  constexpr std::array<std::string_view, 2> kLookingWithout{"alerts", "antenna"};  // without parameters
  const auto in = [&](const auto& names) {
    return std::find(names.begin(), names.end(), request.method) != names.end();
  };
  return in(kLooking) || (in(kLookingWithout) && request.params.empty());
}

}  // namespace

/// The parameters of one request, read by name; what is wrong with them is remembered.
struct Methods::Parameters {
  explicit Parameters(const json& given) : values(given) {
    if (!values.is_null() && !values.is_object()) wrong = kSay.unnamed_parameters();
    if (values.is_array() && values.empty()) wrong.clear();
  }

  void allow(std::initializer_list<std::string_view> names) {
    if (!values.is_object()) return;
    for (const auto& [name, value] : values.items()) {
      if (std::find(names.begin(), names.end(), name) == names.end()) wrong = kSay.no_parameter(name);
    }
  }
  const json* find(const std::string& name) const {
    if (!values.is_object()) return nullptr;
    const auto at = values.find(name);
    return at == values.end() || at->is_null() ? nullptr : &*at;
  }
  /// What somebody typed, for people to read.
  std::string typed(const std::string& name, bool required, std::size_t longest) {
    std::string out = text(name, required);
    if (unfit.empty()) unfit = typed_fault(words_of(name), out, longest);
    return out;
  }
  std::string new_label(const std::string& name, bool required, std::size_t longest) {
    std::string out = text(name, required);
    if (unfit.empty()) unfit = new_label_fault(words_of(name), out, longest);
    return out;
  }
  std::string text(const std::string& name, bool required) {
    const json* value = find(name);
    if (value != nullptr && value->is_string()) return value->get<std::string>();
    if (value != nullptr) wrong = kSay.not_text(name);
    if (value == nullptr && required) wrong = kSay.missing(name);
    return "";
  }
  bool yes(const std::string& name) {
    const json* value = find(name);
    if (value == nullptr) return false;
    if (value->is_boolean()) return value->get<bool>();
    wrong = kSay.not_yes_or_no(name);
    return false;
  }
  std::optional<double> real(const std::string& name) {
    const json* value = find(name);
    if (value == nullptr) return std::nullopt;
    if (value->is_number()) return value->get<double>();
    wrong = kSay.not_number(name);
    return std::nullopt;
  }
  std::optional<int> number(const std::string& name) {
    const json* value = find(name);
    if (value == nullptr) return std::nullopt;
    if (value->is_number_integer() && *value >= 1 && *value <= 1'000'000) return value->get<int>();
    wrong = kSay.not_whole(name);
    return std::nullopt;
  }
  std::optional<std::uint64_t> id(const std::string& name) {
    const json* value = find(name);
    if (value == nullptr) return std::nullopt;
    if (value->is_number_unsigned()) return value->get<std::uint64_t>();
    wrong = kSay.not_alert(name);
    return std::nullopt;
  }

  record::Amend amendment(const Catalogue& points, bool* known);
  OffsetMeasures measures();
  void take_bearing(OffsetMeasures& out);
  MeasuredStay measured_stay();

  const json& values;
  std::string wrong;  ///< empty: nothing
  std::string unfit;  ///< a text that may not be stored, and why; empty: none
};

struct Methods::Asked {
  const Call& call;
  const wire::Request& request;

  void give(const std::string& result) const {
    call.reply(request.is_notification ? "" : response_with(request.id, result));
  }
  void give(const json& result) const { give(text_of(result)); }
  void refuse(int code, std::string_view why, const json& data = nullptr) const {
    call.reply(request.is_notification ? "" : wire::error_response(request.id, code, why, data));
  }
  /// True (and answered) when the parameters are wrong.
  bool refuses(const Parameters& parameters) const {
    if (parameters.wrong.empty() && parameters.unfit.empty()) return false;
    if (parameters.wrong.empty()) {
      refuse(kRefused, parameters.unfit);
    } else {
      refuse(kBadParameters, kSay.wrong_parameters(request.method, parameters.wrong));
    }
    return true;
  }
  /// For answers that come later: either `tell(later, outcome)` answers, or the refusal does.
  template <class Tell>
  auto when_known(Tell tell) const {
    return [call = call, request = request, tell](const auto& outcome) {
      const Asked later{call, request};
      if (!outcome) return later.refuse(kRefused, outcome.error().text);
      handle_guarded([&](const Call&) { tell(later, *outcome); }, call);
    };
  }
  void give_or_refuse(const session::CommandResult& result) const {
    if (!result.done) return refuse(kRefused, result.text);
    give(json::object({{"text", result.text}}));
  }
};

Methods::Methods(Day& day, const config::Settings& settings, control::Plan plan, std::function<FeedTime()> now)
    : day_(day), settings_(settings), plan_(std::move(plan)), now_(std::move(now)) {}

void Methods::handle(const Call& call) {
  const auto request = wire::parse_request(call.line);
  if (!request) return call.reply(request.error());
  const Asked asked{call, *request};
  if (!call.peer.may_change && !only_looks(*request)) {
    return asked.refuse(kRefused, kSay.may_only_look(call.peer.user));
  }
  using Method = void (Methods::*)(const Asked&);
  static constexpr std::array<std::pair<std::string_view, Method>, 16> kMethods{{{"status", &Methods::status},
                                                                                 {"follow", &Methods::follow},
                                                                                 {"begin", &Methods::begin},
                                                                                 {"keep", &Methods::keep},
                                                                                 {"discard", &Methods::discard},
                                                                                 {"check", &Methods::check},
                                                                                 {"marks", &Methods::marks},
                                                                                 {"plan", &Methods::plan},
                                                                                 {"points", &Methods::points},
                                                                                 {"resolve", &Methods::resolve},
                                                                                 {"amend", &Methods::amend},
                                                                                 {"offset", &Methods::offset},
                                                                                 {"alerts", &Methods::alerts},
                                                                                 {"antenna", &Methods::antenna},
                                                                                 {"pole", &Methods::pole},
                                                                                 {"close_day", &Methods::close_day}}};
  for (const auto& [name, method] : kMethods) {
    if (name == request->method) return (this->*method)(asked);
  }
  if (const auto name = wire::newer_name(request->method); !name.empty()) {
    return asked.refuse(kUnknownMethod, kSay.renamed(request->method, name));
  }
  asked.refuse(kUnknownMethod, kSay.no_method(request->method));
}

void Methods::status(const Asked& asked) {
  Parameters parameters(asked.request.params);
  parameters.allow({});
  if (!asked.refuses(parameters)) asked.give(wire::to_json(day_.status()));
}

void Methods::follow(const Asked& asked) {
  Parameters parameters(asked.request.params);
  parameters.allow({});
  if (asked.refuses(parameters)) return;
  asked.give(json::object({{"text", "following"}}));
  asked.call.follow(wire::to_json(day_.status()));
}

void Methods::begin(const Asked& asked) {
  Parameters parameters(asked.request.params);
  parameters.allow({"name", "code", "note", "again", "new"});
  record::Occupy command;
  command.name = parameters.text("name", true);
  const bool known = day_.points().find(command.name, std::nullopt) != nullptr;
  command.name = known ? command.name : parameters.new_label("name", true, kLongestName);
  command.code = parameters.new_label("code", false, kLongestCode);
  command.note = parameters.typed("note", false, kLongestNote);
  command.again = parameters.yes("again");
  command.is_new = parameters.yes("new");
  if (asked.refuses(parameters)) return;
  if (day_.events().is_unread() && !known && !command.is_new) return asked.refuse(kRefused, question_of(command));
  const auto result = day_.acts().carry_out(std::move(command), asked.call.peer.user, now_());
  if (!result.done) return asked.refuse(kRefused, result.text, data_of(result.question));
  asked.give(json::object({{"text", result.text}, {"visit", result.visit}}));
}

/// A screen may show a stay that has ended meanwhile. Answers and returns true when the open stay is another one than
/// the one that was looked at.
bool Methods::means_another(const Asked& asked) {
  Parameters parameters(asked.request.params);
  parameters.allow({"name", "visit"});
  const std::string name = parameters.text("name", false);
  const auto visit = parameters.number("visit");
  if (asked.refuses(parameters)) return true;
  if (name.empty()) return false;
  const occupation::Stand* open = day_.session().open_stand();
  if (open != nullptr && open->name == name && (!visit || open->visit == *visit)) return false;
  const std::string meant = visit ? kSay.stay(name, std::to_string(*visit)) : name;
  asked.refuse(kRefused, open == nullptr
                             ? kSay.none_is_open(meant)
                             : kSay.another_is_open(kSay.stay(open->name, std::to_string(open->visit)), meant));
  return true;
}

// The answer comes later, when the point is safe: everything it needs is copied.
void Methods::keep(const Asked& asked) {
  if (means_another(asked)) return;
  if (day_.session().checks().is_open()) return keep_check(asked);
  const auto tell = [this](const Asked& later, const occupation::StoredPoint& kept) {
    later.give(R"({"point":)" + wire::to_json(delivered(day_, kept.point)) + R"(,"storage":"spooled"})");
  };
  day_.acts().keep(asked.call.peer.user, now_(), asked.when_known(tell));
}

void Methods::keep_check(const Asked& asked) {
  const auto tell = [](const Asked& later, const session::FinishedCheck& kept) {
    later.give(R"({"check":)" + check_json(kept) + "}");
  };
  day_.acts().keep_check(asked.call.peer.user, now_(), asked.when_known(tell));
}

void Methods::check(const Asked& asked) {
  Parameters parameters(asked.request.params);
  parameters.allow({"mark", "closing", "turn"});
  record::Check command;
  command.mark = parameters.typed("mark", true, kLongestNote);
  command.closing = parameters.yes("closing");
  command.turn = parameters.text("turn", false);
  if (!asked.refuses(parameters)) {
    asked.give_or_refuse(day_.acts().carry_out(std::move(command), asked.call.peer.user, now_()));
  }
}

void Methods::close_day(const Asked& asked) {
  Parameters parameters(asked.request.params);
  parameters.allow({"leave_held", "leave_record"});
  CloseAsked close{asked.call.peer.user, parameters.typed("leave_held", false, kLongestReason),
                   parameters.typed("leave_record", false, kLongestReason)};
  if (asked.refuses(parameters)) return;
  const auto tell = [](const Asked& later, const auto& closed) { later.give(close_json(closed)); };
  day_.close(std::move(close), now_(), asked.when_known(tell));
}

void Methods::marks(const Asked& asked) {
  Parameters parameters(asked.request.params);
  parameters.allow({});
  if (!asked.refuses(parameters)) asked.give(marks_json(day_.session().checks().marks()));
}

void Methods::plan(const Asked& asked) {
  Parameters parameters(asked.request.params);
  parameters.allow({});
  if (!asked.refuses(parameters)) asked.give(plan_json(plan_, day_.points(), utc_now()));
}

void Methods::discard(const Asked& asked) {
  if (!means_another(asked)) asked.give_or_refuse(day_.acts().carry_out(record::Drop{}, asked.call.peer.user, now_()));
}

void Methods::points(const Asked& asked) {
  Parameters parameters(asked.request.params);
  parameters.allow({});
  if (asked.refuses(parameters)) return;
  std::string list;
  for (const CatalogueEntry& entry : day_.points().entries()) {
    list += (list.empty() ? "" : ",") + point_in_list(entry, day_);
  }
  std::string together;
  for (const auto& combined : day_.combined()) together += (together.empty() ? "" : ",") + wire::to_json(combined);
  json lost = json::array();
  for (const LostStay& each : day_.events().book().lost_stays()) {
    lost.push_back({{"name", each.stay.name},
                    {"visit", each.stay.visit},
                    {"check", each.stay.on_mark},
                    {"utc", to_text(each.utc)},
                    {"why", each.stay.why},
                    {"text", each.text},
                    {"seen", each.seen}});
  }
  asked.give(R"({"points":[)" + list + R"(],"combined":[)" + together + R"(],"lost_stays":)" + text_of(lost) + "}");
}

/// A point that misses the wanted error is asked about before a hand accepts it. True (and answered): it is.
bool Methods::asks_again(const Asked& asked, const Decision& decision) {
  const CatalogueEntry* entry = day_.points().find(decision.name, decision.visit);
  if (entry == nullptr || !decision.accept || decision.sure) return false;
  const auto& wanted = settings_.wanted_error95_m();
  if (!wanted || !misses_error(*entry, wanted->horizontal_m, wanted->vertical_m)) return false;
  const occupation::Point& point = entry->stored.point;
  const auto metres = [](double value_m) { return fixed(value_m, 3); };
  asked.refuse(kRefused,
               kSay.wanted_missed(kSay.stay(point.name, std::to_string(point.visit)),
                                  metres(point.at->error95_horizontal_m), metres(point.at->error95_vertical_m),
                                  metres(wanted->horizontal_m), metres(wanted->vertical_m)),
               {{"question", "wanted-missed"},
                {"error95_horizontal_m", point.at->error95_horizontal_m},
                {"error95_vertical_m", point.at->error95_vertical_m},
                {"wanted_error95_horizontal_m", wanted->horizontal_m},
                {"wanted_error95_vertical_m", wanted->vertical_m}});
  return true;
}

void Methods::resolve(const Asked& asked) {
  Parameters parameters(asked.request.params);
  parameters.allow({"name", "visit", "accept", "reason", "sure"});
  Decision decision;
  decision.name = parameters.text("name", true);
  decision.reason = parameters.typed("reason", true, kLongestReason);
  decision.visit = parameters.number("visit");
  if (parameters.find("accept") == nullptr) parameters.wrong = kSay.missing("accept");
  decision.accept = parameters.yes("accept");
  decision.sure = parameters.yes("sure");
  decision.by = asked.call.peer.user;
  if (!asked.refuses(parameters) && !asks_again(asked, decision)) decide(asked, decision);
}

void Methods::decide(const Asked& asked, const Decision& decision) {
  const auto tell = [this, accept = decision.accept](const Asked& later, const occupation::StoredPoint& resolved) {
    const occupation::Point& point = resolved.point;
    const json text = kSay.resolved_by(kSay.stay(point.name, std::to_string(point.visit)),
                                       accept ? "accepted" : "rejected", resolved.changed_by);
    later.give(R"({"text":)" + text_of(text) + R"(,"point":)" + wire::to_json(delivered(day_, point)) + "}");
  };
  day_.acts().resolve(decision, now_(), asked.when_known(tell));
}

/// What is asked of a point; its visit is still to be found. `known`: the new name is there already.
record::Amend Methods::Parameters::amendment(const Catalogue& points, bool* known) {
  record::Amend out;
  out.name = text("name", true);
  out.to = text("new_name", false);
  *known = points.find(out.to, std::nullopt) != nullptr;
  if (!out.to.empty() && !*known) out.to = new_label("new_name", true, kLongestName);
  if (find("code") != nullptr) out.code = new_label("code", false, kLongestCode);
  if (find("note") != nullptr) out.note = typed("note", false, kLongestNote);
  out.again = yes("again");
  out.is_new = yes("new");
  out.reason = typed("reason", false, kLongestReason);
  return out;
}

/// The newest visit where none is named; the open one is the newest.
void Methods::amend(const Asked& asked) {
  Parameters parameters(asked.request.params);
  parameters.allow({"name", "visit", "new_name", "code", "note", "again", "new", "void", "reason"});
  bool known = false;
  record::Amend command = parameters.amendment(day_.points(), &known);
  const auto visit = parameters.number("visit");
  const bool make_void = parameters.yes("void");
  if (asked.refuses(parameters)) return;
  const bool changes = !command.to.empty() || command.code || command.note;
  if (make_void && changes) return asked.refuse(kRefused, kSay.void_alone());
  if (make_void) return decide(asked, {command.name, visit, false, false, command.reason, asked.call.peer.user});
  if (!changes) return asked.refuse(kRefused, kSay.nothing_to_amend());
  if (!command.to.empty() && !known && !command.is_new && day_.events().is_unread()) {
    return asked.refuse(kRefused, kSay.perhaps_in_book(command.to));
  }
  const occupation::Stand* open = day_.session().checks().is_open() ? nullptr : day_.session().open_stand();
  if (open != nullptr && open->name == command.name && open->visit == visit.value_or(open->visit)) {
    command.visit = open->visit;
    return amend_open(asked, std::move(command));
  }
  const CatalogueEntry* entry = day_.points().find(command.name, visit);
  if (entry == nullptr) return asked.refuse(kRefused, missing_point(command.name, visit));
  command.visit = entry->stored.point.visit;
  amend_kept(asked, std::move(command));
}

void Methods::amend_open(const Asked& asked, record::Amend command) {
  const auto result = day_.acts().carry_out(std::move(command), asked.call.peer.user, now_());
  if (!result.done) return asked.refuse(kRefused, result.text, data_of(result.question));
  asked.give(json::object({{"text", result.text}, {"visit", result.visit}}));
}

void Methods::amend_kept(const Asked& asked, record::Amend command) {
  if (command.reason.empty()) return asked.refuse(kRefused, kSay.no_reason());
  const occupation::Point& now = day_.points().find(command.name, command.visit)->stored.point;
  const bool same = (command.to.empty() || command.to == now.name) && command.code.value_or(now.code) == now.code &&
                    command.note.value_or(now.note) == now.note;
  if (same) return asked.refuse(kRefused, kSay.is_so_already(kSay.stay(now.name, std::to_string(now.visit))));
  const auto tell = [this](const Asked& later, const occupation::StoredPoint& stored) {
    const occupation::Point& point = stored.point;
    const json text = kSay.amended_by(kSay.stay(point.name, std::to_string(point.visit)), stored.changed_by);
    later.give(R"({"text":)" + text_of(text) + R"(,"point":)" + wire::to_json(delivered(day_, point)) + "}");
  };
  const auto result = day_.acts().amend(std::move(command), asked.call.peer.user, now_(), asked.when_known(tell));
  if (!result.done) asked.refuse(kRefused, result.text, data_of(result.question));
}

/// A stay without a visit is the newest.
MeasuredStay Methods::Parameters::measured_stay() {
  allow({"name", "visit", "distance_m", "error_m"});
  MeasuredStay out;
  out.name = text("name", true);
  out.visit = number("visit").value_or(0);
  if (find("distance_m") == nullptr && wrong.empty()) wrong = kSay.missing("distance_m");
  out.distance_m = real("distance_m").value_or(0);
  out.distance_sigma_m = real("error_m").value_or(kTapeSigmaM);
  return out;
}

/// Nobody has to guess from which north it was read.
void Methods::Parameters::take_bearing(OffsetMeasures& out) {
  out.bearing_deg = real("bearing_deg");
  out.bearing_sigma_deg = real("bearing_error_deg").value_or(kCompassSigmaDeg);
  out.declination_deg = real("declination_deg");
  const std::string north = text("north", out.bearing_deg.has_value());
  const bool fits =
      north.empty() || (north == "true" && !out.declination_deg) || (north == "magnetic" && out.declination_deg);
  if (!fits && wrong.empty()) wrong = kSay.which_north("north");
}

OffsetMeasures Methods::Parameters::measures() {
  OffsetMeasures out;
  const json* from = find("from");
  const bool fits = from != nullptr && from->is_array() && !from->empty() && from->size() <= 2;
  if (!fits && wrong.empty()) wrong = kSay.not_stays("from");
  if (!fits) return out;
  for (const json& each : *from) {
    Parameters stay(each);
    out.stays.push_back(stay.measured_stay());
    if (!stay.wrong.empty()) wrong = stay.wrong;
  }
  take_bearing(out);
  out.up_m = real("up_m");
  out.up_sigma_m = real("up_error_m").value_or(kLevelSigmaM);
  const auto side = side_from_word(text("side", false));
  if (!side && (find("side") != nullptr || from->size() == 2)) wrong = kSay.not_side("side");
  out.side = side.value_or(Side::left);
  return out;
}

void Methods::offset(const Asked& asked) {
  Parameters parameters(asked.request.params);
  parameters.allow({"name", "code", "note", "new", "from", "bearing_deg", "bearing_error_deg", "north",
                    "declination_deg", "side", "up_m", "up_error_m"});
  record::Offset command;
  command.measures = parameters.measures();
  command.name = parameters.new_label("name", true, kLongestName);
  command.code = parameters.new_label("code", false, kLongestCode);
  command.note = parameters.typed("note", false, kLongestNote);
  command.is_new = parameters.yes("new");
  if (asked.refuses(parameters)) return;
  if (day_.events().is_unread() && !command.is_new) return asked.refuse(kRefused, kSay.perhaps_in_book(command.name));
  const auto text = std::make_shared<std::string>();  // known before the point is safe
  const auto tell = [this, text](const Asked& later, const occupation::StoredPoint& made) {
    later.give(R"({"text":)" + text_of(json(*text)) + R"(,"point":)" + wire::to_json(delivered(day_, made.point)) +
               R"(,"storage":"spooled"})");
  };
  const auto result = day_.acts().offset(std::move(command), asked.call.peer.user, now_(), asked.when_known(tell));
  *text = result.text;
  if (!result.done) asked.refuse(kRefused, result.text, data_of(result.question));
}

void Methods::alerts(const Asked& asked) {
  Parameters parameters(asked.request.params);
  parameters.allow({"seen", "key", "id"});
  const bool seen = parameters.yes("seen");
  const std::string key = parameters.text("key", false);
  const auto id = parameters.id("id");
  if (asked.refuses(parameters)) return;
  if (seen) day_.seen(key, id, now_());
  std::string list;
  for (const session::Alert& alert : day_.alerts()) list += (list.empty() ? "" : ",") + wire::to_json(alert);
  std::string outages;
  const session::Summary summary = day_.session().summary();
  for (const session::Outage& outage : summary.outages) outages += (outages.empty() ? "" : ",") + wire::to_json(outage);
  asked.give(R"({"alerts":[)" + list + R"(],"outages":[)" + outages + "]}");
}

void Methods::antenna(const Asked& asked) {
  Parameters parameters(asked.request.params);
  parameters.allow({"height_m", "measured_ft", "reason"});
  config::Antenna antenna = day_.acts().antenna();
  const auto wanted_m = parameters.real("height_m");
  const auto measured_ft = parameters.real("measured_ft");
  const std::string reason = parameters.typed("reason", wanted_m.has_value(), kLongestReason);
  if (!wanted_m && (measured_ft || !reason.empty())) parameters.wrong = kSay.missing("height_m");
  if (asked.refuses(parameters)) return;
  if (wanted_m) {
    antenna.vertical_parts_m = {{"measured", *wanted_m}};
    antenna.slant_m.reset();
    antenna.also_measured_ft = measured_ft;
    return asked.give_or_refuse(day_.acts().set_antenna(antenna, reason, asked.call.peer.user, now_()));
  }
  const auto height_m = geodesy::antenna_height_m(antenna);
  if (!height_m) return asked.refuse(kRefused, height_m.error().text);
  nlohmann::ordered_json parts = nlohmann::ordered_json::object();
  for (const auto& [name, part_m] : antenna.vertical_parts_m) parts[name] = part_m;
  if (const auto& slant = antenna.slant_m) {
    parts["slant"] = slant->length_m;
    parts["radius"] = slant->radius_m;
    parts["plane_to_phase_centre"] = slant->plane_to_phase_centre_m;
  }
  asked.give(R"({"height_m":)" + fixed(*height_m, 4) + R"(,"parts":)" + wire::line_of(parts) + R"(,"text":)" +
             text_of(antenna_text(antenna, *height_m)) + "}");
}

/// The part that is called pole is another one; where there is none, the antenna as a whole.
void Methods::pole(const Asked& asked) {
  Parameters parameters(asked.request.params);
  parameters.allow({"height_m", "reason", "since_utc"});
  const auto height_m = parameters.real("height_m");
  if (!height_m && parameters.wrong.empty()) parameters.wrong = kSay.missing("height_m");
  const std::string reason = parameters.typed("reason", true, kLongestReason);
  const std::string since = parameters.text("since_utc", false);
  const auto since_utc = parse_utc(since);
  if (!since.empty() && !since_utc) parameters.wrong = kSay.not_time("since_utc");
  if (asked.refuses(parameters)) return;
  if (reason.empty()) return asked.refuse(kRefused, kSay.no_reason());
  const std::string& by = asked.call.peer.user;
  const config::Antenna antenna = with_pole(day_.acts().antenna(), *height_m);
  if (!since_utc) return asked.give_or_refuse(day_.acts().set_antenna(antenna, reason, by, now_()));
  const auto tell = [](const Asked& later, const PoleChanged& changed) {
    later.give(json::object({{"text", changed.text}, {"held", changed.held}, {"redo", changed.redo}}));
  };
  day_.acts().set_pole({antenna, *since_utc, reason, by}, now_(), asked.when_known(tell));
}

}  // namespace stillpoint::daemon
