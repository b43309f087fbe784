#include "day/plan.hpp"

#include <spdlog/spdlog.h>

#include <algorithm>
#include <filesystem>
#include <map>
#include <nlohmann/json.hpp>

#include "base/typed.hpp"
#include "common/sentences.hpp"
#include "wire/fields.hpp"

namespace stillpoint::daemon {
namespace {

using Json = nlohmann::ordered_json;

/// When the newest visit of each name that counts ended; names as they are read aloud.
std::map<std::string, UtcTime> visited(const Catalogue& points) {
  std::map<std::string, UtcTime> out;
  for (const CatalogueEntry& entry : points.entries()) {
    const occupation::Point& point = entry.stored.point;
    if (point.status == occupation::PointStatus::rejected) continue;
    const UtcTime ended = point.finished_utc.value_or(UtcTime{});
    UtcTime& newest = out.try_emplace(read_aloud(point.name), ended).first->second;
    newest = std::max(newest, ended);
  }
  return out;
}

}  // namespace

Result<control::Plan> plan_of(const config::Settings& settings, UtcTime now) {
  const std::string& path = settings.project.plan;
  if (path.empty()) return control::Plan{};
  // Closing it would drop the locks of the pointbook that this process has open.
  std::error_code none;
  if (std::filesystem::equivalent(path, settings.project.pointbook, none)) return fail(kSay.plan_in_book(path));
  return pointbook::read_plan_file(path, {settings.project.frame, decimal_year(now)});
}

void log_faults(const control::Plan& plan) {
  for (const std::string& error : plan.errors) spdlog::error("{}", error);
  for (const std::string& warning : plan.warnings) spdlog::warn("{}", warning);
}

std::string plan_json(const control::Plan& plan, const Catalogue& points, UtcTime now) {
  const auto ended = visited(points);
  Json list = Json::array();
  for (const control::PlannedPoint& planned : plan.points) {
    const auto visit = ended.find(read_aloud(planned.name));
    const auto state =
        control::state_of(planned, visit == ended.end() ? std::nullopt : std::optional(visit->second), now);
    list.push_back({{"point", planned.name},
                    {"state", to_word(state)},
                    {"code", planned.code},
                    {"note", planned.note},
                    {"latitude_deg", planned.latitude_deg},
                    {"longitude_deg", planned.longitude_deg},
                    {"again_from_utc", planned.again_from ? Json(to_text(*planned.again_from)) : Json(nullptr)}});
  }
  return wire::line_of(Json::object({{"plan", list}, {"warnings", plan.warnings}, {"errors", plan.errors}}));
}

}  // namespace stillpoint::daemon
