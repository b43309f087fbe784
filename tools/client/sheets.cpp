#include "client/sheets.hpp"

#include <algorithm>
#include <utility>

#include "base/number.hpp"
#include "client/methods.hpp"
#include "client/offset.hpp"
#include "client/offset_sheets.hpp"
#include "client/replies.hpp"
#include "client/screen_sentences.hpp"

namespace stillpoint::client {
namespace {

using Run = std::function<void(Desk&)>;

Sheet told(const std::string& title, const std::string& text) {
  Sheet out;
  out.title = title;
  out.text = text;
  return out;
}

// A new point.

/// The question stays, with what would make it right beside it; Back leads to the name again.
Sheet name_question(const std::string& text, char key, const std::string& label, const nlohmann::json& params) {
  Sheet out = told(kSayOnScreen.new_point(), text);
  out.choices = {{key, label, ascii(params["name"].get<std::string>()), [params](Desk& desk) {
                    desk.ask({kBegin, params, {}, {}, 0});
                  }}};
  return out;
}

void start(Desk& desk, const Day& day, const nlohmann::json& params) {
  const auto refused = [&day, params](Desk& at, const Failure& why) {
    const std::string name = params["name"];
    nlohmann::json surely = params;
    if (text_of(why.data, "question") == "name-near") {
      surely["new"] = true;
      const std::string near =
          kSayOnScreen.reads_like(cut(ascii(name), 30), cut(ascii(text_of(why.data, "candidate")), 30));
      return at.open(name_question(near, 'N', kSayOnScreen.it_is_new(), surely));
    }
    if (!is_known(day, name)) return at.explain(sentence(why.text));
    surely["again"] = true;
    at.open(name_question(kSayOnScreen.known_already(cut(ascii(name), 40)), 'A', kSayOnScreen.visit_again(), surely));
  };
  desk.ask({kBegin, params, {}, refused, 0});
}

// The fields of a new point.

Sheet with_name_fields(Sheet sheet, const Day& day, const Planned& offered) {
  sheet.fields = {{"Name", offered.name}, {"Code", offered.code, "none"}, {"Note", offered.note, "none", false}};
  sheet.yes = "Start";
  sheet.done = [&day, offered](Desk& desk) {
    nlohmann::json params{{"name", desk.value(0)}};
    if (desk.value(0).empty()) return desk.explain(kSayOnScreen.needs_name());
    if (!desk.value(1).empty()) params["code"] = desk.value(1);
    if (!desk.value(2).empty()) params["note"] = desk.value(2);
    if (offered.again && desk.value(0) == offered.name) params["again"] = true;
    start(desk, day, params);
  };
  return sheet;
}

/// A planned point that is this near is taken for the one that is meant.
constexpr double kHere_m = 10;

Sheet planned_sheet(const Day& day, const Planned& planned) {
  const std::string name = cut(ascii(planned.name), 26), way = way_text(planned.way);
  Sheet out = told(kSayOnScreen.new_point(),
                   planned.again ? kSayOnScreen.planned_again(name, way) : kSayOnScreen.planned_here(name, way));
  if (planned.way.far_m.value_or(0) > kHere_m) out.text = kSayOnScreen.planned_far(name, way);
  return with_name_fields(std::move(out), day, planned);
}

Sheet plan_sheet(const Day& day) {
  Sheet out = told(kSayOnScreen.planned_points(), kSayOnScreen.nothing_planned());
  for (const Planned& planned : nearest_planned(day)) {
    out.choices.push_back({0, cut(ascii(planned.name), 26),
                           way_text(planned.way) + (planned.again ? ", " + kSayOnScreen.once_more() : std::string()),
                           [&day, planned](Desk& desk) { desk.open(planned_sheet(day, planned)); }});
  }
  if (!out.choices.empty())
    out.text = kSayOnScreen.choose_planned();
  else if (!day.plan.empty())
    out.text = kSayOnScreen.plan_is_done();
  out.anew = [&day] { return plan_sheet(day); };
  return out;
}

// A check on a mark.

Sheet check_sheet(const Day& day, bool closing) {
  Sheet out = told(closing ? kSayOnScreen.closing_check() : kSayOnScreen.check_a_mark(), kSayOnScreen.no_marks_set());
  for (const Mark& mark : nearest_marks(day)) {
    const auto begin = [name = mark.name, closing](Desk& desk) {
      nlohmann::json params{{"mark", name}};
      if (closing) params["closing"] = true;
      desk.ask({kCheck, params, {}, {}, 0});
    };
    out.choices.push_back({0, ascii(mark.name), way_text(mark.way), begin});
  }
  if (!out.choices.empty()) out.text = kSayOnScreen.stand_on_mark();
  out.anew = [&day, closing] { return check_sheet(day, closing); };
  return out;
}

// Points that are held.

/// A decision that misses the wanted error is asked about once more.
void decide(Desk& desk, const std::string& name, const nlohmann::json& params) {
  const auto refused = [name, params](Desk& at, const Failure& why) {
    if (text_of(why.data, "question") != "wanted-missed") return at.explain(sentence(why.text));
    nlohmann::json sure = params;
    sure["sure"] = true;
    Sheet out = told(kSayOnScreen.accept(cut(name, 40)),
                     kSayOnScreen.misses_wanted(cut(name, 40), length_text(number_of(why.data, "error95_horizontal_m")),
                                                length_text(number_of(why.data, "error95_vertical_m"))));
    out.choices = {{'A', kSayOnScreen.accept_although(), "", [sure](Desk& last) {
                      last.ask({kResolve, sure, {}, {}, 0});
                    }}};
    at.open(std::move(out));
  };
  desk.ask({kResolve, params, {}, refused, 0});
}

Sheet reason_sheet(const Json& point, bool accept) {
  const std::string name = ascii(text_of(point, "point"));
  Sheet out = told(accept ? kSayOnScreen.accept(cut(name, 40)) : kSayOnScreen.reject(cut(name, 40)), reasons_of(point));
  out.fields = {{"Reason", "", "", false}};
  out.yes = accept ? "Accept" : "Reject";
  out.done = [point, name, accept](Desk& desk) {
    const std::string reason = desk.value(0);
    if (reason.empty()) return desk.explain(kSayOnScreen.say_why());
    decide(desk, name,
           {{"name", text_of(point, "point")},
            {"visit", std::max(count_of(point, "visit"), 1LL)},
            {"accept", accept},
            {"reason", reason}});
  };
  return out;
}

Sheet decision_sheet(const Json& point) {
  Sheet out =
      told(kSayOnScreen.decide(cut(ascii(text_of(point, "point")), 40)), kSayOnScreen.held_because(reasons_of(point)));
  const auto with = [point](bool accept) -> Run {
    return [point, accept](Desk& desk) { desk.open(reason_sheet(point, accept)); };
  };
  out.choices = {{'A', "Accept", kSayOnScreen.all_the_same(), with(true)},
                 {'R', "Reject", kSayOnScreen.not_to_be_used(), with(false)}};
  return out;
}

Sheet held_sheet(const Day& day, const Now& now) {
  Sheet out = told(kSayOnScreen.held_points(), kSayOnScreen.none_held());
  for (const Json& point : held_points(day)) {
    out.choices.push_back({0, cut(ascii(text_of(point, "point")), 26),
                           local_short(text_of(point, "finished_utc"), now) + ", " + sizes_text(point),
                           [point](Desk& desk) { desk.open(decision_sheet(point)); }});
  }
  if (!out.choices.empty()) out.text = kSayOnScreen.choose_to_decide();
  out.anew = [&day, now] { return held_sheet(day, now); };
  return out;
}

// The pole.

/// Another height from now on, or since a time of before.
void change_pole(Desk& desk, const Day& day, const Now& now, const std::string& hint) {
  const auto new_m = typed_number(desk.value(0));
  if (!new_m) return desk.explain(hint);
  const std::string reason = desk.value(1), since = desk.value(2);
  if (reason.empty()) return desk.explain(kSayOnScreen.say_why());
  nlohmann::json params{{"height_m", *new_m}, {"reason", reason}};
  if (!since.empty()) {
    const auto here = parse_utc(text_of(day.status, "time_utc"));
    const auto utc = here ? utc_of_clock(since, *here, now.zone_s) : std::nullopt;
    if (!utc) return desk.explain(kSayOnScreen.type_since());
    params["since_utc"] = to_text(*utc);
  }
  desk.ask({kPole, params, {}, {}, 0});
}

Sheet pole_sheet(const Day& day, const Now& now) {
  const auto height_m = number_of(day.status, "antenna_height_m");
  const bool has_pole = number_of(member(day.antenna, "parts"), "pole").has_value();
  const std::string hint = has_pole ? kSayOnScreen.type_pole() : kSayOnScreen.type_height();
  Sheet out = told("Pole", hint);
  if (height_m && has_pole) out.text = kSayOnScreen.pole_now(pole_text(day), fixed(*height_m, 3));
  if (height_m && !has_pole) out.text = kSayOnScreen.antenna_now(fixed(*height_m, 3));
  out.fields = {{has_pole ? kSayOnScreen.pole_field() : kSayOnScreen.antenna_field(), "", "", false},
                {"Reason", "", "", false},
                {kSayOnScreen.wrong_since(), "", kSayOnScreen.from_now_on(), false}};
  out.yes = "Change";
  out.done = [&day, now, hint](Desk& desk) { change_pole(desk, day, now, hint); };
  return out;
}

// Closing the day.

void close_day(Desk& desk, const Day& day, const Now& now, const nlohmann::json& params);

Sheet leaving_sheet(const Day& day, const Now& now, const std::string& why) {
  Sheet out = told(kSayOnScreen.close_the_day(), why);
  out.fields = {{kSayOnScreen.left_because(), "", "", false}};
  out.yes = "Close";
  out.done = [&day, now](Desk& desk) {
    const std::string reason = desk.value(0);
    if (reason.empty()) return desk.explain(kSayOnScreen.say_why());
    close_day(desk, day, now, {{held_points(day).empty() ? "leave_record" : "leave_held", reason}});
  };
  return out;
}

Sheet close_sheet(const Day& day, const Now& now, const std::string& wrong) {
  Sheet out = told(kSayOnScreen.close_the_day(), wrong);
  const std::size_t held = held_points(day).size();
  if (wrong.empty() && !day.closing.empty())
    out.text = kSayOnScreen.closing_check_was(day.closing);
  else if (wrong.empty() && !day.marks.empty())
    out.text = kSayOnScreen.check_comes_last();
  if (held > 0) {
    out.choices.push_back({'H', kSayOnScreen.decide_held(std::to_string(held)), "",
                           [&day, now](Desk& desk) { desk.open(held_sheet(day, now)); }});
  }
  if (!day.marks.empty()) {
    out.choices.push_back(
        {'C', kSayOnScreen.make_closing_check(), "", [&day](Desk& desk) { desk.open(check_sheet(day, true)); }});
  }
  if (!wrong.empty()) {
    out.choices.push_back({'L', kSayOnScreen.leave_so(), "",
                           [&day, now, wrong](Desk& desk) { desk.open(leaving_sheet(day, now, wrong)); }});
  }
  out.yes = "Close";
  out.done = [&day, now](Desk& desk) { close_day(desk, day, now, nlohmann::json::object()); };
  return out;
}

/// Closing may want to be told why something is left as it is.
void close_day(Desk& desk, const Day& day, const Now& now, const nlohmann::json& params) {
  const auto done = [](Desk& at, const Json& result) {
    at.open(told(kSayOnScreen.day_is_closed(), sentence(text_of(result, "text"))));
  };
  const auto refused = [&day, now](Desk& at, const Failure& why) {
    at.open(close_sheet(day, now, sentence(why.text)));
  };
  desk.ask({kCloseDay, params, done, refused, 0});
}

// The points.

std::string place_text(const Json& point) {
  const auto easting_m = number_of(point, "easting_m"), northing_m = number_of(point, "northing_m");
  if (easting_m && northing_m) return fixed(*easting_m, 3) + " m, " + fixed(*northing_m, 3) + " m";
  const auto latitude = number_of(point, "latitude_deg"), longitude = number_of(point, "longitude_deg");
  return latitude && longitude ? fixed(*latitude, 9) + ", " + fixed(*longitude, 9) : kSayOnScreen.not_known();
}

/// A name that is taken or near is asked about, as that of a new point.
void amend(Desk& desk, const Day& day, const nlohmann::json& params) {
  const auto refused = [&day, params](Desk& at, const Failure& why) {
    const std::string name = params.value("new_name", "");
    const bool near = text_of(why.data, "question") == "name-near";
    if (!near && !is_known(day, name)) return at.explain(sentence(why.text));
    nlohmann::json surely = params;
    surely[near ? "new" : "again"] = true;
    const std::string text =
        near ? kSayOnScreen.reads_like(cut(ascii(name), 30), cut(ascii(text_of(why.data, "candidate")), 30))
             : kSayOnScreen.known_already(cut(ascii(name), 40));
    Sheet out = told(kSayOnScreen.amend_this(cut(ascii(params["name"].get<std::string>()), 40)), text);
    out.choices = {{near ? 'N' : 'A', near ? kSayOnScreen.it_is_new() : kSayOnScreen.visit_again(), ascii(name),
                    [surely](Desk& last) {
                      last.ask({kAmend, surely, {}, {}, 0});
                    }}};
    at.open(std::move(out));
  };
  desk.ask({kAmend, params, {}, refused, 0});
}

nlohmann::json which(const std::string& name, const Json& visit_of) {
  return {{"name", name}, {"visit", std::max(count_of(visit_of, "visit"), 1LL)}};
}

/// What is not changed is not sent. `of`: a kept point, or the open one, which wants no reason.
void send_changes(Desk& desk, const Day& day, const Json& of, const std::string& name, bool kept) {
  nlohmann::json params = which(name, of);
  if (desk.value(0) != name && !desk.value(0).empty()) params["new_name"] = desk.value(0);
  if (desk.value(1) != text_of(of, "code")) params["code"] = desk.value(1);
  if (kept && desk.value(2) != text_of(of, "note")) params["note"] = desk.value(2);
  if (!kept && !desk.value(2).empty()) params["note"] = desk.value(2);
  if (kept && desk.value(3).empty()) return desk.explain(kSayOnScreen.say_why());
  if (kept) params["reason"] = desk.value(3);
  amend(desk, day, params);
}

Sheet amend_sheet(const Day& day, const Json& of, const std::string& name, bool kept) {
  Sheet out = told(kSayOnScreen.amend_this(cut(ascii(name), 40)), "");
  out.fields = {{"Name", name}, {"Code", text_of(of, "code"), "none"}, {"Note", text_of(of, "note"), "none"}};
  if (kept) out.fields.push_back({"Reason", "", "", false});
  out.yes = "Change";
  out.done = [&day, of, name, kept](Desk& desk) { send_changes(desk, day, of, name, kept); };
  return out;
}

Sheet void_sheet(const Json& point) {
  const std::string name = text_of(point, "point");
  Sheet out = told(kSayOnScreen.void_this(cut(ascii(name), 40)), kSayOnScreen.stays_in_report());
  out.fields = {{"Reason", "", "", false}};
  out.yes = kSayOnScreen.make_void();
  out.done = [point, name](Desk& desk) {
    if (desk.value(0).empty()) return desk.explain(kSayOnScreen.say_why());
    nlohmann::json params = which(name, point);
    params["void"] = true;
    params["reason"] = desk.value(0);
    desk.ask({kAmend, params, {}, {}, 0});
  };
  return out;
}

Sheet point_sheet(const Day& day, const Json& point, const Now& now) {
  Sheet out = told(cut(ascii(text_of(point, "point")), 40), reasons_of(point));
  auto height_m = number_of(point, "orthometric_height_m");
  if (!height_m) height_m = number_of(point, "ellipsoid_height_m");
  const auto row = [&out](const std::string& label, const std::string& value) {
    out.body.push_back(padded(label, 9) + (value.empty() ? "none" : value));
  };
  row("Status", ascii(text_of(point, "status")) + ", " + local_short(text_of(point, "finished_utc"), now));
  row("Errors", sizes_text(point));
  row("Place", place_text(point));
  row("Height", height_m ? fixed(*height_m, 3) + " m" : kSayOnScreen.not_known());
  if (const std::string from = offset_text(point); !from.empty()) row("From", from);
  row("Code", ascii(text_of(point, "code")));
  row("Note", ascii(text_of(point, "note")));
  out.choices = {{'A', kSayOnScreen.amend(), kSayOnScreen.name_code_note(),
                  [&day, point](Desk& desk) { desk.open(amend_sheet(day, point, text_of(point, "point"), true)); }}};
  if (text_of(point, "status") == "accepted") {
    out.choices.push_back({'V', kSayOnScreen.make_void(), kSayOnScreen.wrong_mark(),
                           [point](Desk& desk) { desk.open(void_sheet(point)); }});
  }
  if (may_be_measured_from(point)) {
    out.choices.push_back({'O', kSayOnScreen.offset_point(), kSayOnScreen.not_stood_on(),
                           [&day, point](Desk& desk) { desk.open(offset_sheet(day, point)); }});
  }
  return out;
}

Sheet points_sheet(const Day& day, const Now& now) {
  Sheet out = told(kSayOnScreen.all_points(), kSayOnScreen.no_points_yet());
  if (const Json stay = open_point(day); stay.is_object() && !flag_of(stay, "check")) {
    const std::string name = text_of(stay, "name");
    out.choices.push_back({0, cut(ascii(name), 26), kSayOnScreen.it_is_open(),
                           [&day, stay, name](Desk& desk) { desk.open(amend_sheet(day, stay, name, false)); }});
  }
  for (auto at = day.points.rbegin(); at != day.points.rend(); ++at) {
    const Json& point = *at;
    out.choices.push_back({0, cut(ascii(text_of(point, "point")), 26),
                           ascii(text_of(point, "status")) + ", " + sizes_text(point),
                           [&day, point, now](Desk& desk) { desk.open(point_sheet(day, point, now)); }});
  }
  if (!day.points.empty()) out.text = kSayOnScreen.newest_first(std::to_string(day.points.size()));
  const Json& epoch = member(day.status, "epoch");
  const auto latitude = number_of(epoch, "latitude_deg"), longitude = number_of(epoch, "longitude_deg");
  if (latitude && longitude) out.text += " " + kSayOnScreen.pole_is_at(fixed(*latitude, 7), fixed(*longitude, 7));
  return out;
}

/// Beside the names of More.
std::string check_about(const Day& day) {
  const auto marks = nearest_marks(day);
  if (marks.empty()) return kSayOnScreen.no_marks();
  return ascii(marks.front().name) + (marks.front().way.far_m ? ", " + way_text(marks.front().way) : "");
}

std::string plan_about(const Day& day) {
  if (day.plan.empty()) return kSayOnScreen.no_plan();
  const std::string next = next_planned(day);
  return next.empty() ? kSayOnScreen.all_done() : next;
}

/// Without a way there where a point is open.
Choice unless_open(const Day& day, Choice choice) {
  if (open_point(day).is_object()) {
    choice.about = kSayOnScreen.point_open();
    choice.run = nullptr;
  }
  return choice;
}

}  // namespace

Sheet name_sheet(const Day& day) {
  const auto planned = nearest_planned(day);
  const bool is_here = !planned.empty() && planned.front().way.far_m.value_or(HUGE_VAL) <= kHere_m;
  if (is_here) return planned_sheet(day, planned.front());
  Sheet out = told(kSayOnScreen.new_point(), planned.empty() ? "" : kSayOnScreen.next_is_planned(next_planned(day)));
  const std::string code = day.last_code.empty() ? text_of(last_kept(day), "code") : day.last_code;
  return with_name_fields(std::move(out), day, {next_free_name(day), code});
}

Sheet help_sheet(bool narrow) {
  Sheet out = told("Help", "");
  if (narrow) {
    out.body = {kScreenLines.small_help_keys(), kScreenLines.small_help_other(), kScreenLines.small_help_frame(),
                kScreenLines.small_help_dark(), kScreenLines.small_help_bell()};
  } else {
    out.body = {kScreenLines.help_begin(), kScreenLines.help_discard(), kScreenLines.help_twice(),
                kScreenLines.help_seen(),  kScreenLines.help_more(),    kScreenLines.help_plate(),
                kScreenLines.help_half(),  kScreenLines.help_scales(),  kScreenLines.help_bell()};
  }
  return out;
}

Sheet more_sheet(const Day& day, const Now& now, bool narrow) {
  Sheet out = told("More", "");
  out.anew = [&day, now, narrow] { return more_sheet(day, now, narrow); };
  const std::size_t held = held_points(day).size();
  out.choices = {unless_open(day, {'C', kSayOnScreen.check_mark(), check_about(day),
                                   [&day](Desk& d) { d.open(check_sheet(day, false)); }}),
                 {'H', kSayOnScreen.held_points(), held == 0 ? "none" : kSayOnScreen.decide_count(std::to_string(held)),
                  [&day, now](Desk& d) { d.open(held_sheet(day, now)); }},
                 unless_open(day, {'G', kSayOnScreen.planned_points(), plan_about(day),
                                   [&day](Desk& d) { d.open(plan_sheet(day)); }}),
                 unless_open(day, {'P', kSayOnScreen.change_pole(), pole_text(day),
                                   [&day, now](Desk& d) { d.open(pole_sheet(day, now)); }}),
                 unless_open(day, {'D', kSayOnScreen.close_the_day(), day.closed ? kSayOnScreen.is_closed() : "",
                                   [&day, now](Desk& d) { d.open(close_sheet(day, now, "")); }}),
                 {'L', kSayOnScreen.all_points(), kSayOnScreen.count_in_all(std::to_string(day.points.size())),
                  [&day, now](Desk& d) { d.open(points_sheet(day, now)); }},
                 {'S', "Sound", kSayOnScreen.quiet_2_min(),
                  [](Desk& d) {
                    d.close();
                    d.put_aside(Desk::Aside::quiet);
                  }},
                 {'?', "Help", kSayOnScreen.keys_and_signs(), [narrow](Desk& d) { d.open(help_sheet(narrow)); }},
                 {'Q', "Leave", kSayOnScreen.goes_on(), [](Desk& d) { d.put_aside(Desk::Aside::leave); }}};
  return out;
}

}  // namespace stillpoint::client
