#include "report/standing.hpp"

#include <algorithm>

#include "base/number.hpp"
#include "occupation/offset_point.hpp"
#include "report/printed.hpp"
#include "report/sentences.hpp"

namespace stillpoint::report {

using occupation::HoldReason;
using occupation::PointStatus;

namespace {

bool visits_are_apart(const Facts& facts, const occupation::Point& point) {
  const bool together = std::any_of(facts.together.begin(), facts.together.end(),
                                    [&](const auto& all) { return all.disagree && all.name == point.name; });
  return together || std::any_of(facts.repeats.begin(), facts.repeats.end(), [&](const RepeatFact& repeat) {
           return !repeat.agree() && repeat.name == point.name &&
                  (repeat.first_visit == point.visit || repeat.second_visit == point.visit);
         });
}

bool is_unchecked(const Facts& facts, const occupation::Point& point) {
  return !facts.checks.empty() && point.finished_utc && *point.finished_utc > facts.checks.back().utc;
}

/// A few words for the table; the decision has the sentence.
std::string words_of(HoldReason reason, const occupation::Point& point) {
  switch (reason) {
    case HoldReason::too_few_epochs:
    case HoldReason::too_short:
      return kSay.only_seconds(std::to_string(point.epochs_used));
    case HoldReason::unresolved:
      return kSay.two_places();
    case HoldReason::interrupted:
      return "interrupted";
    case HoldReason::overlap_check_due:
    case HoldReason::check_failed:
      return reason == HoldReason::check_failed ? kSay.check_had_failed() : kSay.check_was_due();
    case HoldReason::visits_disagree:
      return kSay.visits_differ();
    case HoldReason::not_delivered:
      return kSay.no_coordinates();
    case HoldReason::drifting:
      return "drifts";
    case HoldReason::geoid_contradicted:
      return kSay.geoid_in_doubt();
    case HoldReason::pole_wrong:
      return kSay.pole_was_wrong();
    case HoldReason::stay_held:
      return kSay.stay_is_held();
    case HoldReason::base_changed:
      return kSay.base_had_changed();
    case HoldReason::frame_contradicted:
      return kSay.frame_in_doubt();
  }
  return {};
}

}  // namespace

bool misses_wanted(const Facts& facts, const PointFact& fact) {
  const auto& at = fact.newest.point.at;
  return facts.wanted && at &&
         (at->error95_horizontal_m > facts.wanted->horizontal_m ||
          occupation::told_vertical95_m(fact.newest.point).value_or(0) > facts.wanted->vertical_m);
}

Objection objection_to(const Facts& facts, const PointFact& fact) {
  const occupation::Point& point = fact.newest.point;
  if (point.status == PointStatus::rejected) return Objection::rejected;
  if (point.status == PointStatus::held) return Objection::held;
  if (point.status == PointStatus::none || !point.at) return Objection::no_second;
  if (!fact.doubt.empty()) return Objection::doubtful;
  if (visits_are_apart(facts, point)) return Objection::visits_apart;
  if (misses_wanted(facts, fact)) return Objection::misses_wanted;
  return is_unchecked(facts, point) ? Objection::unchecked : Objection::none;
}

Answer answer_of(const Facts& facts) {
  Answer out;
  out.of = facts.points.size();
  out.yes = points_with(facts, Objection::none).size();
  if (facts.training) out.withheld.push_back(kSay.it_was_training());
  if (!facts.damage.empty()) out.withheld.push_back(kSay.rows_are_damaged(counted(facts.damage.size(), "row")));
  if (facts.spool_waits) out.withheld.push_back(kSay.points_wait());
  if (!facts.sums.agree()) out.withheld.push_back(kSay.sums_differ());
  if (!facts.merge_conflicts.empty())
    out.withheld.push_back(kSay.books_contradict(counted(facts.merge_conflicts.size(), "place")));
  if (!facts.closed) out.withheld.push_back(kSay.day_was_not_closed());
  if (facts.checks.empty()) out.withheld.push_back(kSay.no_mark_shot());
  return out;
}

std::string short_answer(const Answer& answer) {
  if (answer.of == 0) return kSay.no_points();
  if (!answer.withheld.empty()) return kSay.not_yet();
  if (answer.of == 1) return answer.yes == 1 ? "Yes." : "No.";
  if (answer.yes == 0) return kSay.none_of(std::to_string(answer.of));
  if (answer.yes == answer.of) return kSay.all_yes(std::to_string(answer.of));
  return kSay.some_yes(std::to_string(answer.yes), std::to_string(answer.of));
}

std::vector<const PointFact*> points_with(const Facts& facts, Objection objection) {
  std::vector<const PointFact*> out;
  for (const PointFact& fact : facts.points) {
    if (objection_to(facts, fact) == objection) out.push_back(&fact);
  }
  return out;
}

std::string some_names(const std::vector<const PointFact*>& points, std::size_t most) {
  std::string out;
  const std::size_t named = points.size() <= most + 1 ? points.size() : most;
  for (std::size_t i = 0; i < named; ++i) {
    const bool last = i + 1 == named && named == points.size();
    out += (i == 0 ? "" : last ? " and " : ", ") + name_of(*points[i]);
  }
  return named == points.size() ? out : kSay.and_more(out, std::to_string(points.size() - named));
}

std::string short_reason(const Facts& facts, const PointFact& fact) {
  const occupation::Point& point = fact.newest.point;
  switch (objection_to(facts, fact)) {
    case Objection::rejected:
      return fact.newest.change_reason;
    case Objection::held:
      if (!point.reasons.empty()) return words_of(point.reasons.front(), point);
      return misses_wanted(facts, fact) ? kSay.above_wanted() : joined(point.reason_texts, "; ");
    case Objection::no_second:
      return kSay.nothing_counts();
    case Objection::doubtful:
      return "doubtful";
    case Objection::visits_apart:
      return kSay.visits_differ();
    case Objection::misses_wanted:
      return kSay.above_wanted();
    case Objection::unchecked:
      return kSay.no_check_after();
    case Objection::none:
      return is_by_hand(point) ? kSay.accepted_hand() : std::string();
  }
  return {};
}

}  // namespace stillpoint::report
