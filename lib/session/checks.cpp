#include "session/checks.hpp"

#include <algorithm>
#include <utility>

#include "base/number.hpp"
#include "occupation/place.hpp"
#include "session/sentences.hpp"

namespace stillpoint::session {
namespace {

constexpr double kMsPerMinute = 60000.0;

/// A mark tells whether the geoid or the receiver is wrong: a shot on it is compared all the same.
bool is_held_for_geoid(const occupation::Point& point) {
  return point.reasons == std::vector{occupation::HoldReason::geoid_contradicted};
}

}  // namespace

Checks::Checks(const Basis& basis) : basis_(&basis) {
  for (const PassedCheck& check : basis.options.earlier_checks) proving_.note(check.source, check.utc);
}

std::optional<int> Checks::missing_to_prove(const std::string& source) const {
  return is_configured() ? std::optional(proving_.missing(source)) : std::nullopt;
}

Result<void> Checks::set_marks(control::Marks marks) {
  auto transfers = geodesy::Transfers::open();
  if (!transfers) return tl::unexpected(transfers.error());
  transfers_ = std::move(*transfers);
  marks_ = std::move(marks);
  return {};
}

Result<std::string> Checks::begin(const std::string& name, const CheckCommand& how) {
  if (!is_configured()) return fail(kSay.no_marks());
  const control::Mark* mark = marks_.find(name);
  if (mark == nullptr) return fail(kSay.no_mark(name));
  if (mark->status == control::MarkStatus::base) {
    return fail(kSay.mark_is_base(name));
  }
  const Heading* heading = heading_of(how.turn);
  if (!how.turn.empty() && heading == nullptr) {
    return fail(kSay.no_heading(how.turn));
  }
  open_ = {*mark, how};
  if (heading == nullptr) return kSay.checking(name);
  return kSay.turning(name, heading->name);
}

std::optional<control::Residual> Checks::off_mark(const occupation::Coordinates& at) const {
  const auto off = control::residual(*transfers_, open_->mark, basis_->frames.project_frame(), at);
  return off ? std::optional(*off) : std::nullopt;
}

std::string Checks::kind(const CheckCommand& how, SteadyTime now) const {
  if (!how.turn.empty()) return "turn";
  if (how.closing) return "closing";
  if (!newest_) return "opening";
  return due(now).empty() ? "extra" : "due";
}

FinishedCheck Checks::finish(occupation::Point point, SteadyTime now, std::optional<double> receiver_geoid_m) {
  const Open open = *std::exchange(open_, std::nullopt);
  FinishedCheck done;
  done.mark = open.mark;
  done.kind = kind(open.how, now);
  done.point = std::move(point);
  if (!place(done)) return done;
  if (const Heading* heading = heading_of(open.how.turn)) {
    turn_test_.take(*heading, done);
  } else {
    judge(done, now, receiver_geoid_m);
  }
  return done;
}

/// Whether the stay can be compared with its mark; if not, the verdict says why.
bool Checks::place(FinishedCheck& done) const {
  const occupation::Point& point = done.point;
  const std::string what = (done.kind == "turn" ? kSay.stay_on : kSay.check_on)(done.mark.name);
  if (!point.at || (point.status != occupation::PointStatus::accepted && !is_held_for_geoid(point))) {
    const std::string why = point.reason_texts.empty() ? kSay.nothing_counted() : point.reason_texts.front();
    done.verdict = no_check(kSay.does_not_count(what, why));
    return false;
  }
  const auto compared = control::residual(*transfers_, done.mark, basis_->frames.project_frame(), *point.at);
  if (!compared) {
    done.verdict = no_check(kSay.not_comparable(what, compared.error().text));
    return false;
  }
  done.residual = *compared;
  return true;
}

void Checks::judge(FinishedCheck& done, SteadyTime now, std::optional<double> receiver_geoid_m) {
  const occupation::Point& point = done.point;
  const auto& sources = basis_->settings.sources;
  const auto source = std::find_if(sources.begin(), sources.end(),
                                   [&](const config::Source& each) { return each.name == point.source; });
  control::Allowed allowed;
  if (source != sources.end()) allowed.hard_limit_m = source->check_limit_m;
  const UtcTime utc = point.finished_utc.value_or(UtcTime{});
  std::vector<std::string> notes = control::cautions(done.mark, utc);
  if (is_held_for_geoid(point)) notes.push_back(point.reason_texts.front());
  done.verdict = control::judge(done.mark.name, *done.residual, allowed, std::move(notes));
  if (done.verdict.outcome == control::Outcome::stop) {
    done.diagnosis = diagnose(done, receiver_geoid_m);
  } else {
    done.overlaps = overlaps_.pass(done.mark.name, {point.source, *done.residual, *point.at});
  }
  remember(done, now);
}

void Checks::remember(const FinishedCheck& done, SteadyTime now) {
  const bool failed = done.verdict.outcome == control::Outcome::stop;
  newest_ = {done.mark.name, done.verdict.text, done.point.finished_utc, failed};
  kept_since_ = 0;
  since_change_.push_back({done.mark.name, *done.residual});
  if (failed) return;
  proving_.note(done.point.source, done.point.finished_utc.value_or(UtcTime{}));
  passed_at_ = now;
  due_because_.clear();
}

control::Diagnosis Checks::diagnose(const FinishedCheck& done, std::optional<double> receiver_geoid_m) const {
  std::vector<control::Residual> others;
  for (const Shot& shot : since_change_) {
    if (shot.mark != done.mark.name) others.push_back(shot.residual);
  }
  return control::diagnose(*done.residual, scene(done, receiver_geoid_m), others);
}

control::Scene Checks::scene(const FinishedCheck& done, std::optional<double> receiver_geoid_m) const {
  const config::Settings& settings = basis_->settings;
  const std::string& project_frame = basis_->frames.project_frame();
  const occupation::Coordinates& at = *done.point.at;
  control::FrameQuestion question;
  for (const config::Source& source : settings.sources) {
    if (source.name == done.point.source) question.source_frame = source.frame;
    question.others.push_back(source.frame);
  }
  question.project_frame = transfers_->base_code(project_frame).value_or(project_frame);
  question.mark_frame = done.mark.frame;
  question.place = occupation::place_of(at);
  question.year = decimal_year(done.point.finished_utc.value_or(UtcTime{}));
  control::Scene scene;
  scene.frames = control::frame_vectors(*transfers_, question);
  scene.plate_motion_m_per_year = control::plate_motion_m_per_year(*transfers_, question.place, question.year);
  scene.antenna = settings.antenna;
  scene.antenna_height_m = done.point.antenna_height_m;
  scene.mark_height_m = done.mark.height_m;
  if (at.orthometric_height_m) scene.geoid_height_m = at.ellipsoid_height_m - *at.orthometric_height_m;
  scene.receiver_geoid_m = receiver_geoid_m;
  scene.easting_m = at.easting_m;
  scene.northing_m = at.northing_m;
  return scene;
}

void Checks::change(const std::string& what) {
  since_change_.clear();
  turn_test_.forget();
  if (newest_) due_because_ = what;
}

void Checks::keep(const std::string& source) {
  ++kept_since_;
  overlaps_.keep(source);
}

Condition Checks::due_condition(SteadyTime now) const noexcept {
  if (!is_configured() || has_failed()) return {};
  if (!due_because_.empty()) return {true};
  if (!passed_at_) return {};
  const double every_min = basis_->settings.alerts.check_due_min;
  const bool holds = static_cast<double>(now.ms - passed_at_->ms) / kMsPerMinute >= every_min;
  return {holds, holds ? kNotByTime : ms_after(*passed_at_, every_min * 60)};
}

std::string Checks::due(SteadyTime now) const {
  if (!due_condition(now).holds) return {};
  if (!due_because_.empty()) return due_because_;
  return kSay.check_long_ago(fixed(basis_->settings.alerts.check_due_min, 0));
}

void Checks::look(const Moment& moment, AlertBoard& board) const {
  if (!is_configured()) return;
  board.report(AlertKind::check_due, due_condition(moment.now), moment, [&] {
    return AlertText{kSay.check_due(due(moment.now)), kSayBriefly.check_due()};
  });
  board.report(AlertKind::check_failed, {has_failed()}, moment, [&] {
    return AlertText{kSay.check_failed(newest_->text), kSayBriefly.check_failed()};
  });
}

void Checks::say(occupation::Point& point, SteadyTime now) const {
  if (!is_configured() || point.status == occupation::PointStatus::none) return;
  if (due_condition(now).holds) {
    point.flags.emplace_back("check-due");
    std::sort(point.flags.begin(), point.flags.end());
  }
  const auto hold = [&point](occupation::HoldReason reason, std::string why) {
    point.status = occupation::PointStatus::held;
    point.reasons.push_back(reason);
    point.reason_texts.push_back(std::move(why));
  };
  if (const std::string why = overlaps_.due(point.source); !why.empty()) {
    hold(occupation::HoldReason::overlap_check_due, kSay.overlap_due(why));
  }
  if (has_failed()) hold(occupation::HoldReason::check_failed, kSay.last_check_failed(newest_->text));
}

Closing Checks::closing(SteadyTime now) const {
  Closing closing;
  std::vector<std::string>& why = closing.why_not;
  if (!is_configured()) return closing;
  if (has_failed()) why.push_back(kSay.newest_check_failed(newest_->text));
  if (const std::string because = due(now); !because.empty()) why.push_back(kSay.check_due(because));
  if (newest_ && kept_since_ > 0) {
    why.push_back(kSay.kept_since(counted(kept_since_, "point was", "points were")));
  }
  if (why.empty() && newest_) closing.proof = Proof{newest_->mark, newest_->text, newest_->utc};
  return closing;
}

std::string Checks::advice() const {
  const Heading* heading = open_ ? heading_of(open_->how.turn) : nullptr;
  return heading == nullptr ? "" : kSay.pole_faces(heading->name) + " ";
}

void Checks::fill(CheckStatus& told, const std::string& source, SteadyTime now) const {
  told.configured = is_configured();
  told.failed = has_failed();
  const std::string because = due(now);
  told.due = !because.empty();
  if (const Condition by_time = due_condition(now); !by_time.holds && by_time.may_change_ms != kNotByTime)
    told.due_in_s = static_cast<double>(by_time.may_change_ms - now.ms) / 1000.0;
  if (!is_configured()) {
    told.text = kSay.nothing_proves();
  } else if (!newest_) {
    told.text = kSay.none_yet();
  } else {
    told.last_utc = newest_->utc;
    const std::string clock = newest_->utc ? to_text(*newest_->utc).substr(11, 5) + " UTC" : "";
    told.text = "last " + clock + (newest_->failed ? ", failed" : ", passed");
    if (!since_change_.empty()) {
      told.off_m = since_change_.back().residual.horizontal_m();
      told.text += ", " + fixed(*told.off_m, 3) + " m off";
    }
    if (told.due) told.text += "; due: " + because;
  }
  if (!is_configured()) return;
  if (const std::string why = overlaps_.due(source); !why.empty()) told.text += kSay.overlap_told(why);
}

}  // namespace stillpoint::session
