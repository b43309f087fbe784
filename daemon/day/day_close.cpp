#include "day/day_close.hpp"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "base/number.hpp"
#include "common/sentences.hpp"
#include "pointbook/happened.hpp"
#include "wire/fields.hpp"

namespace stillpoint::daemon {
namespace {

using occupation::PointStatus;
using pointbook::EventKind;
using wire::Json, wire::line_of;

bool reaches(UtcTime now, UtcTime when) {
  return now.ms - when.ms <= pointbook::kClosingReachesBack_ms;
}

std::string held_text(const occupation::Point& point) {
  std::string why;
  for (const auto reason : point.reasons) why += (why.empty() ? "" : ", ") + std::string(to_word(reason));
  return point.name + " visit " + std::to_string(point.visit) + (why.empty() ? "" : " (" + why + ")");
}

std::string by_hand_text(const occupation::StoredPoint& stored) {
  return kSay.by_hand(held_text(stored.point), stored.changed_by, stored.change_reason);
}

Json counts_json(const DayTally& tally) {
  Json alerts = Json::object();
  for (const auto& [key, times] : tally.alerts) alerts[key] = times;
  return Json::object({{"accepted", tally.accepted},
                       {"held", tally.held},
                       {"rejected", tally.rejected},
                       {"abandoned", tally.abandoned},
                       {"outages", tally.outages},
                       {"alerts", alerts}});
}

Json proof_json(const DayClosed& day) {
  if (!day.proof) return nullptr;
  return Json::object({{"mark", day.proof->mark},
                       {"utc", day.proof->utc ? Json(to_text(*day.proof->utc)) : Json(nullptr)},
                       {"text", day.proof->text}});
}

Json body_of(const DayClosed& day) {
  Json files = Json::array();
  for (const RecordSum& sum : day.record.files) files.push_back({{"file", sum.file}, {"sha256", sum.sha256}});
  return Json::object({{"counts", counts_json(day.tally)},
                       {"held", day.tally.held_points},
                       {"accepted_by_hand", day.tally.by_hand},
                       {"left_held_because", day.asked.leave_held},
                       {"proof", proof_json(day)},
                       {"record",
                        {{"unchanged", files},
                         {"faults", day.record.faults},
                         {"left_because", day.record.faults.empty() ? "" : day.asked.leave_record}}}});
}

std::string proof_text(const DayClosed& day) {
  if (day.proof) {
    return day.proof->utc ? kSay.proved_at(day.proof->mark, clock_text(*day.proof->utc) + " UTC")
                          : kSay.proved(day.proof->mark);
  }
  return kSay.not_proved();
}

std::string record_text(const DayClosed& day) {
  if (!day.record.faults.empty()) {
    const auto& faults = day.record.faults;
    return kSay.record_left(
        faults.size() > 1 ? kSay.and_more(faults.front(), std::to_string(faults.size() - 1)) : faults.front(),
        day.asked.leave_record);
  }
  return kSay.as_recorded(counted(day.record.files.size(), "file of the record is", "files of the record are"));
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
    if (is_by_hand(point)) out.by_hand.push_back(by_hand_text(entry.stored));
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

std::string close_sentence(const DayClosed& day) {
  const DayTally& tally = day.tally;
  const std::string number = std::to_string(tally.held);
  const std::string held = tally.held > 0 ? kSay.held_left(number, day.asked.leave_held) : kSay.held_none(number);
  std::size_t alerts = 0;
  for (const auto& [key, times] : tally.alerts) alerts += times;
  const std::string by_hand = tally.by_hand.empty() ? "" : kSay.some_by_hand(std::to_string(tally.by_hand.size()));
  return kSay.closed(counted(tally.accepted, "point"), by_hand, held, std::to_string(tally.rejected),
                     counted(tally.abandoned, "stay"), counted(tally.outages, "outage"), counted(alerts, "alert"),
                     proof_text(day), record_text(day));
}

pointbook::Event close_event(const DayClosed& day) {
  Json details = Json::object({{"by", day.asked.by}});
  details.update(body_of(day));
  return {day.utc, std::string(pointbook::kDayClosed), close_sentence(day), line_of(details)};
}

std::string close_json(const DayClosed& day) {
  Json out = Json::object({{"text", close_sentence(day)}, {"closed_utc", to_text(day.utc)}});
  out.update(body_of(day));
  out["scales"] = day.scales;
  return line_of(out);
}

}  // namespace stillpoint::daemon
