#include "client/commands.hpp"

#include <algorithm>
#include <array>
#include <ostream>
#include <vector>

#include "client/check.hpp"
#include "client/follow.hpp"
#include "client/offset.hpp"
#include "client/panel.hpp"
#include "client/sentences.hpp"
#include "client/tables.hpp"
#include "client/watch.hpp"
#include "client/wire_names.hpp"

namespace stillpoint::client {
namespace {

void print(std::ostream& out, const std::vector<std::string>& lines) {
  for (const std::string& line : lines) out << line << '\n';
}

/// Sends one request over a line of its own.
Outcome<Message> ask_once(const Command& command, const Surroundings& around, const nlohmann::json& params = nullptr) {
  auto link = Link::open(socket_path(command.control, around), {around.answer_ms, around.stop_fd});
  if (!link) return tl::unexpected(link.error());
  return link->call(command.verb == "close-day" ? "close_day" : command.verb, params);
}

/// A point that is not accepted is a failure: its reasons as one sentence.
Outcome<void> judge_point(const Json& point) {
  const std::string status = text_of(point, "status");
  if (status == "accepted") return {};
  const std::string why = reasons_of(point);
  const std::string state = status == "none" ? kSay.none_counted() : ascii(status);
  return tl::unexpected(
      Failure{kExitRefused, kSay.not_accepted(ascii(text_of(point, "point")), state, why.empty() ? "" : ", " + why)});
}

nlohmann::json amend_params(const Command& command) {
  nlohmann::json out{{"name", command.name}};
  if (command.visit) out["visit"] = *command.visit;
  if (command.new_name) out["new_name"] = *command.new_name;
  if (command.new_code) out["code"] = *command.new_code;
  if (command.new_note) out["note"] = *command.new_note;
  if (command.again) out["again"] = true;
  if (command.is_new) out["new"] = true;
  if (command.make_void) out["void"] = true;
  if (!command.reason.empty()) out["reason"] = command.reason;
  return out;
}

OffsetTyped typed_offset(const Command& command) {
  OffsetTyped out;
  out.name = command.name;
  out.code = command.code;
  out.note = command.note;
  out.is_new = command.is_new;
  for (std::size_t i = 0; i < command.from.size(); ++i) {
    out.stays.push_back({command.from[i], {}, command.distances[i], ""});
    if (!command.from_visits.empty()) out.stays.back().visit = command.from_visits[i];
    if (!command.distance_errors.empty()) out.stays.back().error = command.distance_errors[i];
  }
  out.bearing = command.bearing;
  out.bearing_error = command.bearing_error;
  out.north = command.north;
  out.declination = command.declination;
  out.side = command.side;
  out.up = command.up;
  out.up_error = command.up_error;
  return out;
}

nlohmann::json params_of(const Command& command) {
  if (command.verb == "alerts") return {{"seen", command.seen}};
  if (command.verb == "begin") {
    nlohmann::json out{{"name", command.name}, {"again", command.again}};
    if (command.is_new) out["new"] = true;
    if (!command.code.empty()) out["code"] = command.code;
    if (!command.note.empty()) out["note"] = command.note;
    return out;
  }
  if (command.verb == "antenna" && (command.height_m || command.feet || !command.reason.empty())) {
    nlohmann::json out{{"reason", command.reason}};
    if (command.height_m) out["height_m"] = *command.height_m;
    if (command.feet) out["measured_ft"] = *command.feet;
    return out;
  }
  if (command.verb == "check") {
    nlohmann::json out{{"mark", command.name}};
    if (command.closing) out["closing"] = true;
    if (!command.turn.empty()) out["turn"] = command.turn;
    return out;
  }
  if (command.verb == "close-day") {
    nlohmann::json out = nlohmann::json::object();
    if (!command.leave_held.empty()) out["leave_held"] = command.leave_held;
    if (!command.leave_record.empty()) out["leave_record"] = command.leave_record;
    return out;
  }
  if (command.verb == "resolve") {
    nlohmann::json out{{"name", command.name}, {"accept", command.accept}, {"reason", command.reason}};
    if (command.visit) out["visit"] = *command.visit;
    if (command.sure) out["sure"] = true;
    return out;
  }
  if (command.verb == "amend") return amend_params(command);
  if (command.verb == "pole") return {{"height_m", *command.height_m}, {"reason", command.reason}};
  return nullptr;
}

/// The time of day that was typed, on the day of the receiver or, where that would still come, on the day before.
Outcome<std::string> since_utc(const Command& command, const Surroundings& around) {
  if (parse_utc(command.since)) return command.since;
  Command ask = command;
  ask.verb = "status";
  const auto status = ask_once(ask, around);
  if (!status) return tl::unexpected(status.error());
  const auto now = parse_utc(text_of(status->value, "time_utc"));
  if (!now) return tl::unexpected(Failure{kExitRefused, kSay.no_date_for_since()});
  const auto utc = utc_of_clock(command.since, *now, around.zone_now ? around.zone_now() : 0);
  if (!utc) return tl::unexpected(Failure{kExitUsage, kSay.since_is_no_time()});
  return to_text(*utc);
}

/// What is to be done of the plan, nearest first where the receiver says where the pole is.
Outcome<std::vector<std::string>> plan_lines(const Json& answer, const Command& command, const Surroundings& around) {
  Command ask = command;
  ask.verb = "status";
  const auto status = ask_once(ask, around);
  if (!status) return tl::unexpected(status.error());
  Day day;
  day.status = status->value;
  day.plan = list_of(answer, "plan");
  std::vector<std::string> out;
  for (const Planned& each : nearest_planned(day)) {
    std::string line = ascii(each.name) + "  " + way_text(each.way) + (each.again ? "  " + kSay.due_again() : "");
    for (const std::string& text : {each.code, each.note}) line += text.empty() ? "" : "  " + ascii(text);
    out.push_back(std::move(line));
  }
  const std::size_t all = day.plan.size();
  out.push_back(all == 0 ? kSay.no_plan() : kSay.plan_done(std::to_string(all - out.size()), std::to_string(all)));
  for (const char* key : {"warnings", "errors"}) {
    for (const Json& each : list_of(answer, key)) out.push_back(sentence(each.get<std::string>()));
  }
  return out;
}

/// What the screen says, and what rests behind it.
std::vector<std::string> status_lines(const Json& status, const Surroundings& around) {
  Day day;
  take_status(day, status, 0);
  Panel panel;
  panel.now.zone_s = around.zone_now ? around.zone_now() : 0;
  std::vector<std::string> out = plain_lines(day, panel, true);
  out.erase(std::remove(out.begin(), out.end(), std::string()), out.end());
  for (std::string& line : behind_lines(status)) out.push_back(std::move(line));
  return out;
}

void print_result(const Command& command, const Message& answer, const Surroundings& around, std::ostream& out) {
  const Json& value = answer.value;
  if (command.verb == "status") print(out, status_lines(value, around));
  if (command.verb == "points") {
    print(out, points_table(list_of(value, "points")));
    print(out, lost_lines(list_of(value, "lost_stays")));
    print(out, combined_lines(list_of(value, "combined")));
  }
  if (command.verb == "alerts") print(out, alert_lines(value));
  if (command.verb == "antenna" && !command.height_m) print(out, antenna_lines(value));
  if (command.verb == "antenna" && command.height_m) print(out, {sentence(text_of(value, "text"))});
  if (command.verb == "marks") print(out, mark_lines(value));
  if (command.verb == "keep" && value.contains("check")) print(out, check_lines(member(value, "check")));
  if (command.verb == "keep" && value.contains("point"))
    print(out, point_sentences(member(value, "point"), text_of(value, "storage")));
  if (command.verb == "close-day") print(out, close_lines(value));
  const bool told = command.verb == "begin" || command.verb == "check" || command.verb == "discard" ||
                    command.verb == "resolve" || command.verb == "amend" || command.verb == "pole" ||
                    command.verb == "offset";
  if (told) print(out, {sentence(text_of(value, "text"))});
  if (command.verb == "resolve") print(out, resolved_lines(value));
  if (command.verb == "offset") print(out, point_sentences(member(value, "point"), text_of(value, "storage")));
}

}  // namespace

Outcome<void> carry_out(const Command& command, const Surroundings& around, std::ostream& out) {
  const std::string path = socket_path(command.control, around);
  if (command.verb == "status" && command.follow) {
    const bool screen = around.terminal && !command.plain && !command.json;
    return screen ? watch(path, around, command.mute, out) : follow_status(path, around, command.json, out);
  }
  if (command.verb == "alerts" && command.follow)
    return follow_alerts(path, around, params_of(command), command.json, out);
  nlohmann::json params = params_of(command);
  if (command.verb == "pole" && !command.since.empty()) {
    const auto since = since_utc(command, around);
    if (!since) return tl::unexpected(since.error());
    params["since_utc"] = *since;
  }
  if (command.verb == "offset") {
    auto measured = offset_params(typed_offset(command));
    if (!measured) return tl::unexpected(Failure{kExitUsage, measured.error().text});
    params = std::move(*measured);
  }
  const auto answer = ask_once(command, around, params);
  if (!answer) return tl::unexpected(answer.error());
  if (command.json) {
    out << answer->text << '\n';
  } else if (command.verb == "plan") {
    const auto lines = plan_lines(answer->value, command, around);
    if (!lines) return tl::unexpected(lines.error());
    print(out, *lines);
  } else {
    print_result(command, *answer, around, out);
  }
  if (!out.flush()) return tl::unexpected(Failure{kExitRefused, kSay.output_lost()});
  if (answer->value.contains("check") && command.verb == "keep") return judge_check(member(answer->value, "check"));
  const bool makes_point = command.verb == "keep" || command.verb == "offset";
  return makes_point ? judge_point(member(answer->value, "point")) : Outcome<void>();
}

}  // namespace stillpoint::client
