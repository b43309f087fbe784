#include "session/checks.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/number.hpp"
#include "occupation/place.hpp"
#include "session/state.hpp"

namespace stillpoint::session {
namespace {

constexpr double kMsPerMinute = 60000.0;
constexpr AlertRule kDue{"check-due", Severity::notice, 0, 0, false};
constexpr AlertRule kFailed{"check-failed", Severity::stop_work, 0, 0, false};

control::Verdict no_check(const std::string& why) {
  control::Verdict out;
  out.text = why;
  return out;
}

}  // namespace

bool Checks::is_due(SteadyTime now, double every_min) const noexcept {
  if (!configured || failed) return false;
  if (!due_because.empty()) return true;
  return passed_at && static_cast<double>(now.ms - passed_at->ms) / kMsPerMinute >= every_min;
}

std::string Checks::due(SteadyTime now, double every_min) const {
  if (!is_due(now, every_min)) return {};
  if (!due_because.empty()) return due_because;
  return "the last check was " + fixed(every_min, 0) + " min ago or more";
}

void Checks::change(const std::string& what) {
  since_change.clear();
  if (any) due_because = what;
}

Result<void> Session::set_marks(control::Marks marks) {
  auto transfers = geodesy::Transfers::open();
  if (!transfers) return tl::unexpected(transfers.error());
  Checks& checks = state_->checks;
  checks.transfers = std::move(*transfers);
  checks.marks = std::move(marks);
  checks.configured = true;
  state_->stir();
  return {};
}

const control::Marks& Session::marks() const {
  return state_->checks.marks;
}

bool Session::is_checking() const noexcept {
  return state_->checks.shooting.has_value();
}

CommandResult Session::check(const std::string& name, const std::optional<Again>& computed_anew) {
  State& s = *state_;
  if (s.live) return {false, s.live->stand().name + " is open; keep or drop it first", 0};
  if (!s.standstill.empty()) return {false, "nothing is judged: " + s.standstill, 0};
  if (!s.checks.configured) return {false, "no marks are configured; name their file under [checks] as marks", 0};
  const control::Mark* mark = s.checks.marks.find(name);
  if (mark == nullptr) return {false, "no mark is called " + name + "; see stillpoint marks", 0};
  if (mark->status == control::MarkStatus::base) {
    return {false, name + " is the base: corrections come from it, so it cannot check itself; take another mark", 0};
  }
  s.checks.shooting = *mark;
  s.live_initialized.reset();
  s.live_anew = computed_anew;
  s.live.emplace(occupation::Stand{name, 1, "", "", s.live_height_m(), s.options.keep_epochs, s.options.training},
                 s.settings, s.frames);
  s.note_event("check", "occupied the mark " + name + " for a check");
  s.out.status_changed = true;
  std::string text = "checking on " + name + "; keep it when enough seconds have counted";
  for (const std::string& caution : control::cautions(*mark, s.utc_now().value_or(UtcTime{}))) text += "; " + caution;
  return {true, std::move(text), 1};
}

/// The stay on a mark ends: compared, judged, and explained when it did not pass.
void Session::State::finish_check(bool interrupted) {
  stir();
  if (interrupted) live->interrupt();
  FinishedCheck done;
  done.mark = *std::exchange(checks.shooting, std::nullopt);
  done.kind = !checks.any ? "opening" : checks.due(now, settings.alerts.check_due_min).empty() ? "extra" : "due";
  done.point = live->finish();
  live.reset();
  jumped = false;
  judge_check(done);
  note_event("check-result", done.verdict.text);
  out.checks.push_back(std::move(done));
  out.status_changed = true;
  watch_checks();
}

void Session::State::judge_check(FinishedCheck& done) {
  const occupation::Point& point = done.point;
  if (point.status != occupation::PointStatus::accepted || !point.at) {
    const std::string why = point.reason_texts.empty() ? "no second had counted" : point.reason_texts.front();
    done.verdict = no_check("the check on " + done.mark.name + " does not count: " + why + "; occupy it again");
    return;
  }
  const auto compared = control::residual(*checks.transfers, done.mark, frames.project_frame(), *point.at);
  if (!compared) {
    done.verdict = no_check("the check on " + done.mark.name + " cannot be compared: " + compared.error().text);
    return;
  }
  done.residual = *compared;
  const auto source = std::find_if(settings.sources.begin(), settings.sources.end(),
                                   [&](const config::Source& each) { return each.name == point.source; });
  control::Allowed allowed;
  if (source != settings.sources.end()) allowed.hard_limit_m = source->check_limit_m;
  const UtcTime utc = point.finished_utc.value_or(UtcTime{});
  done.verdict = control::judge(done.mark.name, *compared, allowed, control::cautions(done.mark, utc));
  if (done.verdict.outcome == control::Outcome::stop) diagnose_check(done);
  remember_check(done);
}

void Session::State::remember_check(const FinishedCheck& done) {
  checks.any = true;
  checks.failed = done.verdict.outcome == control::Outcome::stop;
  checks.last_text = done.verdict.text;
  checks.last_utc = done.point.finished_utc;
  checks.since_change.push_back({done.mark.name, *done.residual});
  if (checks.failed) return;
  checks.passed_at = now;
  checks.due_because.clear();
}

void Session::State::diagnose_check(FinishedCheck& done) {
  const occupation::Coordinates& at = *done.point.at;
  const double year = decimal_year(done.point.finished_utc.value_or(UtcTime{}));
  control::FrameQuestion question;
  for (const config::Source& source : settings.sources) {
    if (source.name == done.point.source) question.source_frame = source.frame;
    question.others.push_back(source.frame);
  }
  question.project_frame = checks.transfers->base_code(frames.project_frame()).value_or(frames.project_frame());
  question.mark_frame = done.mark.frame;
  question.place = occupation::place_of(at);
  question.year = year;
  control::Scene scene;
  scene.frames = control::frame_vectors(*checks.transfers, question);
  scene.plate_motion_m_per_year = control::plate_motion_m_per_year(*checks.transfers, question.place, year);
  scene.antenna = settings.antenna;
  scene.antenna_height_m = done.point.antenna_height_m;
  scene.mark_height_m = done.mark.height_m;
  if (at.orthometric_height_m) scene.geoid_height_m = at.ellipsoid_height_m - *at.orthometric_height_m;
  if (last) scene.receiver_geoid_m = last->epoch.geoid_separation_m;
  scene.easting_m = at.easting_m;
  scene.northing_m = at.northing_m;
  std::vector<control::Residual> others;
  for (const Checks::Shot& shot : checks.since_change) {
    if (shot.mark != done.mark.name) others.push_back(shot.residual);
  }
  done.diagnosis = control::diagnose(*done.residual, scene, others);
}

void Session::State::watch_checks() {
  if (!checks.configured) return;
  const double every_min = settings.alerts.check_due_min;
  board.report(kDue, checks.is_due(now, every_min), now, utc_now(),
               [&] { return "a check on a mark is due: " + checks.due(now, every_min); });
  board.report(kFailed, checks.failed, now, utc_now(),
               [&] { return checks.last_text + "; points are held until a check passes"; });
}

/// What the state of the checks means for a point that is finished now.
void Session::State::say_checks(occupation::Point& point) const {
  if (!checks.configured || point.status == occupation::PointStatus::none) return;
  if (checks.is_due(now, settings.alerts.check_due_min)) {
    point.flags.emplace_back("check-due");
    std::sort(point.flags.begin(), point.flags.end());
  }
  if (!checks.failed) return;
  point.status = occupation::PointStatus::held;
  point.reasons.push_back(occupation::HoldReason::check_failed);
  point.reason_texts.push_back("the last check failed: " + checks.last_text);
}

CheckStatus Session::State::check_status() const {
  CheckStatus told;
  told.configured = checks.configured;
  told.last_utc = checks.last_utc;
  told.failed = checks.failed;
  const std::string due = checks.due(now, settings.alerts.check_due_min);
  told.due = !due.empty();
  if (!checks.configured) {
    told.text = "no marks configured: nothing can be proved";
  } else if (checks.since_change.empty() && !checks.any) {
    told.text = "none yet; due";
  } else {
    const std::string clock = checks.last_utc ? to_text(*checks.last_utc).substr(11, 5) + " UTC" : "";
    told.text = "last " + clock + (checks.failed ? ", failed" : ", passed");
    if (!checks.since_change.empty()) {
      told.off_m = checks.since_change.back().residual.horizontal_m();
      told.text += ", " + fixed(*told.off_m, 3) + " m off";
    }
    if (told.due) told.text += "; due: " + due;
  }
  return told;
}

}  // namespace stillpoint::session
