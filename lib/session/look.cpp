// One look at everything that raises an alert. One cause is announced once: what follows from it stays quiet.

#include <algorithm>

#include "base/number.hpp"
#include "session/sentences.hpp"
#include "session/state.hpp"

namespace stillpoint::session {
namespace {

std::string text_of(gate::Reason reason, const gate::Judged& judged, const std::vector<config::Source>& sources) {
  for (gate::ReasonText& each : gate::explain(judged, sources)) {
    if (each.reason == reason) return std::move(each.text);
  }
  return {};
}

AlertText satellites_alert(const gate::Judged& judged) {
  const std::string before = std::to_string(*judged.satellites_before);
  const std::string now = std::to_string(judged.epoch.satellites.value_or(0));
  return {kSay.satellites_fell(before, now), kSayBriefly.satellites_fell(before, now)};
}

}  // namespace

Moment Session::State::moment() const {
  const auto told = stream.utc();
  const bool stands_still = link.state() != FeedState::ended && link.hearing(grid.now()).unheard;
  if (!told || !stands_still) return {grid.now(), told};
  const std::int64_t since_ms = std::max<std::int64_t>(grid.now().ms - stream.last()->epoch.last_arrival.ms, 0);
  return {grid.now(), UtcTime{told->ms + since_ms}};
}

/// Time alone may have changed something: a silence, which ends what is open, or anything else.
void Session::State::look_by_time() {
  if (link.falls_quiet(grid.now())) interrupt_stays(occupation::CutOff::broke_off, link.silence_text(grid.now()));
  look();
}

void Session::State::look() {
  const Moment at = moment();
  const Hearing hearing = link.hearing(at.now);
  board.begin_look(stream.last() != nullptr ? stream.last()->epoch.stream_ms : std::nullopt);
  if (stream.last() == nullptr) {
    look_at_feed(at, hearing);
    // A receiver that is not there has an alert of its own; later the corrections it uses are told with these.
    Condition stopped = corrections.sent.stopped(at.now);
    stopped.holds &= link.state() == FeedState::open;
    board.report(AlertKind::corrections_stopped, stopped, at, [&] { return corrections.sent.stopped_text(at, false); });
  } else {
    const CorrectionsWatch::Look look{at, *stream.last(), stream.freshness(at.now), hearing, corrections.sent};
    look_at_corrections(look);
    look_at_feed(at, hearing);
    corrections.used.note_outage(look, {link, live.name()}, out);
  }
  checks.look(at, board);
}

void Session::State::look_at_corrections(const CorrectionsWatch::Look& look) {
  if (std::string change = corrections.used.note_source(look); !change.empty()) {
    tell_change(AlertKind::source_changed, {std::move(change), kSayBriefly.source_changed()}, kSay.source_did_change());
  }
  corrections.used.look(look, board);
}

void Session::State::look_at_feed(const Moment& at, Hearing hearing) {
  board.report(AlertKind::feed_silent, link.look_for_silence(hearing), at, [&] { return link.silence_alert(at.now); });
  const bool unavailable = link.state() == FeedState::waiting && !link.what().empty();
  board.report(AlertKind::feed_unavailable, {unavailable}, at, [&] {
    return AlertText{link.what(), kSayBriefly.unreachable()};
  });
  notices.look(at, board);
  corrections.base.look(at, board);
  const gate::Judged* last = stream.last();
  const bool fewer = last != nullptr && last->satellites_before && !hearing.unheard;
  board.report(AlertKind::satellites_lost, {fewer}, at, [&] { return satellites_alert(*last); });
  const auto refused = [last, &hearing](gate::Reason reason) {
    return last != nullptr && !hearing.unheard && last->reasons.test(static_cast<std::size_t>(reason));
  };
  board.report(AlertKind::feed_late, {refused(gate::Reason::late)}, at, [&] {
    return AlertText{kSay.feed_late(fixed(last->epoch.late_s, 0)), kSayBriefly.feed_late()};
  });
  board.report(AlertKind::date_contradicted, {refused(gate::Reason::date_contradicted)}, at, [&] {
    return AlertText{kSay.date_contradicted(text_of(gate::Reason::date_contradicted, *last, basis.settings.sources)),
                     kSayBriefly.date_contradicted()};
  });
  live.look(at, board);
}

/// Something about the receiver is other than before: told for a while, and a check is due.
void Session::State::tell_change(AlertKind kind, AlertText text, const std::string& what) {
  notices.note(kind, std::move(text), moment(), board);
  checks.change(what);
}

}  // namespace stillpoint::session
