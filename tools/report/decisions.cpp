// What somebody must decide: a question, what is so, what speaks for it.

#include <algorithm>
#include <cmath>

#include "base/number.hpp"
#include "occupation/offset_point.hpp"
#include "report/printed.hpp"
#include "report/sentences.hpp"
#include "report/signs.hpp"
#include "report/standing.hpp"

namespace stillpoint::report {

using occupation::HoldReason;
using occupation::PointStatus;

namespace {

std::string question_of(const Facts& facts, const PointFact& fact) {
  const occupation::Point& point = fact.newest.point;
  if (point.status == PointStatus::none) return kSay.ask_measure_again();
  switch (point.reasons.empty() ? HoldReason::unresolved : point.reasons.front()) {
    case HoldReason::too_few_epochs:
    case HoldReason::too_short:
      return kSay.ask_long_enough();
    case HoldReason::interrupted:
      return kSay.ask_belong_together();
    case HoldReason::overlap_check_due:
      return kSay.ask_without_check();
    case HoldReason::check_failed:
      return kSay.ask_despite_check();
    case HoldReason::visits_disagree:
      return kSay.ask_which_visit();
    case HoldReason::not_delivered:
      return kSay.ask_other_coordinates();
    case HoldReason::drifting:
      return kSay.ask_what_moved();
    case HoldReason::geoid_contradicted:
      return kSay.ask_which_geoid();
    case HoldReason::pole_wrong:
      return kSay.ask_redo();
    case HoldReason::stay_held:
      return kSay.ask_about_stay();
    case HoldReason::base_changed:
      return kSay.ask_which_base();
    case HoldReason::frame_contradicted:
      return kSay.ask_which_frame();
    case HoldReason::unresolved:
      break;
  }
  if (point.reasons.empty()) return misses_wanted(facts, fact) ? kSay.ask_good_enough() : kSay.ask_may_stay();
  return kSay.ask_which_place();
}

std::string sentence_of(std::string text) {
  if (text.empty()) return text;
  if (text.front() >= 'a' && text.front() <= 'z') text.front() = static_cast<char>(text.front() - 'a' + 'A');
  if (!text.ends_with('.') && !text.ends_with('?')) text += '.';
  return text;
}

std::string reasons_text(const occupation::Point& point) {
  std::string out;
  for (std::string text : point.reason_texts) {
    if (const auto at = text.find("epochs"); at != std::string::npos) text.replace(at, 6, "seconds");
    out += (out.empty() ? "" : " ") + sentence_of(std::move(text));
  }
  return out;
}

std::string errors_text(const Facts& facts, const occupation::Point& point) {
  if (!point.at) return {};
  const Measures& in = facts.measures;
  const double plan_m = point.at->error95_horizontal_m, height_m = point.at->error95_vertical_m;
  if (occupation::has_no_height(point)) return kSay.error_without_height(in.small_text(plan_m));
  if (!facts.wanted) return kSay.errors_are(in.small_text(plan_m), in.small_text(height_m));
  return kSay.errors_and_wanted(in.small_beside(plan_m, facts.wanted->horizontal_m), in.small_unit(),
                                in.small_beside(height_m, facts.wanted->vertical_m),
                                in.small(facts.wanted->horizontal_m), in.small(facts.wanted->vertical_m));
}

std::string seconds_text(const PointFact& fact) {
  const occupation::Point& point = fact.newest.point;
  if (!point.measures.empty()) return kSay.nobody_stood();
  std::size_t apart = 0;
  if (fact.epochs != nullptr) {
    for (const occupation::EpochRecord& epoch : *fact.epochs) {
      if (second_of(epoch) == Second::set_apart) ++apart;
    }
  }
  const std::string used = std::to_string(point.epochs_used), refused = std::to_string(point.epochs_refused);
  const bool told = std::any_of(point.reasons.begin(), point.reasons.end(),
                                [](HoldReason reason) { return reason == HoldReason::too_few_epochs; });
  if (told && apart == 0) return kSay.seconds_not_counted(refused);
  return apart > 0 ? kSay.seconds_and_apart(used, refused, std::to_string(apart)) : kSay.seconds_of_stay(used, refused);
}

/// The check that is nearest in time: nothing else outside the receiver speaks for a point.
std::string nearest_check(const Facts& facts, const occupation::Point& point) {
  const pointbook::CheckShot* nearest = nullptr;
  double apart_s = 0;
  for (const pointbook::CheckShot& shot : facts.checks) {
    if (!point.finished_utc) break;
    const double off_s = seconds_between(*point.finished_utc, shot.utc);
    if (nearest != nullptr && std::abs(off_s) >= std::abs(apart_s)) continue;
    nearest = &shot;
    apart_s = off_s;
  }
  if (nearest == nullptr) return kSay.no_check_near();
  const std::string when = std::to_string(std::llround(std::abs(apart_s) / 60));
  const std::string off = facts.measures.small_text(std::hypot(nearest->off_east_m, nearest->off_north_m));
  const auto& say = apart_s >= 0 ? kSay.check_after : kSay.check_before;
  return say(nearest->mark, when, off, nearest->passed ? "within" : "beyond");
}

std::string what_speaks_for(const Facts& facts, const PointFact& fact) {
  const occupation::Point& point = fact.newest.point;
  std::string out;
  if (point.at && point.epochs_used > 1)
    out = kSay.scatter_is(facts.measures.small_text(point.at->repeatability_m)) + " ";
  return out + nearest_check(facts, point);
}

void decide_about(const Facts& facts, const PointFact& fact, std::vector<Decision>& out) {
  const occupation::Point& point = fact.newest.point;
  if (point.status != PointStatus::held && point.status != PointStatus::none) return;
  Decision decision;
  decision.question = kSay.of_point(name_of(fact), question_of(facts, fact));
  for (const std::string& part : {reasons_text(point), seconds_text(fact), errors_text(facts, point)}) {
    if (!part.empty()) decision.so += (decision.so.empty() ? "" : " ") + part;
  }
  if (!fact.doubt.empty()) decision.so += " " + kSay.also_doubtful(fact.doubt);
  decision.for_it = what_speaks_for(facts, fact);
  decision.choices = Choices::point;
  decision.point = &fact;
  out.push_back(std::move(decision));
}

void decide(std::vector<Decision>& out, const std::string& question, std::string so, std::string for_it = {}) {
  out.push_back({question, std::move(so), std::move(for_it), Choices::day, nullptr});
}

/// A failed check, with all that it makes doubtful.
void decide_about_checks(const Facts& facts, std::vector<Decision>& out) {
  std::size_t number = 0;
  for (const pointbook::CheckShot& shot : facts.checks) {
    ++number;
    if (shot.passed) continue;
    std::vector<const PointFact*> doubtful;
    for (const PointFact& fact : facts.points) {
      const bool counts = fact.newest.point.status != PointStatus::rejected;
      if (fact.doubted_by == number && counts) doubtful.push_back(&fact);
    }
    std::string so = kSay.check_was_off(shot.mark, facts.clock.at(shot.utc),
                                        facts.measures.distance_text(std::hypot(shot.off_east_m, shot.off_north_m)),
                                        facts.measures.small_text(shot.limit_horizontal_m));
    if (!doubtful.empty()) so += " " + kSay.doubtful_are(counted(doubtful.size(), "point"), some_names(doubtful, 12));
    decide(out, kSay.ask_failed_check(shot.mark, facts.clock.at(shot.utc)), std::move(so), shot.diagnosis);
  }
}

void decide_about_visits(const Facts& facts, std::vector<Decision>& out) {
  for (const occupation::Combined& all : facts.together) {
    if (!all.disagree) continue;
    decide(out, kSay.ask_visits(all.name),
           kSay.visits_lie_apart(facts.measures.distance_text(all.separation_m),
                                 facts.measures.distance_text(all.separation_up_m)),
           kSay.never_average());
  }
  for (const RepeatFact& repeat : facts.repeats) {
    const bool told = std::any_of(facts.together.begin(), facts.together.end(), [&](const occupation::Combined& all) {
      return all.name == repeat.name && all.disagree;
    });
    if (told || repeat.agree()) continue;
    decide(out,
           kSay.ask_two_visits(repeat.name, std::to_string(repeat.first_visit), std::to_string(repeat.second_visit)),
           kSay.visits_lie_apart(facts.measures.distance_text(std::hypot(repeat.east_m, repeat.north_m)),
                                 facts.measures.distance_text(std::abs(repeat.up_m))),
           kSay.never_average());
  }
  for (const std::string& conflict : facts.merge_conflicts) decide(out, kSay.ask_merging(), sentence_of(conflict));
}

void decide_about_the_day(const Facts& facts, std::vector<Decision>& out) {
  if (!facts.damage.empty())
    decide(out, kSay.ask_damage(), kSay.rows_are_damaged(counted(facts.damage.size(), "row")), kSay.against_damage());
  if (facts.spool_waits) decide(out, kSay.ask_spool(), kSay.points_wait(), kSay.against_waiting());
  if (!facts.sums.agree()) decide(out, kSay.ask_sums(), kSay.sums_differ());
  if (!facts.closed) decide(out, kSay.ask_closing(), kSay.day_was_not_closed(), kSay.why_closing());
  if (facts.checks.empty()) decide(out, kSay.ask_unchecked_day(), kSay.no_mark_shot(), kSay.why_checks());
}

void decide_about_groups(const Facts& facts, std::vector<Decision>& out) {
  if (const auto late = points_with(facts, Objection::unchecked); !late.empty())
    decide(out, kSay.ask_unchecked(), kSay.unchecked_are(counted(late.size(), "point"), some_names(late, 12)));
  const auto missed = points_with(facts, Objection::misses_wanted);
  if (missed.empty()) return;
  double plan_m = 0, height_m = 0;
  for (const PointFact* fact : missed) {
    plan_m = std::max(plan_m, fact->newest.point.at->error95_horizontal_m);
    height_m = std::max(height_m, occupation::told_vertical95_m(fact->newest.point).value_or(0));
  }
  decide(
      out, kSay.ask_good_enough(),
      kSay.missed_by(counted(missed.size(), "accepted point"), some_names(missed, 12),
                     facts.measures.small_beside(plan_m, facts.wanted->horizontal_m), facts.measures.small_unit(),
                     facts.measures.small_beside(height_m, facts.wanted->vertical_m),
                     facts.measures.small(facts.wanted->horizontal_m), facts.measures.small(facts.wanted->vertical_m)),
      kSay.only_the_wish());
}

}  // namespace

std::vector<Decision> decisions_of(const Facts& facts) {
  std::vector<Decision> out;
  decide_about_the_day(facts, out);
  decide_about_checks(facts, out);
  decide_about_groups(facts, out);
  decide_about_visits(facts, out);
  for (const PointFact& fact : facts.points) decide_about(facts, fact, out);
  return out;
}

}  // namespace stillpoint::report
