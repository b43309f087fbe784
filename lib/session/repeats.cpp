#include "session/repeats.hpp"

#include <algorithm>

#include "base/typed.hpp"
#include "estimate/guidance.hpp"
#include "estimate/visits.hpp"
#include "occupation/contradiction.hpp"
#include "occupation/offset_point.hpp"
#include "session/sentences.hpp"

namespace stillpoint::session {
namespace {

// Shorter breaks of the link say nothing about the receiver.
constexpr std::int64_t kAway_ms = 60'000;

}  // namespace

void Initialization::note(const gate::Judged& judged) {
  const epoch::Epoch& epoch = judged.epoch;
  if (!epoch.utc || !epoch.stream_ms) return;
  const bool away = !stream_ms_ || *epoch.stream_ms - *stream_ms_ >= kAway_ms;
  const bool other = epoch.quality != quality_ || judged.match.source != source_ || judged.match.station != station_;
  if (away || other) since_ = epoch.utc;
  quality_ = epoch.quality;
  source_ = judged.match.source;
  station_ = judged.match.station;
  stream_ms_ = epoch.stream_ms;
}

void Repeats::know(const occupation::Point& point, Weighed weighed) {
  auto& until = visits_until_[point.name][point.visit];
  if (point.finished_utc && point.measures.empty()) until = point.finished_utc;
  know_given(point.name, point.visit);
  unweighed_.erase({point.name, point.visit});
  if (weighed == Weighed::no || !point.measures.empty()) unweighed_.emplace(point.name, point.visit);
  auto& visits = visits_[point.name];
  const auto same = std::find_if(visits.begin(), visits.end(), [&](const auto& v) { return v.visit == point.visit; });
  if (same != visits.end()) {
    *same = point;
  } else {
    visits.push_back(point);
  }
}

void Repeats::know_given(const std::string& name, int visit) {
  int& given = given_[name];
  given = std::max(given, visit);
}

std::string Repeats::near(const std::string& name, const std::string& but) const {
  const auto at = std::find_if(visits_until_.begin(), visits_until_.end(),
                               [&](const auto& each) { return each.first != but && reads_like(each.first, name); });
  return at == visits_until_.end() ? std::string() : at->first;
}

Result<int> Repeats::visit_for(const std::string& name, bool again, std::optional<int> told) const {
  if (told) return *told;
  const auto at = visits_until_.find(name);
  const bool known = at != visits_until_.end();
  if (known && !again) return fail(kSay.known_name(name));
  if (!known && again) return fail(kSay.not_found(name));
  // A number that a renamed point had is never another point's: the pointbook has it for ever.
  const auto given = given_.find(name);
  return std::max(known ? at->second.rbegin()->first : 0, given == given_.end() ? 0 : given->second) + 1;
}

const occupation::Point* Repeats::find(const std::string& name, int visit) const {
  const auto at = visits_.find(name);
  if (at == visits_.end()) return nullptr;
  const auto& visits = at->second;
  const auto found = std::find_if(visits.begin(), visits.end(), [&](const auto& v) { return v.visit == visit; });
  return found == visits.end() ? nullptr : &*found;
}

void Repeats::take_offset(const occupation::Point& point) {
  begin(point.name, point.visit);
  know(point, Weighed::no);
}

void Repeats::forget(const std::string& name, int visit) {
  const auto at = visits_until_.find(name);
  if (at == visits_until_.end()) return;
  at->second.erase(visit);
  if (at->second.empty()) visits_until_.erase(at);
}

void Repeats::move_end(const std::pair<std::string, int>& which, const occupation::Called& called) {
  const auto name = visits_until_.find(which.first);
  if (name == visits_until_.end()) return;
  const auto visit = name->second.find(which.second);
  if (visit == name->second.end()) return;
  const auto until = visit->second;
  forget(which.first, which.second);
  visits_until_[called.name][called.visit] = until;
  know_given(called.name, called.visit);
}

void Repeats::call(const std::pair<std::string, int>& which, const occupation::Called& called, Outputs& out) {
  move_end(which, called);
  if (decided_.erase(which) > 0) decided_.emplace(called.name, called.visit);
  auto& visits = visits_[which.first];
  const auto at = std::find_if(visits.begin(), visits.end(), [&](const auto& v) { return v.visit == which.second; });
  if (at == visits.end()) return;
  called.give(*at);
  if (called.name == which.first) return;
  occupation::Point moved = std::move(*at);
  visits.erase(at);
  if (unweighed_.erase(which) > 0) unweighed_.emplace(called.name, called.visit);
  visits_[called.name].push_back(std::move(moved));
  call_stays(which, called, out);
  const std::string because = kSay.renamed(kSay.visit(which.first, std::to_string(which.second)), called.name);
  weigh(which.first, because, nullptr, out);
  weigh(called.name, because, nullptr, out);
}

std::optional<UtcTime> Repeats::visited_until(const std::string& name) const {
  std::optional<UtcTime> last;
  const auto at = visits_until_.find(name);
  if (at == visits_until_.end()) return last;
  for (const auto& [visit, until] : at->second) last = std::max(last, until);
  return last;
}

void Repeats::flag(occupation::Point& point, std::optional<UtcTime> initialized) const {
  if (point.status == occupation::PointStatus::none) return;
  const auto before = visited_until(point.name);
  if (before && initialized && *initialized <= *before) {
    point.flags.emplace_back(occupation::kSameInitialization);
    std::sort(point.flags.begin(), point.flags.end());
  }
}

void Repeats::close(occupation::Point& point, std::optional<UtcTime> initialized, Outputs& out) {
  if (point.status == occupation::PointStatus::none) return;
  flag(point, initialized);
  if (point.finished_utc) visits_until_[point.name][point.visit] = point.finished_utc;
  know_given(point.name, point.visit);
  visits_[point.name].push_back(point);
  weigh(point.name, kSay.bears_out(kSay.visit_number(std::to_string(point.visit))), &point, out);
}

/// What follows for the visits of one name, and then for what was measured from any.
void Repeats::weigh(const std::string& name, const std::string& because, occupation::Point* newest, Outputs& out) {
  weigh_of(name, because, newest, out);
  follow_stays(out);
}

/// Weighs the visits of one name against each other: a contradicted visit is held, and one that no longer is becomes
/// free again. `newest` is the visit that just ended; its verdict goes into that point.
void Repeats::weigh_of(const std::string& name, const std::string& because, occupation::Point* newest, Outputs& out) {
  std::vector<const occupation::Point*> all;
  for (const occupation::Point& visit : visits_[name]) {
    if (!unweighed_.contains({name, visit.visit})) all.push_back(&visit);
  }
  const auto contradicted = occupation::contradicted_among(all);
  for (occupation::Point& visit : visits_[name]) {
    const std::pair<std::string, int> which{name, visit.visit};
    if (decided_.contains(which) || unweighed_.contains(which)) continue;
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

/// Holds each offset point of which a stay is no accepted one by now, and frees it when all are again.
void Repeats::follow_stays(Outputs& out) {
  for (auto& [name, visits] : visits_) {
    for (occupation::Point& point : visits) {
      if (point.measures.empty() || decided_.contains({name, point.visit})) continue;
      std::vector<const occupation::Point*> stays;
      for (const MeasuredStay& stay : point.measures.stays) stays.push_back(find(stay.name, stay.visit));
      if (!occupation::follow_stays(point, stays)) continue;
      const bool held = point.status == occupation::PointStatus::held && !point.reason_texts.empty();
      out.reconsidered.push_back({point, held ? point.reason_texts.back() : kSay.stays_accepted()});
    }
  }
}

/// A stay is called otherwise: so is it in what was measured from it.
void Repeats::call_stays(const std::pair<std::string, int>& which, const occupation::Called& called, Outputs& out) {
  for (auto& [name, visits] : visits_) {
    for (occupation::Point& point : visits) {
      bool renamed = false;
      for (MeasuredStay& stay : point.measures.stays) {
        if (stay.name != which.first || stay.visit != which.second) continue;
        stay.name = called.name;
        stay.visit = called.visit;
        renamed = true;
      }
      const std::string was = kSay.visit(which.first, std::to_string(which.second));
      if (renamed) out.reconsidered.push_back({point, kSay.renamed(was, called.name)});
    }
  }
}

void Repeats::decide(const std::string& name, int visit, bool accept, Outputs& out) {
  const auto at = visits_.find(name);
  if (at == visits_.end()) return;
  for (occupation::Point& each : at->second) {
    if (each.visit != visit) continue;
    each.status = accept ? occupation::PointStatus::accepted : occupation::PointStatus::rejected;
    decided_.emplace(name, visit);
  }
  weigh(name, kSay.decided(kSay.visit_number(std::to_string(visit)), accept ? "accepted" : "rejected"), nullptr, out);
}

void Repeats::hold_for_antenna(double antenna_height_m, UtcTime since, Outputs& out) {
  for (auto& [name, visits] : visits_) {
    for (occupation::Point& visit : visits) {
      if (occupation::hold_for_antenna(visit, antenna_height_m, since)) decided_.erase({name, visit.visit});
    }
  }
  follow_stays(out);
}

void Repeats::say(OccupationStatus& stay, std::optional<UtcTime> initialized, std::optional<UtcTime> utc) const {
  if (utc) stay.next_counts_from_utc = UtcTime{utc->ms + estimate::kIndependentAfter_ms};
  const auto before = visited_until(stay.name);
  if (!before || !stay.since_utc) return;
  const UtcTime counts{before->ms + estimate::kIndependentAfter_ms};
  const std::string previous = "visit " + std::to_string(stay.visit - 1);
  const auto warn = [&stay](std::string text) {
    stay.facts.insert(stay.facts.begin(), std::exchange(stay.advice, std::move(text)));
  };
  if (initialized && *initialized <= *before) {
    warn(kSay.not_initialized(previous));
  }
  if (*stay.since_utc < counts) {
    stay.counts_from_utc = counts;
    warn(kSay.too_soon(previous, estimate::clock_minute(counts, std::nullopt)));
  }
}

}  // namespace stillpoint::session
