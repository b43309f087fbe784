#include "session/repeats.hpp"

#include <algorithm>

#include "base/typed.hpp"
#include "estimate/guidance.hpp"
#include "estimate/visits.hpp"
#include "occupation/contradiction.hpp"
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
  int& newest = newest_[point.name];
  newest = std::max(newest, point.visit);
  if (point.finished_utc) {
    UtcTime& last = visited_until_.try_emplace(point.name, *point.finished_utc).first->second;
    last = std::max(last, *point.finished_utc);
  }
  if (weighed == Weighed::no) return;
  auto& visits = visits_[point.name];
  const auto same = std::find_if(visits.begin(), visits.end(), [&](const auto& v) { return v.visit == point.visit; });
  if (same != visits.end()) {
    *same = point;
  } else {
    visits.push_back(point);
  }
}

std::string Repeats::near(const std::string& name) const {
  const auto at =
      std::find_if(newest_.begin(), newest_.end(), [&](const auto& each) { return reads_like(each.first, name); });
  return at == newest_.end() ? std::string() : at->first;
}

Result<int> Repeats::visit_for(const OccupyCommand& command) const {
  if (command.visit) return *command.visit;
  const auto at = newest_.find(command.name);
  if (at == newest_.end()) {
    if (!command.again) return 1;
    return fail(kSay.not_found(command.name));
  }
  if (command.again) return at->second + 1;
  return fail(kSay.known_name(command.name));
}

void Repeats::forget(const std::string& name, int visit) {
  if (visit > 1) {
    newest_[name] = visit - 1;
  } else {
    newest_.erase(name);
  }
}

void Repeats::flag(occupation::Point& point, std::optional<UtcTime> initialized) const {
  if (point.status == occupation::PointStatus::none) return;
  const auto before = visited_until_.find(point.name);
  if (before != visited_until_.end() && initialized && *initialized <= before->second) {
    point.flags.emplace_back(occupation::kSameInitialization);
    std::sort(point.flags.begin(), point.flags.end());
  }
}

void Repeats::close(occupation::Point& point, std::optional<UtcTime> initialized, Outputs& out) {
  if (point.status == occupation::PointStatus::none) return;
  flag(point, initialized);
  if (point.finished_utc) visited_until_[point.name] = *point.finished_utc;
  visits_[point.name].push_back(point);
  weigh(point.name, kSay.bears_out(kSay.visit_number(std::to_string(point.visit))), &point, out);
}

/// Weighs the visits of one name against each other: a contradicted visit is held, and one that no longer is becomes
/// free again. `newest` is the visit that just ended; its verdict goes into that point.
void Repeats::weigh(const std::string& name, const std::string& because, occupation::Point* newest, Outputs& out) {
  std::vector<const occupation::Point*> all;
  for (const occupation::Point& visit : visits_[name]) all.push_back(&visit);
  const auto contradicted = occupation::contradicted_among(all);
  for (occupation::Point& visit : visits_[name]) {
    if (decided_.contains({name, visit.visit})) continue;
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

void Repeats::say(OccupationStatus& stay, std::optional<UtcTime> initialized, std::optional<UtcTime> utc) const {
  if (utc) stay.next_counts_from_utc = UtcTime{utc->ms + estimate::kIndependentAfter_ms};
  const auto before = visited_until_.find(stay.name);
  if (before == visited_until_.end() || !stay.since_utc) return;
  const UtcTime counts{before->second.ms + estimate::kIndependentAfter_ms};
  const std::string previous = "visit " + std::to_string(stay.visit - 1);
  const auto warn = [&stay](std::string text) {
    stay.facts.insert(stay.facts.begin(), std::exchange(stay.advice, std::move(text)));
  };
  if (initialized && *initialized <= before->second) {
    warn(kSay.not_initialized(previous));
  }
  if (*stay.since_utc < counts) {
    stay.counts_from_utc = counts;
    warn(kSay.too_soon(previous, estimate::clock_minute(counts, std::nullopt)));
  }
}

}  // namespace stillpoint::session
