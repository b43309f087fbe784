// What people did, what went wrong and came back, and what visited twice says: facts out of events and versions.

#include <algorithm>
#include <array>
#include <cmath>

#include "base/number.hpp"
#include "estimate/visits.hpp"
#include "geodesy/local.hpp"
#include "occupation/geoid.hpp"
#include "occupation/place.hpp"
#include "pointbook/happened.hpp"
#include "report/facts.hpp"
#include "report/printed.hpp"
#include "report/sentences.hpp"

namespace stillpoint::report {
namespace {

// Those of the first list say that corrections or the receiver were missing. Any other event with the number of an
// occurrence is an alert too; the second list serves books that were written before there were such numbers.
constexpr std::array<std::string_view, 7> kOutages{"corrections-coasting", "corrections-stale", "feed-silent",
                                                   "feed-unavailable",     "feed-frozen",       "corrections-lost",
                                                   "station-unlisted"};
constexpr std::array<std::string_view, 16> kOtherAlerts{"source-changed",  "receiver-settings-changed",
                                                        "check-due",       "store-waiting",
                                                        "clock-disagrees", "disk-low",
                                                        "position-jump",   "disk-full",
                                                        "check-failed",    "record-failed",
                                                        "spool-damaged",   "spool-failed",
                                                        "stay-unsaved",    "points-missing",
                                                        "stay-left",       "stay-lost"};
template <std::size_t N>
bool is_among(const std::array<std::string_view, N>& list, std::string_view word) {
  return std::find(list.begin(), list.end(), word) != list.end();
}

RepeatFact repeat_of(const occupation::Point& a, const occupation::Point& b) {
  RepeatFact out;
  out.name = a.name;
  out.first_visit = a.visit;
  out.second_visit = b.visit;
  if (a.finished_utc && b.started_utc) out.minutes_between = seconds_between(*a.finished_utc, *b.started_utc) / 60;
  const geodesy::Enu off = geodesy::LocalFrame(occupation::place_of(*a.at)).to_enu(occupation::place_of(*b.at));
  out.east_m = off.east_m;
  out.north_m = off.north_m;
  out.up_m = off.up_m;
  out.allowed_plan_m = estimate::kDisagreement * std::hypot(a.at->error95_horizontal_m, b.at->error95_horizontal_m);
  out.allowed_height_m = estimate::kDisagreement *
                         std::hypot(occupation::ellipsoid_error95_m(*a.at), occupation::ellipsoid_error95_m(*b.at));
  return out;
}

}  // namespace

bool RepeatFact::agree() const noexcept {
  return std::hypot(east_m, north_m) <= allowed_plan_m && std::abs(up_m) <= allowed_height_m;
}

namespace {

/// "; moved +0.012 m east, …" from the version before; empty where there is nothing to compare.
std::string moved_text(const occupation::Point& before, const occupation::Point& point) {
  if (before.at.has_value() != point.at.has_value())
    return point.at ? kSay.has_coordinates_now() : kSay.has_coordinates_no_more();
  if (!point.at) return {};
  const geodesy::Enu off =
      geodesy::LocalFrame(occupation::place_of(*before.at)).to_enu(occupation::place_of(*point.at));
  const std::string text = with_sign(off.east_m, 3) + " m east, " + with_sign(off.north_m, 3) + " m north, " +
                           with_sign(off.up_m, 3) + " m up";
  return text.find_first_of("123456789") == std::string::npos ? kSay.not_moved() : "; moved " + text;
}

/// What has become of it since the version before; empty where that is not there.
std::string change_text(const pointbook::Contents& book, const occupation::StoredPoint& stored) {
  const auto before = std::find_if(book.versions.begin(), book.versions.end(),
                                   [&](const auto& other) { return other.uuid == stored.supersedes; });
  if (before == book.versions.end()) return {};
  const std::string was = point_name(before->point.name, before->point.visit);
  const bool renamed = was != point_name(stored.point.name, stored.point.visit);
  return (renamed ? kSay.called_before(was) : std::string()) + moved_text(before->point, stored.point);
}

bool is_alert(const pointbook::Event& event, const pointbook::Occurrence& told) {
  return told.number || is_among(kOutages, event.kind) || is_among(kOtherAlerts, event.kind);
}

}  // namespace

std::vector<AlertFact> alerts_of(const std::vector<pointbook::Event>& events) {
  struct Open {
    std::size_t at;
    std::optional<std::uint64_t> number;
  };
  std::vector<AlertFact> out;
  std::map<std::string, std::vector<Open>> open;
  for (const pointbook::Event& event : events) {
    const bool outage = is_among(kOutages, event.kind);
    const pointbook::Occurrence told = occurrence_of(event);
    if (!is_alert(event, told)) continue;
    auto& of_kind = open[event.kind];
    if (!told.over) {
      of_kind.push_back({out.size(), told.number});
      out.push_back({event.kind, event.text, event.utc, std::nullopt, outage});
      continue;
    }
    const auto same = [&](const Open& each) { return each.number == told.number; };
    const auto at = std::find_if(of_kind.rbegin(), of_kind.rend(), same);
    if (at == of_kind.rend()) continue;
    out[at->at].until = event.utc;
    of_kind.erase(std::next(at).base());
  }
  return out;
}

std::vector<OutageFact> missing_of(const std::vector<AlertFact>& alerts) {
  // Late corrections still count: they are no outage.
  constexpr std::array<std::string_view, 2> kStillCounts{"corrections-coasting", "station-unlisted"};
  std::vector<std::pair<UtcTime, UtcTime>> spans;
  for (const AlertFact& alert : alerts) {
    if (!alert.outage || is_among(kStillCounts, alert.key)) continue;
    // What began by the computer's clock and ended by the receiver's may end before it began.
    spans.emplace_back(alert.from, std::max(alert.from, alert.until.value_or(alert.from)));
  }
  std::sort(spans.begin(), spans.end());
  std::vector<OutageFact> out;
  UtcTime until;
  for (const auto& [from, to] : spans) {
    if (out.empty() || from > until) {
      out.push_back({from, 0});
      until = to;
    }
    until = std::max(until, to);
    out.back().lasted_s = seconds_between(out.back().from, until);
  }
  return out;
}

std::vector<ChangeFact> changes_of(const pointbook::Contents& book) {
  std::vector<ChangeFact> out;
  for (const occupation::StoredPoint& stored : book.versions) {
    if (stored.version == 1) continue;
    out.push_back(
        {stored.stored_at, stored.changed_by,
         kSay.became_version(point_name(stored.point.name, stored.point.visit), std::to_string(stored.version),
                             to_word(stored.point.status), change_text(book, stored)),
         stored.change_reason});
  }
  return out;
}

std::vector<RepeatFact> repeats_of(const std::vector<PointFact>& points) {
  std::vector<RepeatFact> out;
  std::map<std::string, const occupation::Point*> before;
  for (const PointFact& fact : points) {
    const occupation::Point& point = fact.newest.point;
    if (!point.at || point.status == occupation::PointStatus::rejected) continue;
    const auto [place, first] = before.try_emplace(point.name, &point);
    if (first) continue;
    out.push_back(repeat_of(*place->second, point));
    place->second = &point;
  }
  return out;
}

std::vector<occupation::Combined> together_of(const std::vector<PointFact>& points) {
  std::vector<std::string> order;
  std::map<std::string, std::vector<const occupation::Point*>> by_name;
  for (const PointFact& fact : points) {
    auto& visits = by_name[fact.newest.point.name];
    if (visits.empty()) order.push_back(fact.newest.point.name);
    visits.push_back(&fact.newest.point);
  }
  std::vector<occupation::Combined> out;
  for (const std::string& name : order) {
    auto& visits = by_name[name];
    std::stable_sort(visits.begin(), visits.end(), [](const auto* a, const auto* b) { return a->visit < b->visit; });
    // Whether visits agree does not rest on the floors of the sources, and the mean is not printed here.
    if (auto combined = occupation::combine(visits, {})) out.push_back(std::move(*combined));
  }
  return out;
}

CheckSums sums_of(const std::vector<pointbook::CheckShot>& checks) {
  CheckSums out;
  std::map<std::string, control::CheckPoint> last;
  for (const pointbook::CheckShot& shot : checks) {
    ++out.shots;
    if (shot.passed) ++out.passed;
    last[shot.mark] = {shot.mark, shot.off_east_m, shot.off_north_m, shot.off_up_m};
    out.worst_plan_m = std::max(out.worst_plan_m, std::hypot(shot.off_east_m, shot.off_north_m));
    if (!shot.off_up_m) continue;
    ++out.with_height;
    out.worst_height_m = std::max(out.worst_height_m, std::abs(*shot.off_up_m));
  }
  out.marks = last.size();
  std::vector<control::CheckPoint> one_a_mark;
  for (const auto& each : last) one_a_mark.push_back(each.second);
  out.statement = control::accuracy(one_a_mark, {});
  return out;
}

}  // namespace stillpoint::report
