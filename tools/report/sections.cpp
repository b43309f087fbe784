// The numbered parts: points, checks on known marks, corrections through the day, decisions.

#include <algorithm>
#include <cmath>

#include "base/number.hpp"
#include "estimate/visits.hpp"
#include "occupation/offset_point.hpp"
#include "report/drawings.hpp"
#include "report/html.hpp"
#include "report/page.hpp"
#include "report/printed.hpp"
#include "report/sentences.hpp"
#include "report/signs.hpp"
#include "report/standing.hpp"

namespace stillpoint::report {
namespace {

using occupation::PointStatus;

std::string section(const std::string& id, bool on_new_page, const std::string& inner) {
  return "<section aria-labelledby=\"" + id + "\"" + (on_new_page ? " class=\"break\"" : "") + ">\n" + inner +
         "</section>\n\n";
}

// ---- 1 points

std::string what_signs_mean(const Facts& facts) {
  std::string out = "<p class=\"lead\">" + said(kSay.stays_of_day(counted(facts.points.size(), "stay"))) + " " +
                    sign_icon(Sign::accepted) + said(kSay.means_accepted()) + " " + sign_icon(Sign::held) +
                    said(kSay.means_held());
  if (count(facts, PointStatus::rejected) > 0) out += " " + sign_icon(Sign::rejected) + said(kSay.means_rejected());
  return out + "</p>\n";
}

std::vector<std::string> row_of(const Facts& facts, const PointFact& fact) {
  const occupation::Point& point = fact.newest.point;
  const Measures& in = facts.measures;
  const auto place = place_of(facts, fact);
  const auto plan_m = [&](double PlanPlace::*axis) {
    return place ? in.length((*place).*axis) : std::string(kSay.not_known());
  };
  const auto plan95_m = point.at ? std::optional(point.at->error95_horizontal_m) : std::nullopt;
  return {name_of(fact),
          is_by_hand(point) ? kSay.accepted_hand() : std::string(to_word(point.status)),
          point.code,
          plan_m(&PlanPlace::east_m),
          plan_m(&PlanPlace::north_m),
          in.length(height_m(facts, fact)),
          in.small(plan95_m),
          in.small(occupation::told_vertical95_m(point)),
          point.measures.empty() ? std::to_string(point.epochs_used) : "offset",
          facts.clock.at(point.finished_utc),
          short_reason(facts, fact)};
}

void add_sums(Table& table, const Facts& facts) {
  const Errors errors = errors_of(facts);
  if (errors.points == 0) return;
  const Measures& in = facts.measures;
  table.sum(kSay.largest_of_accepted(), 6, {in.small(errors.most_plan_m), in.small(errors.most_up_m)});
  table.sum(kSay.half_of_accepted(), 6, {in.small(errors.half_plan_m), in.small(errors.half_up_m)});
}

Table point_table(const Facts& facts) {
  const std::string unit(facts.measures.unit()), small(facts.measures.small_unit());
  const std::string from =
      facts.origin.name.empty() ? kSay.grid_of(facts.frame_name, unit) : kSay.from_origin(facts.origin.name, unit);
  Table table("points", kSay.points(),
              {{"Point", false, true},
               {"Status"},
               {"Code"},
               {"East", true},
               {"North", true},
               {"Height, " + unit, true},
               {"Horizontal", true},
               {"Vertical", true},
               {"Seconds", true},
               {kSay.kept_at(), true},
               {kSay.remark(), false, true}},
              {{from, 3, 2}, {kSay.error_in(small), 6, 2}});
  for (const PointFact& fact : facts.points) {
    const bool good = fact.newest.point.status == PointStatus::accepted;
    table.row(row_of(facts, fact), good ? "" : "look", sign_icon(sign_of(fact)));
    table.said_below(fact.newest.point.note);
  }
  add_sums(table, facts);
  return table;
}

/// Points that a hand accepted although a rule held them: with the rule, the name and the reason.
std::string accepted_by_hand(const Facts& facts) {
  std::string out;
  for (const PointFact& fact : facts.points) {
    const occupation::Point& point = fact.newest.point;
    if (!is_by_hand(point)) continue;
    out += paragraph(kSay.accepted_by_hand(name_of(fact), joined(point.reason_texts, "; "), fact.newest.changed_by,
                                           fact.newest.change_reason),
                     "more");
  }
  return out;
}

std::string point_notes(const Facts& facts) {
  std::string out = facts.geoid.empty() ? kSay.height_is_ellipsoid() : kSay.height_is_above(facts.geoid);
  out += " " + kSay.error_is();
  if (!facts.origin.name.empty()) out += " " + kSay.plane_at(facts.origin.name);
  if (facts.configuration) out += " " + kSay.seconds_asked(std::to_string(facts.configuration->occupation.min_epochs));
  return paragraph(out + " " + kSay.more_digits(), "note");
}

// ---- 2 checks

std::string check_table(const Facts& facts) {
  const std::string small(facts.measures.small_unit());
  Table table("checks", kSay.checks_known_marks(),
              {{"No."},
               {"Mark", false, true},
               {kSay.why_then()},
               {"Time", true},
               {"East", true},
               {"North", true},
               {"Off", true},
               {"Limit", true},
               {"Off", true},
               {"Limit", true},
               {"Result"}},
              {{kSay.plan_in(small), 4, 4}, {kSay.height_in(small), 8, 2}});
  const Measures& in = facts.measures;
  std::size_t number = 0;
  for (const pointbook::CheckShot& shot : facts.checks) {
    table.row(
        {std::to_string(++number), shot.mark, shot.kind, facts.clock.at(shot.utc), in.small_with_sign(shot.off_east_m),
         in.small_with_sign(shot.off_north_m), in.small(std::hypot(shot.off_east_m, shot.off_north_m)),
         in.small(shot.limit_horizontal_m), shot.off_up_m ? in.small_with_sign(*shot.off_up_m) : kSay.none_known(),
         shot.limit_vertical_m ? in.small(*shot.limit_vertical_m) : kSay.none_known(),
         shot.passed ? "within" : "FAILED"},
        shot.passed ? "" : "look");
    table.said_below(shot.diagnosis);
  }
  return table.html_or(kSay.no_mark_checked());
}

std::string repeat_table(const Facts& facts) {
  const std::string small(facts.measures.small_unit());
  const Measures& in = facts.measures;
  Table table("repeats", kSay.visited_again(),
              {{"Point", false, true},
               {"Visits"},
               {"Between", true},
               {"East", true},
               {"North", true},
               {"Up", true},
               {"Horizontal", true},
               {"Vertical", true},
               {"Result"}},
              {{kSay.second_minus_first(small), 3, 3}, {kSay.allowed(small), 6, 2}});
  for (const RepeatFact& repeat : facts.repeats) {
    table.row({repeat.name, kSay.both(std::to_string(repeat.first_visit), std::to_string(repeat.second_visit)),
               span(repeat.minutes_between * 60), in.small_with_sign(repeat.east_m), in.small_with_sign(repeat.north_m),
               in.small_with_sign(repeat.up_m), in.small(repeat.allowed_plan_m), in.small(repeat.allowed_height_m),
               repeat.agree() ? "agree" : "DISAGREE"},
              repeat.agree() ? "" : "look");
  }
  return table.html();
}

std::string left_out_text(const occupation::Combined& all) {
  std::string out;
  for (const occupation::LeftOut& each : all.left_out) {
    std::string why = each.why;
    std::replace(why.begin(), why.end(), '-', ' ');
    out += (out.empty() ? "" : "; ") + kSay.visit_left_out(std::to_string(each.visit), why);
  }
  return out;
}

std::string together_table(const Facts& facts) {
  Table table("together", kSay.visits_together(),
              {{"Point", false, true},
               {kSay.visits_that_count()},
               {kSay.apart_plan(), true},
               {kSay.apart_up(), true},
               {"Result"},
               {kSay.left_out(), false, true}});
  const Measures& in = facts.measures;
  for (const occupation::Combined& all : facts.together) {
    std::vector<std::string> visits;
    for (const int visit : all.counted) visits.push_back(std::to_string(visit));
    const bool several = visits.size() > 1;
    table.row({all.name, visits.empty() ? "none" : joined(visits, ", "),
               several ? in.small_text(all.separation_m) : kSay.none_known(),
               several ? in.small_text(all.separation_up_m) : kSay.none_known(),
               !several       ? kSay.one_visit()
               : all.disagree ? "DISAGREE"
                              : "agree",
               left_out_text(all)},
              all.disagree ? "look" : "");
  }
  return table.empty() ? std::string() : table.html();
}

std::string repeats(const Facts& facts) {
  if (facts.repeats.empty()) return {};
  return "<h3 class=\"apart\">" + kSay.visited_again() + "</h3>\n" + repeat_table(facts) + "<h3 class=\"apart\">" +
         kSay.visits_together() + "</h3>\n" + together_table(facts) +
         paragraph(kSay.when_visits_count(fixed(estimate::kDisagreement, 1)), "note");
}

// ---- 3 corrections

/// So many outages are told one by one in a sentence; more of them need a table.
constexpr std::size_t kToldInWords = 3;

std::string outage_table(const Facts& facts) {
  if (facts.missing.size() <= kToldInWords) return {};
  Table table("outages", kSay.correction_alerts(),
              {{"From"}, {"Until"}, {"Lasted", true}, {kSay.what_said(), false, true}});
  for (const AlertFact& alert : facts.alerts) {
    if (!alert.outage) continue;
    const bool known = alert.until && *alert.until >= alert.from;
    table.row({facts.clock.at(alert.from), alert.until ? facts.clock.at(*alert.until) : kSay.not_over(),
               known ? span(seconds_between(alert.from, *alert.until)) : kSay.not_known(), alert.text});
  }
  return "<h3 class=\"apart\">" + kSay.correction_alerts() + "</h3>\n" + table.html();
}

std::string outages_lead(const Facts& facts) {
  if (facts.missing.empty()) return kSay.no_correction_alert();
  double sum_s = 0;
  std::vector<std::string> each;
  for (const OutageFact& outage : facts.missing) {
    sum_s += outage.lasted_s;
    each.push_back(kSay.outage_told(span(outage.lasted_s), facts.clock.at(outage.from)));
  }
  const std::string number = counted(facts.missing.size(), "outage");
  return each.size() <= kToldInWords ? number + ": " + joined(each, ", ") + "."
                                     : kSay.outages_lasted(number, span(sum_s));
}

// ---- 4 decisions

std::string box(std::string_view text) {
  return "<span><i></i>" + said(text) + "</span>";
}

std::string boxes_of(Choices choices) {
  const std::string boxes = choices == Choices::point ? box("accept") + box("reject") + box(kSay.measure_again())
                                                      : box(kSay.put_right()) + box(kSay.let_stand());
  return "<p class=\"boxes\">" + boxes + "<span class=\"sign\">" + kSay.by_date() +
         "</span></p><p class=\"why\">why</p>";
}

std::string decision_html(const Facts& facts, const Decision& decision, std::size_t number) {
  const std::string drawing = decision.point != nullptr ? scatter(facts, *decision.point) : std::string();
  return "<article class=\"dec" + std::string(drawing.empty() ? "" : " drawn") + "\"><div class=\"decno\">" +
         std::to_string(number) + "</div><div><h3>" + said(decision.question) + "</h3>" + paragraph(decision.so) +
         paragraph(decision.for_it) + boxes_of(decision.choices) + "</div>" + drawing + "</article>\n";
}

}  // namespace

std::string points_section(const Facts& facts) {
  return section("s1", true,
                 heading("s1", "1", kSay.points()) + what_signs_mean(facts) +
                     point_table(facts).html_or(kSay.no_point()) + accepted_by_hand(facts) + point_notes(facts));
}

std::string checks_section(const Facts& facts) {
  const CheckSums& sums = facts.check_sums;
  const std::string lead = sums.shots == 0             ? kSay.no_mark_shot()
                           : sums.passed == sums.shots ? kSay.all_within(counted(sums.shots, "check"))
                                                       : kSay.some_failed(counted(sums.shots, "check"),
                                                                          std::to_string(sums.shots - sums.passed));
  return section("s2", true,
                 heading("s2", "2", kSay.checks_known_marks()) + paragraph(lead, "lead") +
                     (sums.shots == 0 ? std::string() : check_table(facts)) + check_drawings(facts) + repeats(facts));
}

std::string corrections_section(const Facts& facts) {
  return section("s3", false,
                 heading("s3", "3", kSay.corrections_of_day()) + paragraph(outages_lead(facts), "lead") +
                     day_strip(facts) + outage_table(facts));
}

std::string decisions_section(const Facts& facts) {
  const auto decisions = decisions_of(facts);
  if (decisions.empty())
    return section("s4", false, heading("s4", "4", kSay.decisions()) + paragraph(kSay.nothing_left(), "lead"));
  std::string out = heading("s4", "4", kSay.decisions_wanted()) +
                    paragraph(kSay.decisions_lead(counted(decisions.size(), "decision")), "lead");
  const auto drawn = std::find_if(decisions.begin(), decisions.end(),
                                  [](const Decision& decision) { return decision.point != nullptr; });
  if (drawn != decisions.end())
    out += "<p class=\"note above\">" + said(kSay.drawings_note()) + " <b>" +
           escaped(kSay.in_the_program(drawn->point->newest.point.name)) + "</b></p>\n";
  std::size_t number = 0;
  for (const Decision& decision : decisions) out += decision_html(facts, decision, ++number);
  return section("s4", true, out);
}

}  // namespace stillpoint::report
