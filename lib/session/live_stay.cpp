#include "session/live_stay.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/number.hpp"
#include "estimate/visits.hpp"
#include "session/sentences.hpp"

namespace stillpoint::session {
namespace {

constexpr std::int64_t kWordsMs = 250;
constexpr std::int64_t kRecountShownMs = 12'000;
constexpr double kLeftM = 1.0;  // nearer, the pole is being set up again

/// In claims: which of plan and height is farther off.
double apart_in_plan(const occupation::Observed& o) {
  return o.claimed95_m > 0 ? o.apart_m / o.claimed95_m : o.apart_m;
}
double apart_in_height(const occupation::Observed& o) {
  return o.claimed95_up_m > 0 ? o.apart_up_m / o.claimed95_up_m : o.apart_up_m;
}

std::string apart_text(const occupation::Observed& o) {
  if (apart_in_height(o) > apart_in_plan(o)) return kSay.set_apart_up(fixed(o.apart_up_m, 2));
  return kSay.set_apart(fixed(o.apart_m, 2));
}

/// Nearer, a second can be set apart from the middle of the others and yet have hardly moved.
bool is_beyond_claim(const occupation::Observed& o) {
  return std::max(apart_in_plan(o), apart_in_height(o)) > 1;
}

/// Both are named where both are more than the claim allows.
AlertText jump_alert(const occupation::Observed& o) {
  const std::string across = fixed(o.apart_m, 2), up = fixed(o.apart_up_m, 2);
  if (std::min(apart_in_plan(o), apart_in_height(o)) > 1)
    return {kSay.jumped_both(across, up), kSayBriefly.jumped(across)};
  if (apart_in_height(o) > apart_in_plan(o))
    return {kSay.jumped_up(up, fixed(o.claimed95_up_m, 3)), kSayBriefly.jumped_up(up)};
  return {kSay.jumped(across, fixed(o.claimed95_m, 3)), kSayBriefly.jumped(across)};
}

bool refused_for(const occupation::Observed& observed, gate::Reason reason) {
  return observed.reasons.test(static_cast<std::size_t>(reason));
}

}  // namespace

const std::string& LiveStay::name() const noexcept {
  static const std::string kNone;
  return stay_ ? stay_->stand().name : kNone;
}

void LiveStay::begin(occupation::Stand stand, std::optional<Again> computed_anew) {
  computed_anew_ = computed_anew;
  initialized_.reset();
  words_.reset();
  recount_ = {};
  left_m_ = 0;
  if (computed_anew_ && computed_anew_->antenna_height_m) stand.antenna_height_m = *computed_anew_->antenna_height_m;
  stay_.emplace(std::move(stand), basis_->settings, basis_->frames);
}

void LiveStay::begin_anew(double antenna_height_m) {
  occupation::Stand stand = stay_->stand();
  stand.antenna_height_m = antenna_height_m;
  const auto initialized = initialized_;
  begin(std::move(stand), computed_anew_);
  initialized_ = initialized;
}

void LiveStay::observe(const gate::Judged& judged, std::optional<UtcTime> initialized, SteadyTime now) {
  fault_.reset();
  jumped_ = false;
  recount_.fell_away = recount_.came_back = 0;
  geoid_.note(judged);
  if (!stay_) return;
  const auto observed = stay_->observe(judged);
  note_elsewhere(observed, judged, now);
  if (observed.counted && !initialized_) initialized_ = initialized;
  note_apart(observed);
  if (!observed.frame_fault.empty()) {
    const bool undated = refused_for(observed, gate::Reason::no_date);
    fault_ = {undated ? gate::Reason::no_date : gate::Reason::frame, observed.frame_fault};
  }
}

/// Tells people with the second itself that it was averaged at another place or under other corrections and so is not
/// in the point. Also tells of earlier seconds that it moved into the point or out of it.
void LiveStay::note_elsewhere(const occupation::Observed& observed, const gate::Judged& judged, SteadyTime now) {
  if (observed.elsewhere == occupation::Elsewhere::place) fault_ = {gate::Reason::other_segment, kSay.other_place()};
  if (observed.elsewhere == occupation::Elsewhere::corrections)
    fault_ = {gate::Reason::other_segment, kSay.other_corrections()};
  recount_.fell_away = observed.lost;
  recount_.came_back = observed.gained;
  if (observed.lost == 0 && observed.gained == 0) return;
  recount_.at = now;
  recount_.text = recount_text(observed, judged.epoch.interval_ms);
}

std::string LiveStay::recount_text(const occupation::Observed& observed, std::int64_t interval_ms) const {
  const std::string_view unit = interval_ms == 0 || interval_ms == 1000 ? "second" : "epoch";
  const auto seconds = [unit](std::uint64_t number) { return counted(number, unit); };
  std::string text;
  if (observed.lost > 0) text = (observed.lost == 1 ? kSay.one_lost : kSay.some_lost)(seconds(observed.lost));
  if (observed.lost > 0 && observed.gained > 0) text += ", ";
  if (observed.gained > 0) {
    text += (observed.gained == 1 ? kSay.one_gained : kSay.some_gained)(seconds(observed.gained));
  }
  return observed.lost > 0 && observed.in_point ? kSay.point_is_here(text) : text;
}

void LiveStay::note_apart(const occupation::Observed& observed) {
  const bool jump = refused_for(observed, gate::Reason::jump);
  jumped_ = jump && is_beyond_claim(observed);
  if (observed.counted && observed.elsewhere == occupation::Elsewhere::no) left_m_ = 0;
  if (observed.walked) {
    left_m_ = observed.apart_m;
    fault_ = {gate::Reason::outlier, kSay.walked(fixed(observed.apart_m, 2), name())};
  } else if (refused_for(observed, gate::Reason::outlier)) {
    fault_ = {gate::Reason::outlier, apart_text(observed)};
  }
  if (jump) {
    left_m_ = 0;
    fault_ = {gate::Reason::jump, jumped_ ? jump_alert(observed).whole : apart_text(observed)};
  }
  if (jumped_) jump_ = jump_alert(observed);
}

std::optional<LiveStay::Ended> LiveStay::ends_by_itself() const {
  if (!stay_) return std::nullopt;
  if (computed_anew_) {
    if (!computed_anew_->epochs || stay_->observed() < *computed_anew_->epochs) return std::nullopt;
    return Ended{computed_anew_->broken_off ? occupation::CutOff::broke_off : occupation::CutOff::no,
                 kSay.ended_on_the_day()};
  }
  const config::OccupationRule& rule = basis_->settings.occupation;
  if (stay_->lasted_s() >= rule.max_duration_s) {
    return Ended{occupation::CutOff::no, kSay.longest_stay(fixed(rule.max_duration_s, 0))};
  }
  if (!rule.finish_at_error95_m) return std::nullopt;
  const auto progress = stay_->progress();
  const bool reached = progress.enough && !progress.conclusion.is_held() &&
                       progress.conclusion.estimate.error95_horizontal_m <= rule.finish_at_error95_m->horizontal_m &&
                       progress.conclusion.estimate.error95_vertical_m <= rule.finish_at_error95_m->vertical_m;
  return reached ? std::optional(Ended{occupation::CutOff::no, kSay.error_reached()}) : std::nullopt;
}

FinishedPoint LiveStay::finish(occupation::CutOff cut_off) {
  stay_->interrupt(cut_off);
  FinishedPoint finished{0, true, stay_->finish(), stay_->epochs()};
  drop();
  return finished;
}

std::optional<FinishedPoint> LiveStay::cut_off() const {
  if (!stay_ || stay_->empty()) return std::nullopt;
  occupation::Occupation stay = *stay_;
  stay.interrupt();
  FinishedPoint finished{0, true, stay.finish(), stay.epochs()};
  if (finished.point.status == occupation::PointStatus::none) return std::nullopt;
  return finished;
}

void LiveStay::drop() noexcept {
  stay_.reset();
  jumped_ = false;
  left_m_ = 0;
}

void LiveStay::look(const Moment& moment, AlertBoard& board) const {
  geoid_.look(moment, board);
  board.report(AlertKind::position_jump, {jumped_}, moment, [&] { return jump_; });
  board.report(AlertKind::stay_left, {left_m_ >= kLeftM}, moment, [&] {
    return AlertText{kSay.left(fixed(left_m_, 2), name()), kSayBriefly.left()};
  });
}

/// The sentences are made anew with an epoch at least 250 ms after that of the last ones, or when the stay has changed
/// its result. Nobody reads faster, and making them costs more than judging an epoch.
const LiveStay::Words& LiveStay::words_on(const occupation::Progress& progress, const Checks& checks,
                                          const BaseWatch& base, const Moment& moment, SteadyTime newest) const {
  const Words about{{}, {}, {}, {}, {}, newest, progress.accepted > 0, progress.enough, progress.conclusion.unresolved};
  const bool hold = words_ && words_->begun == about.begun && words_->enough == about.enough &&
                    words_->unresolved == about.unresolved && newest.ms - words_->newest.ms < kWordsMs;
  if (hold) return *words_;
  words_ = about;
  words_->advice = advice(progress, moment, words_->facts);
  if (progress.accepted == 0) return *words_;
  occupation::Point kept = stay_->finish();
  if (!checks.is_open()) base.say(kept);
  if (!checks.is_open()) checks.say(kept, moment.now);
  words_->keep_why = std::move(kept.reasons);
  words_->keep_texts = std::move(kept.reason_texts);
  if (progress.conclusion.estimate.claim_unproven)
    words_->unproven = estimate::unproven_texts(checks.missing_to_prove(progress.source), progress.assumed_sigma);
  return *words_;
}

std::string LiveStay::advice(const occupation::Progress& progress, const Moment& moment,
                             std::vector<std::string>& facts) const {
  const config::OccupationRule& rule = basis_->settings.occupation;
  if (progress.accepted == 0) return kSay.wait_for_first();
  estimate::Guidance guidance = estimate::guide(stay_so_far(progress, moment));
  facts = std::move(guidance.facts);
  if (!progress.conclusion.unresolved && !progress.enough) {
    return "Stay: " + fixed(progress.counted_s, 0) + " of " + fixed(rule.min_duration_s, 0) + " s, " +
           std::to_string(progress.accepted) + " of " + std::to_string(rule.min_epochs) + " epochs.";
  }
  return guidance.advice;
}

estimate::StaySoFar LiveStay::stay_so_far(const occupation::Progress& progress, const Moment& moment) const {
  estimate::StaySoFar out;
  out.conclusion = progress.conclusion;
  out.other_level_epochs = progress.other_level_epochs;
  out.counted_ms = std::llround(progress.counted_s * 1000);
  if (const auto& wanted = basis_->settings.wanted_error95_m()) {
    out.wanted_horizontal_m = wanted->horizontal_m;
    out.wanted_vertical_m = wanted->vertical_m;
  }
  out.now = moment.utc.value_or(UtcTime{});
  out.next_counts_from = UtcTime{out.now.ms + estimate::kIndependentAfter_ms};
  out.error_scale = progress.error_scale;
  out.error_scale_verified = progress.error_scale_verified;
  out.assumed_sigma = progress.assumed_sigma;
  return out;
}

void LiveStay::fill(OccupationStatus& told, const Checks& checks, const BaseWatch& base, const Moment& moment,
                    SteadyTime newest) const {
  const occupation::Progress progress = stay_->progress();
  fill_progress(told, progress);
  told.check = checks.is_open();
  const Words& said = words_on(progress, checks, base, moment, newest);
  told.advice = checks.advice() + said.advice;
  told.facts = said.facts;
  told.unproven = said.unproven;
  fill_keep(told, said, moment.now);
}

void LiveStay::fill_progress(OccupationStatus& told, const occupation::Progress& progress) const {
  const config::OccupationRule& rule = basis_->settings.occupation;
  told.name = stay_->stand().name;
  told.visit = stay_->stand().visit;
  told.code = stay_->stand().code;
  told.since_utc = stay_->started_utc();
  told.accepted = progress.accepted;
  told.refused = progress.refused;
  told.needed_epochs = rule.min_epochs;
  told.needed_s = rule.min_duration_s;
  told.counted_s = progress.counted_s;
  if (const auto& wanted = basis_->settings.wanted_error95_m()) {
    told.wanted_error95_horizontal_m = wanted->horizontal_m;
    told.wanted_error95_vertical_m = wanted->vertical_m;
  }
  told.enough = progress.enough;
  if (progress.conclusion.unresolved)
    told.apart_m = std::hypot(progress.conclusion.separation_m, progress.conclusion.separation_up_m);
  if (progress.accepted == 0) return;
  told.error95_horizontal_m = progress.conclusion.estimate.error95_horizontal_m;
  told.error95_vertical_m = progress.conclusion.estimate.error95_vertical_m;
  told.effective_epochs = progress.conclusion.estimate.effective_epochs;
  told.error_scale = progress.error_scale;
  told.error_scale_verified = progress.error_scale_verified;
  told.assumed_sigma = progress.assumed_sigma;
}

void LiveStay::fill_keep(OccupationStatus& told, const Words& said, SteadyTime now) const {
  told.fell_away = recount_.fell_away;
  told.came_back = recount_.came_back;
  if (recount_.at && now.ms - recount_.at->ms < kRecountShownMs) told.recounted = recount_.text;
  if (told.accepted == 0) return;
  told.keep_gives = said.keep_why.empty() ? KeepGives::accepted : KeepGives::held;
  told.keep_why = said.keep_why;
  told.keep_texts = said.keep_texts;
}

}  // namespace stillpoint::session
