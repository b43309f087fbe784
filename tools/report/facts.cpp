#include "report/facts.hpp"

#include <algorithm>
#include <limits>
#include <set>

#include "base/number.hpp"
#include "occupation/offset_point.hpp"
#include "pointbook/closings.hpp"
#include "pointbook/geometry.hpp"
#include "pointbook/versions.hpp"
#include "report/printed.hpp"
#include "report/sentences.hpp"

namespace stillpoint::report {
namespace {

using occupation::PointStatus;

/// The newest version of every point, with the epochs of whichever version brought them last.
std::vector<PointFact> points_of(const pointbook::Contents& book) {
  std::vector<PointFact> out;
  for (const pointbook::Versions& point : pointbook::points_of(book.versions)) {
    PointFact& fact = out.emplace_back();
    fact.newest = *point.back();
    for (const occupation::StoredPoint* version : point) {
      const auto epochs = book.epochs.find(version->uuid);
      if (epochs != book.epochs.end() && !epochs->second.empty()) fact.epochs = &epochs->second;
    }
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
    const pointbook::CheckShot* failed = nullptr;
    if (next != nullptr && !next->passed) {
      failed = next;
      fact.doubt = doubt_before(*next, good);
    } else if (before != nullptr && !before->passed) {
      failed = before;
      fact.doubt = kSay.after_failed_check(before->mark, clock_text(before->utc));
    }
    if (failed != nullptr) fact.doubted_by = static_cast<std::size_t>(failed - checks.data()) + 1;
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
  for (const pointbook::CheckShot& shot : facts.checks) {
    if (!facts.first || shot.utc < *facts.first) facts.first = shot.utc;
    if (!facts.last || shot.utc > *facts.last) facts.last = shot.utc;
  }
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

Errors errors_of(const Facts& facts) {
  std::vector<double> plan_m, up_m;
  for (const PointFact& fact : facts.points) {
    const occupation::Point& point = fact.newest.point;
    if (point.status != PointStatus::accepted || !point.at) continue;
    plan_m.push_back(point.at->error95_horizontal_m);
    if (const auto vertical_m = occupation::told_vertical95_m(point)) up_m.push_back(*vertical_m);
  }
  if (plan_m.empty()) return {};
  if (up_m.empty()) up_m.push_back(std::numeric_limits<double>::quiet_NaN());
  std::sort(plan_m.begin(), plan_m.end());
  std::sort(up_m.begin(), up_m.end());
  return {plan_m.size(), plan_m.back(), plan_m[(plan_m.size() - 1) / 2], up_m.back(), up_m[(up_m.size() - 1) / 2]};
}

bool is_used(const Facts& facts, const config::Source& source) {
  return std::any_of(facts.points.begin(), facts.points.end(),
                     [&](const PointFact& fact) { return fact.newest.point.source == source.name; });
}

std::string name_of(const PointFact& fact) {
  return point_name(fact.newest.point.name, fact.newest.point.visit);
}

bool has_flag(const PointFact& fact, std::string_view flag) {
  const auto& flags = fact.newest.point.flags;
  return std::find(flags.begin(), flags.end(), flag) != flags.end();
}

namespace {

void take_wishes(Facts& facts, const Wishes& wishes) {
  facts.clock = wishes.clock;
  facts.measures = Measures(wishes.units);
  facts.paper = wishes.paper;
  facts.configuration = wishes.configuration;
  facts.wanted = wishes.wanted;
  if (!facts.wanted && wishes.configuration) facts.wanted = wishes.configuration->wanted_error95_m();
}

void take_book(Facts& facts, const pointbook::Contents& book) {
  facts.project = book.project;
  facts.frame = book.frame;
  facts.frame_name = pointbook::name_in_wkt(book.frame_wkt);
  if (facts.frame_name.empty()) facts.frame_name = book.frame;
  facts.geoid = pointbook::geoid_in_wkt(book.frame_wkt);
  facts.path = book.path;
  facts.training = book.training;
  facts.events = book.events;
  facts.antennas = book.antennas;
  facts.damage = book.damage;
  facts.spool_waits = book.spool_waits;
  for (const pointbook::Event& event : book.events) {
    if (event.kind == "merge-conflict") facts.merge_conflicts.push_back(event.text);
  }
}

void take_points_and_checks(Facts& facts, const pointbook::Contents& book) {
  facts.points = points_of(book);
  facts.crews = crews_of(facts.points);
  facts.checks = pointbook::newest_checks(book.checks);
  std::stable_sort(facts.checks.begin(), facts.checks.end(),
                   [](const auto& a, const auto& b) { return a.utc < b.utc; });
  mark_doubt(facts.points, facts.checks);
  set_times(facts);
  facts.closed = pointbook::day_is_closed(book);
  const pointbook::Closings closings(book.events);
  for (PointFact& fact : facts.points) fact.newest.point = closings.delivered(std::move(fact.newest.point));
}

}  // namespace

Facts facts_of(const pointbook::Contents& book, UtcTime made_at, const Wishes& wishes) {
  Facts facts;
  facts.made_at = made_at;
  take_wishes(facts, wishes);
  take_book(facts, book);
  take_points_and_checks(facts, book);
  if (facts.first && facts.last) facts.clock.set_span(*facts.first, *facts.last);
  facts.check_sums = sums_of(facts.checks);
  facts.sums = sums_of_epochs(facts.points);
  facts.alerts = alerts_of(book.events);
  facts.missing = missing_of(facts.alerts);
  facts.repeats = repeats_of(facts.points);
  facts.together = together_of(facts.points);
  facts.changes = changes_of(book);
  facts.marks = marks_of(facts.checks);
  facts.origin = origin_of(facts);
  return facts;
}

}  // namespace stillpoint::report
