// The status of the day in plain values and sentences.

#include <cmath>

#include "base/number.hpp"
#include "estimate/guidance.hpp"
#include "estimate/visits.hpp"
#include "session/state.hpp"

namespace stillpoint::session {
namespace {

constexpr std::int64_t kWordsMs = 250;
constexpr std::int64_t kRecountShownMs = 12'000;

}  // namespace

/// New ones with an epoch 250 ms after that of the last ones, or when the stay has come to something else: nobody reads
/// faster, and to make them costs more than to judge an epoch.
const Session::State::Words& Session::State::words_on(const occupation::Progress& progress) const {
  const SteadyTime newest = last ? last->epoch.last_arrival : now;
  const Words about{{}, {}, {}, {}, newest, progress.accepted > 0, progress.enough, progress.conclusion.unresolved};
  const bool hold = words && words->begun == about.begun && words->enough == about.enough &&
                    words->unresolved == about.unresolved && newest.ms - words->newest.ms < kWordsMs;
  if (!hold) {
    words = about;
    words->advice = advice(progress, words->facts);
    if (progress.accepted > 0) {
      occupation::Point kept = live->finish();
      if (!checks.shooting) say_checks(kept);
      words->keep_why = std::move(kept.reasons);
      words->keep_texts = std::move(kept.reason_texts);
    }
  }
  return *words;
}

std::string Session::State::advice(const occupation::Progress& progress, std::vector<std::string>& facts) const {
  const config::OccupationRule& rule = settings.occupation;
  if (progress.accepted == 0) return "Keep still and wait for the first second that counts.";
  estimate::Guidance guidance = estimate::guide(situation_of(progress));
  facts = std::move(guidance.facts);
  if (!progress.conclusion.unresolved && !progress.enough) {
    return "Stay: " + fixed(progress.counted_s, 0) + " of " + fixed(rule.min_duration_s, 0) + " s, " +
           std::to_string(progress.accepted) + " of " + std::to_string(rule.min_epochs) + " epochs.";
  }
  return guidance.advice;
}

estimate::Situation Session::State::situation_of(const occupation::Progress& progress) const {
  const config::OccupationRule& rule = settings.occupation;
  estimate::Situation situation;
  situation.conclusion = progress.conclusion;
  situation.other_level_epochs = progress.other_level_epochs;
  situation.counted_ms = std::llround(progress.counted_s * 1000);
  if (rule.finish_at_error95_m) {
    situation.wanted_horizontal_m = rule.finish_at_error95_m->horizontal_m;
    situation.wanted_vertical_m = rule.finish_at_error95_m->vertical_m;
  }
  situation.now = utc_now().value_or(UtcTime{});
  situation.next_counts_from = UtcTime{situation.now.ms + estimate::kIndependentAfter_ms};
  situation.error_scale = progress.error_scale;
  situation.error_scale_verified = progress.error_scale_verified;
  situation.assumed_sigma = progress.assumed_sigma;
  return situation;
}

void Session::State::fill_keep(OccupationStatus& stay, const Words& said) const {
  stay.fell_away = fell_away;
  stay.came_back = came_back;
  if (recounted.at && now.ms - recounted.at->ms < kRecountShownMs) stay.recounted = recounted.text;
  if (stay.accepted == 0) return;
  stay.keep_gives = said.keep_why.empty() ? KeepGives::accepted : KeepGives::held;
  stay.keep_why = said.keep_why;
  stay.keep_texts = said.keep_texts;
}

void Session::State::fill_occupation(OccupationStatus& stay) const {
  const occupation::Progress progress = live->progress();
  stay.name = live->stand().name;
  stay.visit = live->stand().visit;
  stay.code = live->stand().code;
  stay.check = checks.shooting.has_value();
  stay.since_utc = live->started_utc();
  stay.accepted = progress.accepted;
  stay.refused = progress.refused;
  stay.needed_epochs = settings.occupation.min_epochs;
  stay.needed_s = settings.occupation.min_duration_s;
  stay.counted_s = progress.counted_s;
  if (const auto& wanted = settings.occupation.finish_at_error95_m) {
    stay.wanted_error95_horizontal_m = wanted->horizontal_m;
    stay.wanted_error95_vertical_m = wanted->vertical_m;
  }
  stay.enough = progress.enough;
  if (progress.accepted > 0) {
    stay.error95_horizontal_m = progress.conclusion.estimate.error95_horizontal_m;
    stay.error95_vertical_m = progress.conclusion.estimate.error95_vertical_m;
    stay.effective_epochs = progress.conclusion.estimate.effective_epochs;
    stay.error_scale = progress.error_scale;
    stay.error_scale_verified = progress.error_scale_verified;
    stay.assumed_sigma = progress.assumed_sigma;
  }
  const Words& said = words_on(progress);
  stay.advice = check_advice() + said.advice;
  stay.facts = said.facts;
  if (progress.conclusion.unresolved)
    stay.apart_m = std::hypot(progress.conclusion.separation_m, progress.conclusion.separation_up_m);
  fill_keep(stay, said);
  say_repeats(stay);
}

void Session::State::fill_epoch(EpochStatus& shown) const {
  const epoch::Epoch& epoch = last->epoch;
  shown.utc = epoch.utc;
  shown.quality = epoch.quality;
  shown.satellites = epoch.satellites;
  shown.hdop = epoch.hdop;
  shown.pdop = epoch.pdop;
  if (last->error) {
    shown.error95_horizontal_m = last->error->error95_horizontal_m;
    shown.error95_vertical_m = last->error->error95_vertical_m;
  }
  shown.station = last->match.station;
}

/// What is so *now*: an epoch that was good does not count on while the receiver is silent or its corrections run out.
void Session::State::fill_verdict(Status& status) const {
  status.accepted = false;
  const auto refuse = [&status](gate::Reason reason, std::string text) {
    status.reasons.push_back({reason, std::move(text)});
  };
  if (!standstill.empty()) return refuse(gate::Reason::no_position, "nothing is judged: " + standstill);
  if (feed == FeedState::ended) return refuse(gate::Reason::no_position, "the feed has ended");
  if (feed == FeedState::waiting) return refuse(gate::Reason::no_position, "waiting for the receiver: " + feed_what);
  if (is_quiet()) return refuse(gate::Reason::no_position, silence_text());
  if (!last) return refuse(gate::Reason::no_position, "no position from the receiver yet");
  status.reasons = gate::explain(*last, settings.sources);
  if (occupation_fault) status.reasons.push_back(*occupation_fault);
  if (status.reasons.empty() && status.correction.state == corrections::State::stale) {
    refuse(gate::Reason::corrections_stale, "corrections " + fixed(status.correction.age_s.value_or(0), 1) +
                                                " s old, limit " + fixed(status.age_limit_s.value_or(0), 1) + " s");
  }
  status.accepted = status.reasons.empty();
}

Status Session::status() const {
  const State& s = *state_;
  Status out;
  out.time_utc = s.utc_now();
  out.training = s.options.training;
  out.project = s.settings.project.name;
  out.crew = s.settings.project.crew;
  out.feed = s.feed;
  if (s.feed == FeedState::open && s.silent()) out.feed = FeedState::silent;
  if (out.feed == FeedState::open && s.last && s.last->freshness.frozen) out.feed = FeedState::frozen;
  out.feed_what = s.feed_what;
  out.standstill = s.standstill;
  if (!s.standstill.empty()) {
    out.feed = FeedState::waiting;
    out.feed_what = s.standstill;
  }
  if (s.last) {
    s.fill_epoch(out.epoch.emplace());
    out.correction = s.monitor.at(s.now);
    if (s.last->match.source) {
      const config::Source& source = s.settings.sources[*s.last->match.source];
      out.source = source.name;
      out.fresh_limit_s = source.gate.fresh_age_s;
      out.age_limit_s = source.gate.max_age_s;
    }
  }
  s.fill_verdict(out);
  if (s.live) s.fill_occupation(out.occupation.emplace());
  out.alerts = s.board.showing();
  s.fill_check(out.check);
  out.notes = s.notes;
  const Summary sums = summary();
  const nmea::Damage& damage = sums.stream.damage;
  out.counters = {{"accepted", sums.accepted},
                  {"bad_checksum", damage.bad_checksum},
                  {"bytes", sums.stream.bytes},
                  {"cut_short", damage.cut_short},
                  {"epochs", sums.epochs},
                  {"garbage_bytes", damage.garbage_bytes},
                  {"late_sentences", sums.assembly.late_sentences},
                  {"malformed", damage.malformed},
                  {"no_checksum", damage.no_checksum},
                  {"oversize", damage.oversize},
                  {"refused", sums.refused},
                  {"sentences", sums.stream.sentences}};
  return out;
}

}  // namespace stillpoint::session
