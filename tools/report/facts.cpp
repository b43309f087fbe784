#include "report/facts.hpp"

#include <algorithm>
#include <set>

#include "base/number.hpp"
#include "pointbook/closings.hpp"
#include "pointbook/geometry.hpp"
#include "report/sentences.hpp"
#include "report/words.hpp"

namespace stillpoint::report {
namespace {

using occupation::PointStatus;

/// The newest version of every stay, with the epochs of whichever version brought them.
std::vector<PointFact> points_of(const pointbook::Contents& book) {
  std::vector<PointFact> out;
  std::map<std::pair<std::string, int>, std::size_t> place;
  for (const occupation::StoredPoint& stored : book.versions) {
    const auto [at, added] = place.try_emplace({stored.point.name, stored.point.visit}, out.size());
    if (added) out.emplace_back();
    PointFact& fact = out[at->second];
    if (added || stored.version > fact.newest.version) fact.newest = stored;
    const auto epochs = book.epochs.find(stored.uuid);
    if (epochs != book.epochs.end() && !epochs->second.empty()) fact.epochs = &epochs->second;
  }
  return out;
}

std::string doubt_before(const pointbook::CheckShot& failed, const pointbook::CheckShot* good) {
  return kSay.before_failed_check(good ? kSay.since_check(clock_text(good->utc)) : kSay.since_start(), failed.mark,
                                  clock_text(failed.utc));
}

/// A failed check makes doubtful what was measured since the last one that passed, and what comes after it until one
/// passes.
void mark_doubt(std::vector<PointFact>& points, const std::vector<pointbook::CheckShot>& checks) {
  for (PointFact& fact : points) {
    const auto& when = fact.newest.point.finished_utc;
    if (!when) continue;
    const pointbook::CheckShot *before = nullptr, *good = nullptr, *next = nullptr;
    for (const pointbook::CheckShot& shot : checks) {
      if (shot.utc < *when) {
        before = &shot;
        if (shot.passed) good = &shot;
      } else if (next == nullptr) {
        next = &shot;
      }
    }
    if (next != nullptr && !next->passed) {
      fact.doubt = doubt_before(*next, good);
    } else if (before != nullptr && !before->passed) {
      fact.doubt = kSay.after_failed_check(before->mark, clock_text(before->utc));
    }
  }
}

void count_row(const occupation::EpochRecord& epoch, EpochSums& sums) {
  if (epoch.accepted) {
    ++sums.rows_used;
    return;
  }
  ++sums.rows_refused;
  bool first = true;
  for (std::size_t i = 0; i < epoch.reasons.size(); ++i) {
    if (!epoch.reasons.test(i)) continue;
    ++sums.refusals[i].mentioned;
    if (std::exchange(first, false)) ++sums.refusals[i].counted_here;
  }
}

EpochSums sums_of_epochs(const std::vector<PointFact>& points) {
  EpochSums sums;
  sums.refusals.resize(gate::kReasonCount);
  for (std::size_t i = 0; i < sums.refusals.size(); ++i) sums.refusals[i].reason = static_cast<gate::Reason>(i);
  for (const PointFact& fact : points) {
    const occupation::Point& point = fact.newest.point;
    sums.points_used += point.epochs_used;
    sums.points_refused += point.epochs_refused;
    if (fact.epochs == nullptr && point.epochs_used + point.epochs_refused > 0) ++sums.stays_without_rows;
    if (fact.epochs == nullptr) continue;
    for (const occupation::EpochRecord& epoch : *fact.epochs) count_row(epoch, sums);
  }
  std::erase_if(sums.refusals, [](const RefusalFact& each) { return each.mentioned == 0; });
  std::stable_sort(sums.refusals.begin(), sums.refusals.end(),
                   [](const auto& a, const auto& b) { return a.counted_here > b.counted_here; });
  return sums;
}

void set_times(Facts& facts) {
  for (const PointFact& fact : facts.points) {
    const occupation::Point& point = fact.newest.point;
    if (point.started_utc && (!facts.first || *point.started_utc < *facts.first)) facts.first = point.started_utc;
    if (point.finished_utc && (!facts.last || *point.finished_utc > *facts.last)) facts.last = point.finished_utc;
  }
}

std::string held_decision(const occupation::Point& point) {
  std::string why;
  for (const std::string& text : point.reason_texts) why += (why.empty() ? "" : "; ") + text;
  return kSay.is_held(point_name(point.name, point.visit), why.empty() ? "" : ": " + why);
}

/// So many are named one by one; the table of points names them all.
constexpr std::size_t kMostNamed = 20;

void add_named(std::vector<std::string>& out, const std::vector<std::string>& sentences, const std::string& others) {
  const std::size_t named = std::min(sentences.size(), kMostNamed);
  out.insert(out.end(), sentences.begin(), sentences.begin() + static_cast<std::ptrdiff_t>(named));
  if (sentences.size() > named) out.push_back(kSay.and_further(std::to_string(sentences.size() - named), others));
}

void decide_about_points(const Facts& facts, std::vector<std::string>& out) {
  std::vector<std::string> held, doubtful, empty;
  for (const PointFact& fact : facts.points) {
    const occupation::Point& point = fact.newest.point;
    if (point.status == PointStatus::held) held.push_back(held_decision(point));
    if (point.status == PointStatus::none)
      empty.push_back(kSay.nothing_counts_now(point_name(point.name, point.visit)));
    if (!fact.doubt.empty() && point.status != PointStatus::rejected)
      doubtful.push_back(kSay.is_doubtful(point_name(point.name, point.visit), fact.doubt));
  }
  add_named(out, held, kSay.points_held());
  add_named(out, empty, kSay.points_have_no_second());
  add_named(out, doubtful, kSay.points_doubtful());
  for (const occupation::Combined& all : facts.together) {
    if (!all.disagree) continue;
    std::string visits;
    for (const int visit : all.counted) visits += (visits.empty() ? "" : ", ") + std::to_string(visit);
    out.push_back(kSay.visits_apart(all.name, visits, metres(all.separation_m), metres(all.separation_up_m)));
  }
  for (const RepeatFact& repeat : facts.repeats) {
    const bool told = std::any_of(facts.together.begin(), facts.together.end(), [&](const occupation::Combined& all) {
      return all.name == repeat.name && all.disagree;
    });
    if (told || repeat.agree()) continue;
    out.push_back(
        kSay.two_visits_apart(repeat.name, std::to_string(repeat.first_visit), std::to_string(repeat.second_visit)));
  }
  for (const std::string& conflict : facts.merge_conflicts) out.push_back(kSay.merging(conflict));
}

void decide_about_the_day(const Facts& facts, std::vector<std::string>& out) {
  if (!facts.damage.empty()) out.push_back(kSay.rows_damaged(counted(facts.damage.size(), "row")));
  if (facts.spool_waits) out.push_back(kSay.spool_waits());
  if (!facts.closed) out.push_back(kSay.day_open());
  if (facts.checks.empty()) {
    out.push_back(kSay.nothing_checked());
  } else if (facts.last && facts.checks.back().utc < *facts.last) {
    out.push_back(kSay.unchecked_at_the_end());
  }
  for (const pointbook::CheckShot& shot : facts.checks) {
    if (shot.passed) continue;
    out.push_back(
        kSay.check_failed(shot.mark, clock_text(shot.utc), shot.diagnosis.empty() ? "" : " (" + shot.diagnosis + ")"));
  }
}

/// Accepted points that are not as good as was wanted.
void decide_about_errors(const Facts& facts, std::vector<std::string>& out) {
  if (!facts.wanted) return;
  std::vector<std::string> missed;
  for (const PointFact& fact : facts.points) {
    const occupation::Point& point = fact.newest.point;
    if (point.status != PointStatus::accepted || !point.at) continue;
    const double plan_m = point.at->error95_horizontal_m, height_m = point.at->error95_vertical_m;
    if (plan_m <= facts.wanted->horizontal_m && height_m <= facts.wanted->vertical_m) continue;
    missed.push_back(kSay.misses_wanted(point_name(point.name, point.visit), metres(plan_m), metres(height_m),
                                        metres(facts.wanted->horizontal_m), metres(facts.wanted->vertical_m)));
  }
  add_named(out, missed, kSay.points_miss_wanted_error());
}

/// Points that a hand accepted although a rule held them: named, with the rule and the reason.
void name_those_by_hand(const Facts& facts, std::vector<std::string>& out) {
  for (const PointFact& fact : facts.points) {
    const occupation::Point& point = fact.newest.point;
    if (!is_by_hand(point)) continue;
    std::string held;
    for (const std::string& text : point.reason_texts) held += (held.empty() ? "" : "; ") + text;
    out.push_back(kSay.accepted_by_hand(point_name(point.name, point.visit), held, fact.newest.changed_by,
                                        fact.newest.change_reason));
  }
}

/// The receiver's claim is what every error starts from: said beside the answer, for no day is without it.
void caution_about_claims(const Facts& facts, std::vector<std::string>& out) {
  std::uint64_t unverified = 0;
  for (const PointFact& fact : facts.points) {
    const auto& flags = fact.newest.point.flags;
    if (std::find(flags.begin(), flags.end(), "error-scale-not-verified") != flags.end()) ++unverified;
  }
  if (unverified > 0)
    out.push_back(kSay.rests_on_claims(counted(unverified, "point"), unverified == 1 ? " rests" : " rest"));
}

void decide_about_sums(const Facts& facts, std::vector<std::string>& out) {
  if (!facts.sums.agree()) out.push_back(kSay.sums_differ());
}

std::vector<std::string> crews_of(const std::vector<PointFact>& points) {
  std::set<std::string> crews;
  for (const PointFact& fact : points) crews.insert(fact.newest.point.crew);
  crews.erase("");
  return {crews.begin(), crews.end()};
}

}  // namespace

std::size_t count(const Facts& facts, PointStatus status) {
  return static_cast<std::size_t>(std::count_if(facts.points.begin(), facts.points.end(), [&](const PointFact& fact) {
    return fact.newest.point.status == status;
  }));
}

Facts facts_of(const pointbook::Contents& book, UtcTime made_at, std::optional<config::PerAxis> wanted) {
  Facts facts;
  facts.wanted = wanted;
  facts.project = book.project;
  facts.frame = book.frame;
  facts.geoid = pointbook::geoid_in_wkt(book.frame_wkt);
  facts.path = book.path;
  facts.training = book.training;
  facts.made_at = made_at;
  facts.points = points_of(book);
  facts.crews = crews_of(facts.points);
  facts.versions = book.versions;
  facts.checks = pointbook::newest_checks(book.checks);
  std::stable_sort(facts.checks.begin(), facts.checks.end(),
                   [](const auto& a, const auto& b) { return a.utc < b.utc; });
  mark_doubt(facts.points, facts.checks);
  set_times(facts);
  facts.closed = pointbook::day_is_closed(book);
  const pointbook::Closings closings(book.events);
  for (PointFact& fact : facts.points) fact.newest.point = closings.delivered(std::move(fact.newest.point));
  facts.check_sums = sums_of(facts.checks);
  facts.sums = sums_of_epochs(facts.points);
  facts.alerts = alerts_of(book.events);
  facts.repeats = repeats_of(facts.points);
  facts.together = together_of(facts.points);
  for (const pointbook::Event& event : book.events) {
    if (event.kind == "merge-conflict") facts.merge_conflicts.push_back(event.text);
    if (event.kind == "outage" || event.kind == "outages") facts.outages.push_back(event);
  }
  facts.changes = changes_of(book);
  facts.noted = others_of(book.events);
  facts.antennas = book.antennas;
  facts.damage = book.damage;
  facts.spool_waits = book.spool_waits;
  decide_about_points(facts, facts.decisions);
  decide_about_the_day(facts, facts.decisions);
  decide_about_errors(facts, facts.decisions);
  decide_about_sums(facts, facts.decisions);
  name_those_by_hand(facts, facts.caveats);
  caution_about_claims(facts, facts.caveats);
  return facts;
}

}  // namespace stillpoint::report
