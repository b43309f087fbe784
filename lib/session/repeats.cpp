// Repeat visits of one point: whether the receiver was initialized anew between them, when the next one counts, and
// what they come to together.

#include <algorithm>
#include <map>
#include <utility>

#include "estimate/guidance.hpp"
#include "estimate/visits.hpp"
#include "occupation/contradiction.hpp"
#include "occupation/place.hpp"
#include "session/state.hpp"

namespace stillpoint::session {
namespace {

// Shorter breaks of the link say nothing about the receiver.
constexpr std::int64_t kAway_ms = 60'000;

}  // namespace

/// A lost or changed quality class, another source or station, or data away for a minute: the receiver, or what it
/// works with, began anew.
void Session::State::note_initialization(const gate::Judged& judged) {
  const epoch::Epoch& epoch = judged.epoch;
  if (!epoch.utc || !epoch.stream_ms) return;
  Initialization& i = initialization;
  const bool away = !i.stream_ms || *epoch.stream_ms - *i.stream_ms >= kAway_ms;
  const bool other = epoch.quality != i.quality || judged.match.source != i.source || judged.match.station != i.station;
  if (away || other) i.since = epoch.utc;
  i.quality = epoch.quality;
  i.source = judged.match.source;
  i.station = judged.match.station;
  i.stream_ms = epoch.stream_ms;
}

/// Flags a repeat visit in which the receiver still was what it was on the visit before.
void Session::State::flag_repeat(occupation::Point& point, std::optional<UtcTime> initialized) const {
  if (point.status == occupation::PointStatus::none) return;
  const auto before = visited_until.find(point.name);
  if (before != visited_until.end() && initialized && *initialized <= before->second) {
    point.flags.emplace_back(occupation::kSameInitialization);
    std::sort(point.flags.begin(), point.flags.end());
  }
}

void Session::State::close_visit(occupation::Point& point, std::optional<UtcTime> initialized) {
  if (point.status == occupation::PointStatus::none) return;
  flag_repeat(point, initialized);
  if (point.finished_utc) visited_until[point.name] = *point.finished_utc;
  visits[point.name].push_back(point);
  weigh_visits(point.name, "visit " + std::to_string(point.visit) + " bears it out", &point);
}

/// Visits of one name against each other: whichever is contradicted is held, and one that is no longer is free again.
/// What a hand decided stays. `newest` is the visit that just ended, which takes its own verdict along.
void Session::State::weigh_visits(const std::string& name, const std::string& because, occupation::Point* newest) {
  std::vector<const occupation::Point*> all;
  for (const occupation::Point& visit : visits[name]) all.push_back(&visit);
  const auto contradicted = occupation::contradicted_among(all);
  for (occupation::Point& visit : visits[name]) {
    if (decided.contains({name, visit.visit})) continue;
    const auto found = std::find_if(contradicted.begin(), contradicted.end(),
                                    [&](const occupation::Contradicted& c) { return c.visit == visit.visit; });
    const occupation::Contradicted* by = found == contradicted.end() ? nullptr : &*found;
    if (!occupation::hold_contradicted(visit, by)) continue;
    if (newest != nullptr && visit.visit == newest->visit) {
      newest->status = visit.status;
      newest->reasons = visit.reasons;
      newest->reason_texts = visit.reason_texts;
    } else {
      out.reconsidered.push_back({visit, by != nullptr ? occupation::sentence_of(*by) : because});
    }
  }
}

CommandResult Session::resolve(const std::string& name, int visit, bool accept) {
  State& s = *state_;
  const auto at = s.visits.find(name);
  if (at == s.visits.end()) return {true, "", visit};
  for (occupation::Point& each : at->second) {
    if (each.visit != visit) continue;
    each.status = accept ? occupation::PointStatus::accepted : occupation::PointStatus::rejected;
    s.decided.emplace(name, visit);
  }
  s.weigh_visits(name, "visit " + std::to_string(visit) + " was " + (accept ? "accepted" : "rejected") + " by hand",
                 nullptr);
  return {true, "", visit};
}

void Session::State::say_repeats(OccupationStatus& stay) const {
  if (const auto utc = utc_now()) stay.next_counts_from_utc = UtcTime{utc->ms + estimate::kIndependentAfter_ms};
  const auto before = visited_until.find(stay.name);
  if (before == visited_until.end() || !stay.since_utc) return;
  const UtcTime counts{before->second.ms + estimate::kIndependentAfter_ms};
  const std::string previous = "visit " + std::to_string(stay.visit - 1);
  const auto warn = [&stay](std::string text) {
    stay.facts.insert(stay.facts.begin(), std::exchange(stay.advice, std::move(text)));
  };
  const auto since = live_initialized ? live_initialized : initialization.since;
  if (since && *since <= before->second) {
    warn("Not initialized anew since " + previous + ": restart the receiver, then measure.");
  }
  if (*stay.since_utc < counts) {
    stay.counts_from_utc = counts;
    warn("Too soon after " + previous + ": a new visit counts after " + estimate::clock_minute(counts, std::nullopt) +
         ".");
  }
}

std::vector<occupation::Combined> Session::combined(const std::vector<const occupation::Point*>& points) const {
  std::vector<std::string> order;
  std::map<std::string, std::vector<const occupation::Point*>> by_name;
  for (const occupation::Point* point : points) {
    auto& visits = by_name[point->name];
    if (visits.empty()) order.push_back(point->name);
    visits.push_back(point);
  }
  std::vector<occupation::Combined> out;
  for (const std::string& name : order) {
    auto& visits = by_name[name];
    std::stable_sort(visits.begin(), visits.end(), [](const auto* a, const auto* b) { return a->visit < b->visit; });
    auto together = occupation::combine(visits, state_->settings.sources);
    if (!together) continue;
    if (auto& at = together->at) {
      const auto delivered = state_->frames.deliver(occupation::place_of(*at), at->coordinate_epoch);
      if (delivered) at->take(*delivered);
    }
    out.push_back(std::move(*together));
  }
  return out;
}

}  // namespace stillpoint::session
