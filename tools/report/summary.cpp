// Page 1: what a client reads.

#include <algorithm>
#include <cmath>

#include "base/number.hpp"
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

std::string title(const Facts& facts) {
  const std::string name = facts.project.empty() ? kSay.report() : facts.project;
  std::string when = kSay.no_times();
  if (facts.first && facts.last) {
    const std::string until = facts.clock.several_days()
                                  ? facts.clock.day(*facts.last) + ", " + facts.clock.minute(*facts.last)
                                  : facts.clock.at(*facts.last);
    when = kSay.report_of(facts.clock.day(*facts.first), facts.clock.minute(*facts.first), until);
    if (!facts.crews.empty()) when += " " + kSay.by_crew(joined(facts.crews, " and "));
    when += " " + kSay.times_are(facts.clock.told_in(*facts.first, *facts.last));
  }
  const std::string heights = facts.geoid.empty() ? kSay.heights_ellipsoid(facts.frame_name)
                                                  : kSay.heights_geoid(facts.frame_name, facts.geoid);
  return "<header class=\"title\">\n<h1" + std::string(name.size() > 42 ? " class=\"long\"" : "") + ">" +
         escaped(name) + "</h1>\n" + paragraph(when, "when") + paragraph(heights) + "</header>\n<main>\n";
}

/// What is held, not used and by whom it was decided, in a few sentences.
std::string why(const Facts& facts, const Answer& answer) {
  std::vector<std::string> parts = answer.withheld;
  if (parts.size() > 2) parts = {parts[0], parts[1], kSay.further_withheld(std::to_string(parts.size() - 2))};
  const auto tell = [&](Objection objection, const auto& one, const auto& many) {
    const auto points = points_with(facts, objection);
    if (points.size() == 1) parts.push_back(one(name_of(*points[0])));
    if (points.size() > 1) parts.push_back(many(std::to_string(points.size()), some_names(points)));
  };
  tell(Objection::held, kSay.one_held, kSay.some_held);
  tell(Objection::doubtful, kSay.one_doubtful, kSay.some_doubtful);
  tell(Objection::visits_apart, kSay.one_apart, kSay.some_apart);
  tell(Objection::misses_wanted, kSay.one_misses, kSay.some_miss);
  tell(Objection::unchecked, kSay.one_unchecked, kSay.some_unchecked);
  tell(Objection::no_second, kSay.one_empty, kSay.some_empty);
  tell(Objection::rejected, kSay.one_rejected, kSay.some_rejected);
  std::vector<const PointFact*> by_hand;
  for (const PointFact& fact : facts.points) {
    if (is_by_hand(fact.newest.point)) by_hand.push_back(&fact);
  }
  if (!by_hand.empty()) parts.push_back(kSay.some_by_hand(some_names(by_hand)));
  if (facts.closed && !facts.checks.empty() && facts.checks.back().passed)
    parts.push_back(kSay.closed_with_check(facts.checks.back().mark));
  return joined(parts, " ");
}

std::string question(const Facts& facts) {
  if (!facts.wanted) return kSay.can_be_used();
  return kSay.can_be_used_for(facts.measures.small_text(facts.wanted->horizontal_m),
                              facts.measures.small_text(facts.wanted->vertical_m));
}

std::string answer_part(const Facts& facts) {
  const Answer answer = answer_of(facts);
  return "<div class=\"answer\">\n<div>" + paragraph(question(facts)) + paragraph(short_answer(answer), "big") +
         "</div>\n<div>" + point_strip(facts) + paragraph(why(facts, answer)) + "</div>\n</div>\n";
}

std::string fact(std::string_view about, std::string_view number, std::string_view more) {
  return "<div><dt>" + said(about) + "</dt><dd>" + said(number) + "</dd><dd class=\"x\">" + said(more) +
         "</dd></div>\n";
}

std::string marks_fact(const Facts& facts) {
  const CheckSums& sums = facts.check_sums;
  if (sums.shots == 0) return fact(kSay.about_marks(), kSay.none_checked(), kSay.nothing_outside());
  const Measures& in = facts.measures;
  const std::string of = kSay.some_of(std::to_string(sums.passed), std::to_string(sums.shots));
  if (sums.with_height == 0) return fact(kSay.about_marks(), of, kSay.checks_in_plan(in.small_text(sums.worst_plan_m)));
  return fact(kSay.about_marks(), of,
              kSay.checks_at_most(in.small_text(sums.worst_plan_m), in.small(sums.worst_height_m)));
}

std::string corrections_fact(const Facts& facts) {
  if (facts.missing.empty()) return fact(kSay.about_corrections(), kSay.no_outage(), kSay.all_day_there());
  double sum_s = 0;
  for (const OutageFact& outage : facts.missing) sum_s += outage.lasted_s;
  const std::string first = facts.clock.at(facts.missing.front().from);
  return fact(kSay.about_corrections(), counted(facts.missing.size(), "outage"),
              facts.missing.size() == 1 ? kSay.outage_of(span(sum_s), first) : kSay.outages_of(span(sum_s), first));
}

std::string four_facts(const Facts& facts, const Errors& errors) {
  const Measures& in = facts.measures;
  const auto error = [&](std::string_view about, double most_m, double half_m) {
    if (errors.points == 0) return fact(about, kSay.not_known(), kSay.no_accepted_point());
    return fact(about, in.small_text(most_m), kSay.at_most_half(in.small_text(half_m)));
  };
  return "<dl class=\"facts\">\n" + error(kSay.about_plan(), errors.most_plan_m, errors.half_plan_m) +
         error(kSay.about_up(), errors.most_up_m, errors.half_up_m) + marks_fact(facts) + corrections_fact(facts) +
         "</dl>\n";
}

/// That the errors are the receiver's own claims, unless visits to marks have shown how good these are.
std::string calibration(const Facts& facts, const Errors& errors) {
  const bool unverified = std::any_of(facts.points.begin(), facts.points.end(), [](const PointFact& fact) {
    return fact.newest.point.status == PointStatus::accepted && has_flag(fact, "error-scale-not-verified");
  });
  if (!unverified || errors.points == 0) return {};
  const Measures& in = facts.measures;
  const std::string up = in.small(errors.most_up_m) + "\u00A0" + std::string(in.small_unit());
  return paragraph(kSay.nobody_calibrated(in.small(errors.most_plan_m), up), "limit");
}

std::string by_seconds(const Facts& facts, const Errors& errors) {
  if (errors.points == 0) return kSay.no_accepted_point();
  return kSay.lies_within(facts.measures.small_text(errors.most_plan_m), facts.measures.small_text(errors.most_up_m));
}

/// With enough marks what the standards say of them, else one sentence that they are too few.
std::string by_standards(const Facts& facts) {
  const auto& statement = facts.check_sums.statement;
  if (!statement) return {};
  if (!statement->nssda_enough_horizontal)
    return kSay.too_few_marks(counted(facts.check_sums.marks, "mark is", "marks are"),
                              std::to_string(control::kNssdaPoints), std::to_string(control::kAsprsPoints));
  const Measures& in = facts.measures;
  std::string out = kSay.tested_plan(in.small_text(statement->nssda_horizontal95_m));
  if (statement->nssda_enough_vertical) out += " " + kSay.tested_height(in.small_text(statement->nssda_vertical95_m));
  if (!statement->asprs_enough_horizontal)
    return out + " " + kSay.too_few_for_asprs(std::to_string(control::kAsprsPoints));
  return out + " " + kSay.asprs_rmse(in.small_text(statement->asprs_rmse_h_m));
}

std::string by_marks(const Facts& facts) {
  const CheckSums& sums = facts.check_sums;
  if (sums.shots == 0) return kSay.no_mark_shot();
  const Measures& in = facts.measures;
  const std::string shots = counted(sums.shots, "check"), marks = counted(sums.marks, "mark");
  const std::string differ =
      sums.with_height > 0
          ? kSay.checks_differ(shots, marks, in.small_text(sums.worst_plan_m), in.small_text(sums.worst_height_m))
          : kSay.checks_differ_in_plan(shots, marks, in.small_text(sums.worst_plan_m));
  return differ + " " + by_standards(facts);
}

std::string accuracy(const Facts& facts, const Errors& errors) {
  const auto column = [](std::string_view head, std::string_view text) {
    return "<div><h3>" + said(head) + "</h3>" + paragraph(text) + "</div>\n";
  };
  return "<h2 class=\"first\">" + kSay.how_accurate() + "</h2>\n<div class=\"three\">\n" +
         column(kSay.from_seconds(), by_seconds(facts, errors)) + column(kSay.from_marks(), by_marks(facts)) +
         column(kSay.not_covered(), kSay.not_covered_list()) + "</div>\n";
}

std::string signature_and_contents(const Facts& facts, std::size_t decisions) {
  std::string out =
      "<p class=\"signed\"><span>Name</span><span>Signature</span><span>Date</span></p>\n<ul class=\"contents\">";
  const auto item = [&](const std::string& id, const std::string& number, const std::string& text) {
    out += "<li><a href=\"#" + id + "\"><b>" + number + "</b>" + said(text) + "</a></li>";
  };
  item("s1", "1", kSay.points());
  item("s2", "2", kSay.checks_known_marks());
  item("s3", "3", kSay.corrections_of_day());
  item("s4", "4", decisions > 0 ? kSay.decisions_wanted() : kSay.decisions());
  item("a", needs_sheets(facts) ? "A\u2013F" : "A\u2013E", kSay.appendix());
  return out + "</ul>\n";
}

}  // namespace

std::string point_strip(const Facts& facts) {
  constexpr std::size_t kMost = 300;
  constexpr double kWide = 76;
  if (facts.points.empty() || facts.points.size() > kMost) return {};
  const auto n = static_cast<double>(facts.points.size());
  const double between = std::min(3.1, (kWide - 2) / std::min(n, 60.0)), r = std::min(1.05, between * 0.34);
  const auto in_row = static_cast<std::size_t>((kWide - 1) / between);
  const double rows = std::ceil(n / static_cast<double>(in_row)), high = 4.4 * r / 1.05;
  Svg svg(kWide, std::max(high * rows, 1.5));
  std::size_t i = 0;
  for (const PointFact& fact : facts.points) {
    const std::size_t row = i / in_row;
    const double x = 1 + between * (static_cast<double>(i % in_row) + 0.35);
    draw_sign(svg, sign_of(fact), x, high * (static_cast<double>(row) + 0.5), r);
    ++i;
  }
  const std::size_t accepted = count(facts, PointStatus::accepted), held = count(facts, PointStatus::held);
  return svg.html(kSay.strip_of_points(std::to_string(accepted), std::to_string(held),
                                       std::to_string(facts.points.size() - accepted - held)),
                  "strip");
}

std::string summary(const Facts& facts, std::size_t decisions) {
  const Errors errors = errors_of(facts);
  return title(facts) + "<section class=\"summary\" aria-label=\"Summary\">\n" + answer_part(facts) +
         four_facts(facts, errors) + calibration(facts, errors) + day_map(facts) + accuracy(facts, errors) +
         signature_and_contents(facts, decisions) + "</section>\n";
}

}  // namespace stillpoint::report
