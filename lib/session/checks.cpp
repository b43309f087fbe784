#include "session/checks.hpp"

#include <algorithm>
#include <array>
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

struct Heading {
  std::string_view word, name;
  double deg;
};
constexpr std::array<Heading, 4> kHeadings{
    {{"N", "north", 0}, {"E", "east", 90}, {"S", "south", 180}, {"W", "west", 270}}};

const Heading* heading_of(std::string_view word) {
  const auto at = std::find_if(kHeadings.begin(), kHeadings.end(), [&](const Heading& h) { return h.word == word; });
  return at == kHeadings.end() ? nullptr : &*at;
}

std::string names_of(const std::set<std::string>& sources) {
  std::string out;
  for (const std::string& source : sources) out += (out.empty() ? "\"" : " or \"") + source + "\"";
  return out;
}

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
  turning.clear();
  turned.clear();
  if (any) due_because = what;
}

void Checks::kept(const std::string& source) {
  ++kept_since;
  if (tied.empty() && !source.empty()) tied.insert(source);
}

std::string Checks::overlap_due(const std::string& source) const {
  if (!configured || source.empty() || tied.empty() || tied.contains(source)) return {};
  if (const auto at = disagrees.find(source); at != disagrees.end()) return at->second;
  return "no mark has passing checks under \"" + source + "\" and under " + names_of(tied) +
         "; check one mark under both";
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

CommandResult Session::check(const std::string& name, const CheckCommand& how,
                             const std::optional<Again>& computed_anew) {
  State& s = *state_;
  if (s.live) return {false, s.live->stand().name + " is open; keep or drop it first", 0};
  if (!s.standstill.empty()) return {false, "nothing is judged: " + s.standstill, 0};
  if (!s.checks.configured) return {false, "no marks are configured; name their file under [checks] as marks", 0};
  const control::Mark* mark = s.checks.marks.find(name);
  if (mark == nullptr) return {false, "no mark is called " + name + "; see stillpoint marks", 0};
  if (mark->status == control::MarkStatus::base) {
    return {false, name + " is the base: corrections come from it, so it cannot check itself; take another mark", 0};
  }
  const Heading* heading = heading_of(how.turn);
  if (!how.turn.empty() && heading == nullptr) {
    return {false, "the pole faces N, E, S or W in a turn test; \"" + how.turn + "\" is none of them", 0};
  }
  s.checks.shooting = *mark;
  s.checks.how = how;
  s.live_initialized.reset();
  s.live_anew = computed_anew;
  s.begin_live({name, 1, "", "", s.live_height_m(), s.options.keep_epochs, s.options.training});
  s.note_event("check", "occupied the mark " + name + " for a check");
  s.out.status_changed = true;
  std::string text = "checking on " + name + "; keep it when enough seconds have counted";
  if (heading != nullptr) {
    text = "turn test on " + name + ": let the pole face " + std::string(heading->name) +
           ", level the bubble, stand still; keep it when enough seconds have counted";
  }
  for (const std::string& caution : control::cautions(*mark, s.utc_now().value_or(UtcTime{}))) text += "; " + caution;
  return {true, std::move(text), 1};
}

/// The stay on a mark ends: compared, judged, and explained when it did not pass.
void Session::State::finish_check(bool interrupted) {
  stir();
  if (interrupted) live->interrupt();
  FinishedCheck done;
  done.mark = *std::exchange(checks.shooting, std::nullopt);
  done.kind = !checks.how.turn.empty()                                 ? "turn"
              : checks.how.closing                                     ? "closing"
              : !checks.any                                            ? "opening"
              : checks.due(now, settings.alerts.check_due_min).empty() ? "extra"
                                                                       : "due";
  done.point = live->finish();
  live.reset();
  jumped = false;
  if (place_check(done)) done.kind == "turn" ? finish_turn(done) : judge_check(done);
  note_event(done.kind == "turn" ? "turn-test" : "check-result", done.verdict.text);
  for (const control::Overlap& overlap : done.overlaps) note_event("overlap-check", overlap.text);
  out.checks.push_back(std::move(done));
  out.status_changed = true;
  watch_checks();
}

/// Whether the stay can be compared with its mark; if not, the verdict says why.
bool Session::State::place_check(FinishedCheck& done) {
  const occupation::Point& point = done.point;
  const std::string what = (done.kind == "turn" ? "the stay on " : "the check on ") + done.mark.name;
  if (point.status != occupation::PointStatus::accepted || !point.at) {
    const std::string why = point.reason_texts.empty() ? "no second had counted" : point.reason_texts.front();
    done.verdict = no_check(what + " does not count: " + why + "; occupy it again");
    return false;
  }
  const auto compared = control::residual(*checks.transfers, done.mark, frames.project_frame(), *point.at);
  if (!compared) {
    done.verdict = no_check(what + " cannot be compared: " + compared.error().text);
    return false;
  }
  done.residual = *compared;
  return true;
}

void Session::State::judge_check(FinishedCheck& done) {
  const occupation::Point& point = done.point;
  const auto source = std::find_if(settings.sources.begin(), settings.sources.end(),
                                   [&](const config::Source& each) { return each.name == point.source; });
  control::Allowed allowed;
  if (source != settings.sources.end()) allowed.hard_limit_m = source->check_limit_m;
  const UtcTime utc = point.finished_utc.value_or(UtcTime{});
  done.verdict = control::judge(done.mark.name, *done.residual, allowed, control::cautions(done.mark, utc));
  if (done.verdict.outcome == control::Outcome::stop) {
    diagnose_check(done);
  } else {
    tie_sources(done);
  }
  remember_check(done);
}

/// A source is tied to the day's own when one mark was shot under both and the step is one that both explain.
void Session::State::tie_sources(FinishedCheck& done) {
  const std::string& source = done.point.source;
  const control::SourceShot shot{source, *done.residual, *done.point.at};
  checks.passed[{done.mark.name, source}] = shot;
  if (checks.tied.empty()) checks.tied.insert(source);
  const bool is_tied = checks.tied.contains(source);
  for (const auto& [key, other] : checks.passed) {
    if (key.first != done.mark.name || checks.tied.contains(other.source) == is_tied) continue;
    const control::SourceShot& own = is_tied ? shot : other;
    const control::SourceShot& joining = is_tied ? other : shot;
    control::Overlap overlap = control::compare_overlap(done.mark.name, own, joining);
    checks.disagrees.erase(joining.source);
    if (!overlap.agrees) checks.disagrees[joining.source] = overlap.text;
    const std::string joined = overlap.agrees ? joining.source : std::string();
    done.overlaps.push_back(std::move(overlap));
    if (joined.empty()) continue;
    checks.tied.insert(joined);
    if (!is_tied) return;
  }
}

/// One stay of a turn test; the fourth tells the lean.
void Session::State::finish_turn(FinishedCheck& done) {
  const Heading& heading = *heading_of(checks.how.turn);
  if (std::exchange(checks.turning, done.mark.name) != done.mark.name) checks.turned.clear();
  const auto& covariance = done.point.at->covariance_enu_m2;
  checks.turned[checks.how.turn] = {heading.deg, done.residual->east_m, done.residual->north_m,
                                    std::sqrt((covariance[0] + covariance[2]) / 2)};
  done.verdict.outcome = control::Outcome::pass;
  for (const Heading& next : kHeadings) {
    if (checks.turned.contains(std::string(next.word))) continue;
    done.verdict.text = "stay " + std::to_string(checks.turned.size()) + " of 4 on " + done.mark.name +
                        " is kept, the pole facing " + std::string(heading.name) + "; turn the pole to face " +
                        std::string(next.name) + " and begin the next: check " + done.mark.name + " --turn " +
                        std::string(next.word);
    return;
  }
  std::vector<control::TurnShot> shots;
  for (const auto& [word, shot] : checks.turned) shots.push_back(shot);
  const auto turn = control::turn_test(shots);
  checks.turning.clear();
  checks.turned.clear();
  if (!turn) {
    done.verdict = no_check(turn.error().text);
    return;
  }
  done.turn = *turn;
  if (turn->leans) done.verdict.outcome = control::Outcome::stop;
  done.verdict.text = control::turn_sentence(done.mark.name, *turn);
}

void Session::State::remember_check(const FinishedCheck& done) {
  checks.any = true;
  checks.failed = done.verdict.outcome == control::Outcome::stop;
  checks.last_text = done.verdict.text;
  checks.last_mark = done.mark.name;
  checks.kept_since = 0;
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
  const auto hold = [&point](occupation::HoldReason reason, std::string why) {
    point.status = occupation::PointStatus::held;
    point.reasons.push_back(reason);
    point.reason_texts.push_back(std::move(why));
  };
  if (const std::string why = checks.overlap_due(point.source); !why.empty()) {
    hold(occupation::HoldReason::overlap_check_due, "an overlap check is due: " + why);
  }
  if (checks.failed) hold(occupation::HoldReason::check_failed, "the last check failed: " + checks.last_text);
}

std::vector<std::string> Session::why_not_close() const {
  const State& s = *state_;
  const Checks& checks = s.checks;
  std::vector<std::string> why;
  if (s.live) {
    why.push_back((checks.shooting ? "the check on " : "") + s.live->stand().name + " is open; keep or drop it first");
  }
  if (!checks.configured) return why;
  if (checks.failed) why.push_back("the newest check failed: " + checks.last_text);
  const std::string due = checks.due(s.now, s.settings.alerts.check_due_min);
  if (!due.empty()) why.push_back("a check on a mark is due: " + due);
  if (checks.any && checks.kept_since > 0) {
    why.push_back(counted(checks.kept_since, "point was", "points were") +
                  " kept after the newest check; the day closes on a passing check with no point after it");
  }
  return why;
}

std::optional<Proof> Session::proof() const {
  const Checks& checks = state_->checks;
  if (!checks.configured || !why_not_close().empty()) return std::nullopt;
  return Proof{checks.last_mark, checks.last_text, checks.last_utc};
}

/// What to do on a mark, before the occupation's own advice.
std::string Session::State::check_advice() const {
  const Heading* heading = checks.shooting ? heading_of(checks.how.turn) : nullptr;
  return heading == nullptr ? "" : "The pole faces " + std::string(heading->name) + ". ";
}

void Session::State::fill_check(CheckStatus& told) const {
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
  if (last_good_source) {
    const std::string why = checks.overlap_due(settings.sources[*last_good_source].name);
    if (!why.empty()) told.text += "; overlap check due: " + why;
  }
}

}  // namespace stillpoint::session
