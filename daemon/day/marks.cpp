#include "day/marks.hpp"

#include <spdlog/spdlog.h>

#include <filesystem>
#include <nlohmann/json.hpp>

#include "base/number.hpp"
#include "common/sentences.hpp"
#include "pointbook/mark_file.hpp"
#include "wire/fields.hpp"

namespace stillpoint::daemon {
namespace {

using Json = nlohmann::ordered_json;

Json number_or_null(const std::optional<double>& value) {
  return value ? Json(*value) : Json(nullptr);
}

void add_diagnosis(Json& out, const control::Diagnosis& diagnosis) {
  out["diagnosis"] = diagnosis.text;
  out["diagnosis_sentences"] = diagnosis.sentences;
  out["suspects"] = Json::array();
  for (const control::Ranked& ranked : diagnosis.suspects) {
    out["suspects"].push_back(
        {{"suspect", to_word(ranked.suspect)},
         {"share", ranked.share},
         {"what", ranked.what},
         {"confirm", ranked.confirm},
         {"predicted_m", {ranked.predicted.east_m, ranked.predicted.north_m, ranked.predicted.up_m}}});
  }
}

Json overlap_json(const control::Overlap& overlap) {
  return {{"older_source", overlap.older_source},
          {"newer_source", overlap.newer_source},
          {"agrees", overlap.agrees},
          {"step_east_m", overlap.step.east_m},
          {"step_north_m", overlap.step.north_m},
          {"step_up_m", number_or_null(overlap.step.up_m)},
          {"limit_horizontal_m", overlap.limit_horizontal_m},
          {"limit_vertical_m", overlap.limit_vertical_m},
          {"text", overlap.text}};
}

Json turn_json(const control::Turn& turn) {
  return {{"leans", turn.leans},         {"lean_m", turn.lean_m()}, {"right_m", turn.right_m},
          {"forward_m", turn.forward_m}, {"sigma_m", turn.sigma_m}, {"scatter_m", turn.scatter_m}};
}

}  // namespace

Result<control::Marks> marks_of(const config::Settings& settings) {
  const std::string& path = settings.checks.marks;
  if (path.empty()) return control::Marks{};
  // Closing it would drop the locks of the pointbook that this process has open.
  std::error_code none;
  if (std::filesystem::equivalent(path, settings.project.pointbook, none)) {
    return fail(kSay.marks_in_book(path));
  }
  return pointbook::read_mark_file(path);
}

Result<void> load_marks(session::Session& session, const config::Settings& settings) {
  if (settings.checks.marks.empty()) return {};
  auto marks = marks_of(settings);
  if (!marks) return tl::unexpected(marks.error());
  for (const std::string& error : marks->errors) spdlog::error("{}", error);
  for (const std::string& warning : marks->warnings) spdlog::warn("{}", warning);
  return session.set_marks(std::move(*marks));
}

std::string check_json(const session::FinishedCheck& check) {
  Json out = Json::object({{"mark", check.mark.name},
                           {"kind", check.kind},
                           {"utc", check.point.finished_utc ? Json(to_text(*check.point.finished_utc)) : Json(nullptr)},
                           {"outcome", to_word(check.verdict.outcome)},
                           {"text", check.verdict.text},
                           {"limits", check.verdict.limits},
                           {"notes", check.verdict.notes}});
  if (check.residual) {
    const control::Residual& r = *check.residual;
    out["off_east_m"] = r.east_m;
    out["off_north_m"] = r.north_m;
    out["off_up_m"] = number_or_null(r.up_m);
    out["off_east_error95_m"] = r.east95_m();
    out["off_north_error95_m"] = r.north95_m();
    out["off_up_error95_m"] = r.up_m ? Json(r.up95_m()) : Json(nullptr);
    if (check.kind != "turn") {
      out["limit_horizontal_m"] = check.verdict.limit_horizontal_m;
      out["limit_vertical_m"] = number_or_null(check.verdict.limit_vertical_m);
    }
  }
  if (!check.overlaps.empty()) {
    out["overlaps"] = Json::array();
    for (const control::Overlap& overlap : check.overlaps) out["overlaps"].push_back(overlap_json(overlap));
  }
  if (check.turn) out["turn"] = turn_json(*check.turn);
  if (check.kind == "turn") return wire::line_of(out);
  if (check.residual && check.verdict.outcome == control::Outcome::stop) add_diagnosis(out, check.diagnosis);
  return wire::line_of(out);
}

std::string marks_json(const control::Marks& marks) {
  Json list = Json::array();
  for (const control::Mark& mark : marks.marks) {
    list.push_back({{"mark", mark.name},
                    {"status", to_word(mark.status)},
                    {"frame", mark.frame},
                    {"coordinate_epoch", mark.coordinate_epoch},
                    {"latitude_deg", number_or_null(mark.latitude_deg)},
                    {"longitude_deg", number_or_null(mark.longitude_deg)},
                    {"height", mark.height_m ? to_word(mark.height_kind) : std::string_view("none")},
                    {"remarks", mark.remarks}});
  }
  return wire::line_of(Json::object({{"marks", list}, {"warnings", marks.warnings}, {"errors", marks.errors}}));
}

}  // namespace stillpoint::daemon
