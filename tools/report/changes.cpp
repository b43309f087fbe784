// What people did, what went wrong and came back, and what visited twice says: facts out of events and versions.

#include <algorithm>
#include <array>
#include <cmath>
#include <nlohmann/json.hpp>
#include <set>

#include "geodesy/local.hpp"
#include "report/facts.hpp"
#include "report/words.hpp"

namespace stillpoint::report {
namespace {

// Contract keys. Those of the first list say that corrections or the receiver were missing.
constexpr std::array<std::string_view, 7> kOutages{"corrections-coasting", "corrections-stale", "feed-silent",
                                                   "feed-unavailable",     "feed-frozen",       "corrections-lost",
                                                   "station-unlisted"};
constexpr std::array<std::string_view, 11> kOtherAlerts{"source-changed",  "receiver-settings-changed",
                                                        "check-due",       "store-waiting",
                                                        "clock-disagrees", "disk-low",
                                                        "position-jump",   "disk-full",
                                                        "check-failed",    "record-failed",
                                                        "spool-damaged"};
constexpr std::array<std::string_view, 7> kByHand{"occupy", "kept",       "abandoned", "dropped",
                                                  "check",  "day-closed", "antenna"};

template <std::size_t N>
bool is_among(const std::array<std::string_view, N>& list, std::string_view word) {
  return std::find(list.begin(), list.end(), word) != list.end();
}

/// The member "by" of an event's details; empty when there is none.
std::string who_of(const std::string& details) {
  const auto json = nlohmann::json::parse(details, nullptr, false);
  if (!json.is_object()) return {};
  const auto by = json.find("by");
  return by != json.end() && by->is_string() ? by->get<std::string>() : std::string();
}

geodesy::Geographic place_of(const occupation::Coordinates& at) {
  return {at.latitude_deg, at.longitude_deg, at.ellipsoid_height_m};
}

RepeatFact repeat_of(const occupation::Point& a, const occupation::Point& b) {
  RepeatFact out;
  out.name = a.name;
  out.first_visit = a.visit;
  out.second_visit = b.visit;
  if (a.finished_utc && b.started_utc) out.minutes_between = seconds_between(*a.finished_utc, *b.started_utc) / 60;
  const geodesy::Enu off = geodesy::LocalFrame(place_of(*a.at)).to_enu(place_of(*b.at));
  out.east_m = off.east_m;
  out.north_m = off.north_m;
  out.up_m = off.up_m;
  out.allowed_plan_m = std::hypot(a.at->error95_horizontal_m, b.at->error95_horizontal_m);
  out.allowed_height_m = std::hypot(a.at->error95_vertical_m, b.at->error95_vertical_m);
  return out;
}

}  // namespace

bool RepeatFact::agree() const noexcept {
  return std::hypot(east_m, north_m) <= allowed_plan_m && std::abs(up_m) <= allowed_height_m;
}

std::vector<AlertFact> alerts_of(const std::vector<pointbook::Event>& events) {
  constexpr std::string_view kOver = "over: ";
  std::vector<AlertFact> out;
  for (const pointbook::Event& event : events) {
    const bool outage = is_among(kOutages, event.kind);
    if (!outage && !is_among(kOtherAlerts, event.kind)) continue;
    if (event.text.rfind(kOver, 0) != 0) {
      out.push_back({event.kind, event.text, event.utc, std::nullopt, outage});
      continue;
    }
    const auto open = std::find_if(out.rbegin(), out.rend(),
                                   [&](const AlertFact& each) { return each.key == event.kind && !each.until; });
    if (open != out.rend()) open->until = event.utc;
  }
  return out;
}

std::vector<ChangeFact> changes_of(const pointbook::Contents& book) {
  std::vector<ChangeFact> out;
  for (const occupation::StoredPoint& stored : book.versions) {
    if (stored.version == 1) continue;
    out.push_back({stored.stored_at, stored.changed_by,
                   point_name(stored.point.name, stored.point.visit) + " became version " +
                       std::to_string(stored.version) + ", " + std::string(to_word(stored.point.status)),
                   stored.change_reason});
  }
  for (const pointbook::Event& event : book.events) {
    if (is_among(kByHand, event.kind)) out.push_back({event.utc, who_of(event.details), event.text, ""});
  }
  for (const pointbook::AntennaSetup& setup : book.antennas) {
    out.push_back({setup.utc, "", "antenna height " + metres(setup.height_m),
                   setup.reason.empty() ? "as configured" : setup.reason});
  }
  std::stable_sort(out.begin(), out.end(), [](const auto& a, const auto& b) { return a.when < b.when; });
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

CheckSums sums_of(const std::vector<pointbook::CheckShot>& checks) {
  CheckSums out;
  std::set<std::string> marks;
  for (const pointbook::CheckShot& shot : checks) {
    ++out.shots;
    if (shot.passed) ++out.passed;
    marks.insert(shot.mark);
    out.rmse_east_m += shot.off_east_m * shot.off_east_m;
    out.rmse_north_m += shot.off_north_m * shot.off_north_m;
    out.worst_plan_m = std::max(out.worst_plan_m, std::hypot(shot.off_east_m, shot.off_north_m));
    if (!shot.off_up_m) continue;
    ++out.with_height;
    out.rmse_up_m += *shot.off_up_m * *shot.off_up_m;
    out.worst_height_m = std::max(out.worst_height_m, std::abs(*shot.off_up_m));
  }
  const auto root_mean = [](double& sum, std::size_t n) { sum = n == 0 ? 0 : std::sqrt(sum / static_cast<double>(n)); };
  root_mean(out.rmse_east_m, out.shots);
  root_mean(out.rmse_north_m, out.shots);
  root_mean(out.rmse_up_m, out.with_height);
  out.marks = marks.size();
  return out;
}

}  // namespace stillpoint::report
