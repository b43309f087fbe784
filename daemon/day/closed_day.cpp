#include "day/closed_day.hpp"

#include <nlohmann/json.hpp>

#include "base/number.hpp"
#include "common/sentences.hpp"
#include "wire/fields.hpp"

namespace stillpoint::daemon {
namespace {

using wire::Json, wire::line_of;

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
