// The tables of the report.

#include <algorithm>

#include "base/number.hpp"
#include "estimate/average.hpp"
#include "estimate/visits.hpp"
#include "report/html.hpp"
#include "report/page.hpp"
#include "report/sentences.hpp"
#include "report/words.hpp"

namespace stillpoint::report {
namespace {

std::string number(std::uint64_t value) {
  return std::to_string(value);
}

std::string worth_text(double effective_epochs) {
  return effective_epochs < estimate::kLessThanOne ? "moved" : fixed(effective_epochs, 1);
}

std::string remarks_of(const PointFact& fact) {
  const occupation::Point& point = fact.newest.point;
  std::vector<std::string> parts = point.reason_texts;
  if (!fact.doubt.empty()) parts.push_back("DOUBTFUL: " + fact.doubt);
  if (fact.newest.version > 1) parts.push_back("version " + std::to_string(fact.newest.version));
  if (!point.note.empty()) parts.push_back(point.note);
  return joined(parts, "; ");
}

bool is_projected(const Facts& facts) {
  for (const PointFact& fact : facts.points) {
    if (fact.newest.point.at && fact.newest.point.at->easting_m) return true;
  }
  return false;
}

std::string degrees(double value_deg) {
  return fixed(value_deg, 9);
}

std::vector<std::string> position_of(const occupation::Point& point, bool projected) {
  if (!point.at) return {"--", "--", "--", "--", "--"};
  const occupation::Coordinates& at = *point.at;
  std::vector<std::string> out;
  if (projected) {
    out = {plain_metres(at.northing_m), plain_metres(at.easting_m)};
  } else {
    out = {degrees(at.latitude_deg), degrees(at.longitude_deg)};
  }
  const bool has_level = at.orthometric_height_m.has_value();
  out.push_back(plain_metres(has_level ? at.orthometric_height_m : at.ellipsoid_height_m) + (has_level ? "" : " e"));
  out.push_back(plain_metres(at.error95_horizontal_m));
  out.push_back(plain_metres(at.error95_vertical_m));
  return out;
}

}  // namespace

std::string point_table(const Facts& facts) {
  const bool projected = is_projected(facts);
  Table table(kSay.points_in(facts.frame), {{"Point"},
                                            {"Status"},
                                            {"Code"},
                                            {projected ? "Northing, m" : kSay.latitude_degrees(), true},
                                            {projected ? "Easting, m" : kSay.longitude_degrees(), true},
                                            {"Height, m", true},
                                            {"Plan 95 %, m", true},
                                            {"Height 95 %, m", true}});
  for (const PointFact& fact : facts.points) {
    const occupation::Point& point = fact.newest.point;
    std::vector<std::string> cells{point_name(point.name, point.visit), std::string(to_word(point.status)), point.code};
    for (std::string& text : position_of(point, projected)) cells.push_back(std::move(text));
    const std::string_view look = point.status == occupation::PointStatus::accepted && fact.doubt.empty() ? "" : "look";
    table.row(cells, look);
    table.said(remarks_of(fact), look);
  }
  return table.html_or(kSay.no_point()) + paragraph(kSay.heights_explained());
}

std::string provenance_table(const Facts& facts) {
  Table table(kSay.where_from(), {{"Point"},
                                  {"Stay, UTC"},
                                  {kSay.source_station()},
                                  {kSay.coordinate_epoch(), true},
                                  {"Antenna, m", true},
                                  {"Counted", true},
                                  {"Refused", true},
                                  {"Worth", true},
                                  {"Scatter, m", true},
                                  {"Flags"}});
  for (const PointFact& fact : facts.points) {
    const occupation::Point& point = fact.newest.point;
    const auto station = point.station ? ", station " + std::to_string(*point.station) : std::string();
    const std::string until = point.finished_utc ? clock_text(*point.finished_utc) : "--";
    table.row({point_name(point.name, point.visit), moment(point.started_utc) + " to " + until, point.source + station,
               point.at ? fixed(point.at->coordinate_epoch, 3) : "--", plain_metres(point.antenna_height_m),
               number(point.epochs_used), number(point.epochs_refused),
               point.at ? worth_text(point.at->effective_epochs) : "--",
               plain_metres(point.at ? std::optional(point.at->repeatability_m) : std::nullopt),
               joined(point.flags, ", ")});
  }
  return table.html_or(kSay.no_point()) + paragraph(kSay.worth_explained());
}

namespace {

std::string left_out_text(const occupation::Combined& all) {
  std::string out;
  for (const occupation::LeftOut& each : all.left_out) {
    std::string why = each.why;
    std::replace(why.begin(), why.end(), '-', ' ');
    out += (out.empty() ? "" : "; ") + std::string("visit ") + std::to_string(each.visit) + ": " + why;
  }
  return out;
}

std::string together_table(const Facts& facts) {
  Table table(kSay.visits_together(), {{"Point"},
                                       {kSay.visits_that_count()},
                                       {kSay.apart_plan(), true},
                                       {kSay.apart_up(), true},
                                       {"Result"},
                                       {kSay.left_out()}});
  for (const occupation::Combined& all : facts.together) {
    std::vector<std::string> visits;
    for (const int visit : all.counted) visits.push_back("visit " + std::to_string(visit));
    const bool several = visits.size() > 1;
    table.row({all.name, visits.empty() ? "none" : joined(visits, ", "),
               several ? plain_metres(all.separation_m) : "--", several ? plain_metres(all.separation_up_m) : "--",
               !several       ? kSay.one_visit()
               : all.disagree ? "DISAGREE"
                              : "agree",
               left_out_text(all)},
              all.disagree ? "look" : "");
  }
  return table.empty() ? std::string() : table.html();
}

}  // namespace

std::string repeat_table(const Facts& facts) {
  Table table(kSay.visited_again(), {{"Point"},
                                     {"Visits"},
                                     {"Between", true},
                                     {"East, m", true},
                                     {"North, m", true},
                                     {"Up, m", true},
                                     {kSay.allowed_plan(), true},
                                     {kSay.allowed_height(), true},
                                     {"Result"}});
  for (const RepeatFact& repeat : facts.repeats) {
    table.row({repeat.name, std::to_string(repeat.first_visit) + " and " + std::to_string(repeat.second_visit),
               span(repeat.minutes_between * 60), plain_metres(repeat.east_m), plain_metres(repeat.north_m),
               plain_metres(repeat.up_m), plain_metres(repeat.allowed_plan_m), plain_metres(repeat.allowed_height_m),
               repeat.agree() ? "agree" : "DISAGREE"},
              repeat.agree() ? "" : "look");
  }
  return table.html_or(kSay.none_twice()) + together_table(facts) +
         (facts.together.empty() ? std::string()
                                 : paragraph(kSay.when_visits_count(fixed(estimate::kDisagreement, 1))));
}

std::string check_table(const Facts& facts) {
  Table table(kSay.shots_on_marks(), {{"Number"},
                                      {"Mark"},
                                      {"When, UTC"},
                                      {"Kind"},
                                      {"East, m", true},
                                      {"North, m", true},
                                      {"Up, m", true},
                                      {"Limits, m", true},
                                      {"Result"}});
  std::size_t count = 0;
  for (const pointbook::CheckShot& shot : facts.checks) {
    table.row({std::to_string(++count), shot.mark, moment(shot.utc), shot.kind, plain_metres(shot.off_east_m),
               plain_metres(shot.off_north_m), plain_metres(shot.off_up_m),
               plain_metres(shot.limit_horizontal_m) + " / " + plain_metres(shot.limit_vertical_m),
               shot.passed ? "passed" : "FAILED"},
              shot.passed ? "" : "look");
    table.said(shot.text + "." + (shot.diagnosis.empty() ? "" : " " + shot.diagnosis), shot.passed ? "" : "look");
  }
  return table.html_or(kSay.no_mark_checked());
}

std::string refusal_tables(const Facts& facts) {
  const EpochSums& sums = facts.sums;
  Table table(kSay.refused_by_reason(), {{"Reason"}, {kSay.first_reason(), true}, {kSay.among_reasons(), true}});
  std::uint64_t total = 0;
  for (const RefusalFact& each : sums.refusals) {
    total += each.counted_here;
    table.row({reason_words(gate::to_word(each.reason)), number(each.counted_here), number(each.mentioned)});
  }
  if (!table.empty()) table.row({"Sum", number(total), "not a sum"}, "sum");
  Table proof(kSay.do_sums_agree(), {{"Seconds"}, {kSay.points(), true}, {kSay.stored_beside_them(), true}});
  proof.row({"counted", number(sums.points_used), number(sums.rows_used)});
  proof.row({"refused", number(sums.points_refused), number(sums.rows_refused)});
  proof.row({"together", number(sums.points_used + sums.points_refused), number(sums.rows_used + sums.rows_refused)},
            "sum");
  std::string verdict = sums.agree() ? kSay.sums_agree() : "THE SUMS DO NOT AGREE.";
  if (sums.stays_without_rows > 0) verdict += kSay.without_seconds(counted(sums.stays_without_rows, "stay"));
  return table.html_or(kSay.all_counted()) + paragraph(kSay.reasons_explained()) + proof.html() + paragraph(verdict);
}

namespace {

template <class Take>
std::string alerts_html(const Facts& facts, const std::string& caption, const std::string& none, Take take) {
  Table table(caption, {{"From, UTC"}, {"Until"}, {"Lasted", true}, {kSay.what_said()}});
  double sum_s = 0;
  for (const AlertFact& alert : facts.alerts) {
    if (!take(alert)) continue;
    // What began by the computer's clock and ended by the receiver's may end before it began: no length is told then.
    const bool known = alert.until && *alert.until >= alert.from;
    const double lasted_s = known ? seconds_between(alert.from, *alert.until) : 0;
    sum_s += lasted_s;
    table.row({moment(alert.from), alert.until ? clock_text(*alert.until) : kSay.not_over(),
               known ? span(lasted_s) : "--", alert.text});
  }
  if (!table.empty() && sum_s > 0) table.row({"Sum", "", span(sum_s), ""}, "sum");
  return table.html_or(none);
}

}  // namespace

std::string outage_table(const Facts& facts) {
  Table sums(kSay.outages_summed_up(), {{kSay.over_utc()}, {kSay.what_said()}});
  for (const pointbook::Event& event : facts.outages) sums.row({moment(event.utc), event.text});
  return (sums.empty() ? std::string() : sums.html()) +
         alerts_html(facts, kSay.correction_alerts(), kSay.no_correction_alert(),
                     [](const AlertFact& alert) { return alert.outage; });
}

std::string noted_table(const Facts& facts) {
  Table table(kSay.what_else_noted(), {{"When, UTC"}, {"Kind"}, {kSay.what_said()}});
  for (const pointbook::Event& event : facts.noted) table.row({moment(event.utc), event.kind, event.text});
  return table.empty() ? std::string() : table.html();
}

std::string jump_table(const Facts& facts) {
  return alerts_html(facts, kSay.jumps(), kSay.no_jump(),
                     [](const AlertFact& alert) { return alert.key == "position-jump"; });
}

std::string alert_table(const Facts& facts) {
  return alerts_html(facts, kSay.other_alerts(), kSay.no_other_alert(),
                     [](const AlertFact& alert) { return !alert.outage && alert.key != "position-jump"; });
}

std::string change_table(const Facts& facts) {
  Table table(kSay.what_people_did(), {{"When, UTC"}, {"Who"}, {"What"}, {"Why"}});
  for (const ChangeFact& change : facts.changes)
    table.row({moment(change.when), change.who.empty() ? kSay.not_recorded() : change.who, change.what, change.why});
  return table.html_or(kSay.nothing_recorded());
}

std::string antenna_table(const Facts& facts) {
  Table table(kSay.antenna_above_mark(),
              {{"From, UTC"}, {"Height, m", true}, {"Parts, m"}, {kSay.second_reading_ft(), true}, {"Why"}});
  for (const pointbook::AntennaSetup& setup : facts.antennas) {
    std::vector<std::string> parts;
    for (const auto& [name, part_m] : setup.vertical_parts_m) parts.push_back(name + " " + plain_metres(part_m));
    if (setup.slant_length_m) parts.push_back("slant " + plain_metres(setup.slant_length_m));
    if (setup.already_reduced_by_receiver) parts.emplace_back(kSay.subtracted_by_receiver());
    table.row({moment(setup.utc), plain_metres(setup.height_m), joined(parts, ", "),
               setup.also_measured_ft ? fixed(*setup.also_measured_ft, 3) : "none", setup.reason});
  }
  return table.html_or(kSay.no_antenna_height_recorded());
}

}  // namespace stillpoint::report
