#include "day/day_book.hpp"

#include <algorithm>

#include "common/sentences.hpp"
#include "pointbook/happened.hpp"

namespace stillpoint::daemon {
namespace {

using occupation::PointStatus;
using pointbook::EventKind;

bool reaches(UtcTime now, UtcTime when) {
  return now.ms - when.ms <= pointbook::kClosingReachesBack_ms;
}

std::string held_text(const occupation::Point& point) {
  std::string why;
  for (const auto reason : point.reasons) why += (why.empty() ? "" : ", ") + std::string(to_word(reason));
  return kSay.stay(point.name, std::to_string(point.visit)) + (why.empty() ? "" : " (" + why + ")");
}

std::string by_hand_text(const CatalogueEntry& entry) {
  return kSay.by_hand(held_text(entry.stored.point), entry.decided_by, entry.decided_why);
}

}  // namespace

std::string listed(const std::vector<std::string>& each, const char* between) {
  std::string out;
  for (const auto& item : each) out += (out.empty() ? "" : between) + item;
  return out;
}

void DayBook::hear(const pointbook::Event& event) {
  closings_.hear(event);
  if (pointbook::is(event, EventKind::day_closed)) {
    std::erase_if(lost_, [](const LostStay& lost) { return lost.seen; });
    return happened_.clear();
  }
  if (auto lost = pointbook::lost_stay_of(event)) lost_.push_back({event.utc, *std::move(lost), event.text});
  const auto told = pointbook::occurrence_of(event);
  if (event.kind == kStayLost && told.over) {
    for (LostStay& lost : lost_) lost.seen = true;
  }
  const bool alert = told.number && !told.over;
  if (alert || pointbook::is(event, EventKind::abandoned) || pointbook::is(event, EventKind::outage)) {
    happened_.push_back({event.utc, event.kind, alert});
  }
}

std::string DayBook::unseen_stays() const {
  std::vector<std::string> unseen;
  for (const LostStay& lost : lost_) {
    if (!lost.seen) unseen.push_back(lost.text);
  }
  return listed(unseen, "; ");
}

DayTally DayBook::tally(const Catalogue& points, UtcTime now) const {
  DayTally out;
  for (const CatalogueEntry& entry : points.entries()) {
    const occupation::Point& point = entry.stored.point;
    if (closings_.covers(point.finished_utc) || !reaches(now, point.finished_utc.value_or(now))) continue;
    out.accepted += point.status == PointStatus::accepted ? 1U : 0U;
    out.rejected += point.status == PointStatus::rejected ? 1U : 0U;
    if (is_by_hand(point)) out.by_hand.push_back(by_hand_text(entry));
    if (point.status != PointStatus::held) continue;
    ++out.held;
    out.held_points.push_back(held_text(point));
  }
  for (const Happened& each : happened_) {
    if (!reaches(now, each.utc)) continue;
    if (each.alert) {
      ++out.alerts[each.kind];
    } else {
      ++(each.kind == to_word(EventKind::outage) ? out.outages : out.abandoned);
    }
  }
  return out;
}

bool DayBook::is_closed(const Catalogue& points) const {
  const auto last = closings_.last();
  if (!last) return false;
  return std::none_of(points.entries().begin(), points.entries().end(), [&](const CatalogueEntry& entry) {
    return !entry.stored.point.finished_utc || *entry.stored.point.finished_utc > *last;
  });
}

std::size_t DayBook::left_open(const Catalogue& points, UtcTime now) const {
  return static_cast<std::size_t>(
      std::count_if(points.entries().begin(), points.entries().end(), [&](const CatalogueEntry& entry) {
        const auto& finished = entry.stored.point.finished_utc;
        return finished && !closings_.covers(finished) && !reaches(now, *finished);
      }));
}

}  // namespace stillpoint::daemon
