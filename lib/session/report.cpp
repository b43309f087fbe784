// The status of the day in plain values and sentences.

#include "base/number.hpp"
#include "session/sentences.hpp"
#include "session/state.hpp"

namespace stillpoint::session {
namespace {

std::vector<Counter> counters_of(const Summary& sums) {
  const nmea::Damage& damage = sums.stream.damage;
  return {{"accepted", sums.accepted},
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
}

}  // namespace

void Session::State::fill_epoch(EpochStatus& shown) const {
  const gate::Judged& last = *stream.last();
  const epoch::Epoch& epoch = last.epoch;
  shown.utc = epoch.utc;
  shown.quality = epoch.quality;
  shown.satellites = epoch.satellites;
  shown.hdop = epoch.hdop;
  shown.pdop = epoch.pdop;
  if (last.error) {
    shown.error95_horizontal_m = last.error->error95_horizontal_m;
    shown.error95_vertical_m = last.error->error95_vertical_m;
  }
  shown.station = last.match.station;
  shown.speed_mps = last.speed_mps;
  if (!epoch.position) return;
  shown.latitude_deg = epoch.position->latitude_deg;
  shown.longitude_deg = epoch.position->longitude_deg;
}

/// What is so *now*: an epoch that was good does not count on while the receiver is silent or its corrections run out.
void Session::State::fill_verdict(Status& status) const {
  status.accepted = false;
  const auto refuse = [&status](gate::Reason reason, std::string text) {
    status.reasons.push_back({reason, std::move(text)});
  };
  const SteadyTime now = grid.now();
  const gate::Judged* last = stream.last();
  if (!link.standstill().empty()) return refuse(gate::Reason::no_position, kSay.nothing_judged(link.standstill()));
  if (link.state() == FeedState::ended) return refuse(gate::Reason::no_position, kSay.feed_ended());
  if (link.state() == FeedState::waiting) {
    return refuse(gate::Reason::no_position, kSay.waiting(link.what()));
  }
  if (link.is_quiet(now)) return refuse(gate::Reason::no_position, link.silence_text(now));
  if (last == nullptr) return refuse(gate::Reason::no_position, kSay.no_position_yet());
  status.reasons = gate::explain(*last, basis.settings.sources);
  if (live.fault()) status.reasons.push_back(*live.fault());
  if (status.reasons.empty() && status.correction.state == corrections::State::stale) {
    refuse(gate::Reason::corrections_stale,
           kSay.feed_stale(age_text(status.correction, 1), fixed(status.age_limit_s.value_or(0), 1)));
  }
  status.accepted = status.reasons.empty();
}

void Session::State::fill_feed(Status& status) const {
  const gate::Judged* last = stream.last();
  status.feed = link.shown_state(grid.now());
  if (status.feed == FeedState::open && last != nullptr && last->freshness.frozen) status.feed = FeedState::frozen;
  status.feed_what = link.what();
  status.standstill = link.standstill();
  if (link.standstill().empty()) return;
  status.feed = FeedState::waiting;
  status.feed_what = link.standstill();
}

void Session::State::fill_occupation(OccupationStatus& told) const {
  const gate::Judged* last = stream.last();
  live.fill(told, checks, corrections.base, moment(), last != nullptr ? last->epoch.last_arrival : grid.now());
  repeats.say(told, live.initialized() ? live.initialized() : initialization.since(), stream.utc());
}

Status Session::status() const {
  const State& s = *state_;
  const config::Settings& settings = s.basis.settings;
  Status out;
  out.time_utc = s.moment().utc;
  out.training = s.basis.options.training;
  out.project = settings.project.name;
  out.crew = settings.project.crew;
  out.antenna_height_m = s.antenna_height_m;
  s.fill_feed(out);
  if (const gate::Judged* last = s.stream.last()) {
    s.fill_epoch(out.epoch.emplace());
    out.correction = s.stream.freshness(s.grid.now());
    if (last->match.source) {
      const config::Source& source = settings.sources[*last->match.source];
      out.source = source.name;
      out.fresh_limit_s = source.gate.fresh_age_s;
      out.age_limit_s = source.gate.max_age_s;
    }
  }
  s.fill_verdict(out);
  if (s.live.is_open()) s.fill_occupation(out.occupation.emplace());
  out.alerts = s.board.showing();
  const auto source = s.corrections.used.source();
  s.corrections.sent.fill(out.delivery, s.moment());
  s.corrections.base.fill(out.base);
  s.checks.fill(out.check, source ? settings.sources[*source].name : std::string(), s.grid.now());
  out.notes = s.notes.value_or(std::vector<std::string>{});
  out.counters = counters_of(s.stream.summary());
  return out;
}

}  // namespace stillpoint::session
