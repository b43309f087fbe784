#include <array>

#include "simulate/parts.hpp"
#include "simulate/said.hpp"

namespace stillpoint::simulate {
namespace {

using std::string_view;

constexpr std::array<string_view, 10> kHazard{"id",   "what", "move", "cost",  "from_s",
                                              "to_s", "mark", "said", "right", "points"};
constexpr config::KeyTable kHazardKeys{"hazard", kHazard};
constexpr std::array<string_view, 2> kCrew{"name", "actions"};
constexpr config::KeyTable kCrewKeys{"crew", kCrew};
constexpr std::array<string_view, 8> kAction{"at_s", "do", "name", "code", "note", "reason", "again", "visit"};
constexpr config::KeyTable kActionKeys{"actions", kAction};

Action read_action(Section& section) {
  Action out;
  section.read("at_s", out.at_s, {0, 86400, false, "s"}, Need::required);
  if (const auto act = section.choose("do", {"begin", "keep", "discard", "reject", "accept", "check", "close-day"},
                                      Need::required)) {
    out.act = static_cast<Act>(*act);
  }
  const bool named = out.act != Act::keep && out.act != Act::discard && out.act != Act::close_day;
  section.read("name", out.name, {kSay.a_point.words(), 60}, named ? Need::required : Need::optional);
  section.read("code", out.code, {"a code", 60});
  section.read("note", out.note, {"a note"});
  section.read("reason", out.reason, {"a reason"},
               out.act == Act::reject || out.act == Act::accept ? Need::required : Need::optional);
  section.read("again", out.again);
  section.read("visit", out.visit, {1, 1000, false, {}});
  return out;
}

}  // namespace

void read_hazards(Section& top, Scenario& out) {
  std::vector<std::string> marks;
  for (const Mark& mark : out.marks) marks.push_back(mark.name);
  for_each_table(top, "hazard", kHazardKeys, Need::optional, [&](Section& section) {
    Hazard h;
    section.read("id", h.id, {kSay.a_short_name.words(), 60}, Need::required);
    section.read("what", h.what, {kSay.what_happened.words(), 500}, Need::required);
    section.read("move", h.move, {kSay.the_right_move.words(), 500}, Need::required);
    section.read("cost", h.cost, {kSay.what_it_costs.words(), 500});
    read_span(section, h.when, out.seconds_s, Need::required);
    read_name(section, "mark", marks, kSay.a_mark(), Need::required);
    section.read("mark", h.mark, {kSay.a_mark.words()});
    h.said = read_texts(section, "said", kSay.alert_reason_or_flag(), {});
    const auto right =
        section.choose("right", {"good-point", "again", "not-accepted", "mark-measured", "waited"}, Need::required);
    if (right) h.right = static_cast<Right>(*right);
    section.read("points", h.points, {1, 1000, false, {}});
    out.hazards.push_back(std::move(h));
  });
}

void read_crews(Section& top, Scenario& out) {
  for_each_table(top, "crew", kCrewKeys, Need::optional, [&](Section& section) {
    Crew crew;
    section.read("name", crew.name, {kSay.the_crew.words(), 60}, Need::required);
    const Value* list = section.array("actions", "an array of actions { at_s, do, … }", Need::required);
    if (list == nullptr) return;
    for (const Value& item : list->items) {
      if (item.kind != Value::Kind::table) {
        section.complain_at(item.line, "actions", "holds " + config::describe(item) + ", give a table { at_s, do, … }");
        continue;
      }
      Section action(section.report(), &item, section.title() + "actions: ", kActionKeys, item.line);
      crew.actions.push_back(read_action(action));
      const auto n = crew.actions.size();
      if (n > 1 && crew.actions[n - 1].at_s < crew.actions[n - 2].at_s) {
        action.complain("at_s", kSay.action_out_of_order());
      }
    }
    out.crews.push_back(std::move(crew));
  });
}

}  // namespace stillpoint::simulate
