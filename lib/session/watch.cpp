// Which conditions raise which alert. One cause is announced once: what follows from it stays quiet.

#include <algorithm>
#include <utility>

#include "base/number.hpp"
#include "session/state.hpp"

namespace stillpoint::session {
namespace {

using Fresh = corrections::State;

// Coasting is normal for a moment; it is worth a word once it goes on.
constexpr double kCoastingOnS = 5.0;
constexpr AlertRule kCoasting{"corrections-coasting", Severity::notice, 0, 5000, false};
constexpr AlertRule kStale{"corrections-stale", Severity::stop_work, 0, 5000, false};
constexpr AlertRule kFrozen{"feed-frozen", Severity::stop_work, 0, 5000, false};
constexpr AlertRule kUnlisted{"station-unlisted", Severity::warning, 2000, 5000, false};
constexpr AlertRule kChanged{"source-changed", Severity::notice, 0, 0, false};
constexpr AlertRule kSettings{"receiver-settings-changed", Severity::notice, 0, 0, false};
constexpr AlertRule kSatellites{"satellites-lost", Severity::notice, 0, 5000, false};
constexpr AlertRule kJump{"position-jump", Severity::stop_work, 0, 0, true};
constexpr AlertRule kSilent{"feed-silent", Severity::warning, 0, 0, false};
constexpr AlertRule kUnavailable{"feed-unavailable", Severity::warning, 0, 0, false};
constexpr std::int64_t kNoneMs = 2000;  // a dropped class is stale corrections by another name
constexpr std::int64_t kPassingShownMs = 60000;
constexpr int kGoodEpochs = 5;
constexpr double kLongCalmS = 3600;

std::string age_text(const corrections::Freshness& fresh, int decimals = 0) {
  return fresh.age_s ? fixed(*fresh.age_s, decimals) + " s old" : std::string("of unknown age");
}

}  // namespace

double Session::State::unheard_s() const noexcept {
  SteadyTime since = opened.value_or(SteadyTime{});
  if (heard) since = std::max(since, *heard);
  return seconds_between(since, now);
}

bool Session::State::silent() const noexcept {
  return feed == FeedState::open && standstill.empty() && opened && unheard_s() >= settings.gap_s();
}

bool Session::State::without_position() const noexcept {
  if (feed != FeedState::open || !standstill.empty() || !opened || silent()) return false;
  return unplaced_s() >= settings.gap_s();
}

double Session::State::unplaced_s() const noexcept {
  SteadyTime since = opened.value_or(SteadyTime{});
  if (last) since = std::max(since, last->epoch.last_arrival);
  return seconds_between(since, now);
}

std::string Session::State::silence_text() const {
  if (silent()) {
    // Bytes without a sentence are most often the wrong baud rate.
    const bool noise = bytes_arrived && seconds_between(*bytes_arrived, now) < settings.gap_s();
    const std::string what = noise ? "bytes but no sentence from the receiver for " : "nothing from the receiver for ";
    return what + fixed(unheard_s(), 0) + " s" + (noise ? "; is the baud rate right?" : "");
  }
  return "the receiver talks but gave no position for " + fixed(unplaced_s(), 0) + " s";
}

/// A source that begins to be used; the first of the day is no change.
void Session::State::note_source(const corrections::Freshness& fresh) {
  const bool usable_now = fresh.state == Fresh::fresh || fresh.state == Fresh::coasting;
  if (usable_now) usable = now;
  const auto source = last->match.source;
  if (!usable_now || !source || last_good_source == source) return;
  if (last_good_source) {
    note_passing(kChanged, source_changed,
                 "source changed from \"" + settings.sources[*last_good_source].name + "\" to \"" +
                     settings.sources[*source].name + "\": take one mark under both");
    checks.change("the source changed");
  }
  last_good_source = source;
}

void Session::State::watch_corrections(const corrections::Freshness& fresh, Hearing hearing) {
  note_source(fresh);
  const bool unlisted = last->reasons.test(static_cast<std::size_t>(gate::Reason::unlisted_station)) ||
                        last->reasons.test(static_cast<std::size_t>(gate::Reason::unknown_source));
  const bool none = fresh.state == Fresh::none && usable && now.ms - usable->ms >= kNoneMs;
  const bool lost = none && !unlisted;
  const bool stale = fresh.state == Fresh::stale || lost;
  // A silent feed is one cause and says so itself: what was told before it stands, and nothing new is told.
  const auto utc = utc_now();
  const auto report = [&](const AlertRule& rule, bool holds, const AlertBoard::Text& text) {
    hearing.unheard ? board.stand(rule) : board.report(rule, holds, now, utc, text);
  };
  const auto source = last->match.source;
  const double max_age_s = source ? settings.sources[*source].gate.max_age_s : 0.0;
  report(kStale, stale, [&] {
    if (lost && fresh.age_missing) return std::string("the receiver gives no correction age; seconds do not count");
    return lost ? std::string("corrections lost: the receiver uses none; seconds do not count")
                : "corrections " + age_text(fresh, 1) + ", limit " + fixed(max_age_s, 1) + " s: seconds do not count";
  });
  const double limit_s = source ? settings.sources[*source].gate.fresh_age_s : 0.0;
  const bool late = fresh.state == Fresh::coasting && fresh.age_s &&
                    (*fresh.age_s >= limit_s + kCoastingOnS || board.is_active(kCoasting.key));
  report(kCoasting, late && !stale, [&] {
    return "corrections " + age_text(fresh) + "; they count for another " + fixed(fresh.coast_left_s.value_or(0), 0) +
           " s";
  });
  report(kUnlisted, unlisted, [&] {
    const auto why = gate::explain(*last, settings.sources);
    return why.empty() ? std::string("corrections from an unlisted station") : why.front().text;
  });
  report(kFrozen, last->freshness.frozen,
         [] { return std::string("the feed repeats itself: position, DOP and age stand still"); });
}

void Session::State::watch_feed(Hearing hearing) {
  const auto utc = utc_now();
  if (hearing.quiet) good_epochs = 0;
  // An ended or a waiting feed says so itself; the silence before it is over.
  const bool listens = feed == FeedState::open && standstill.empty();
  silence = hearing.quiet || (silence && good_epochs < kGoodEpochs && listens);
  board.report(kSilent, silence, now, utc, [&] { return silence_text(); });
  board.report(kUnavailable, feed == FeedState::waiting && !feed_what.empty(), now, utc, [&] { return feed_what; });
  watch_passing(kChanged, source_changed);
  watch_passing(kSettings, settings_changed);
  const bool fewer = last && last->satellites_before && !hearing.unheard;
  board.report(kSatellites, fewer, now, utc, [&] {
    return "satellites fell from " + std::to_string(*last->satellites_before) + " to " +
           std::to_string(last->epoch.satellites.value_or(0)) + " at once: mistrust the fix for a moment";
  });
  board.report(kJump, jumped, now, utc, [&] { return jump_text; });
}

void Session::State::watch_passing(const AlertRule& rule, const Passing& what) {
  const bool shown = what.at && now.ms - what.at->ms < kPassingShownMs;
  board.report(rule, shown, now, utc_now(), [&] { return what.text; });
}

void Session::State::note_passing(const AlertRule& rule, Passing& what, std::string text) {
  stir();
  board.report(rule, false, now, utc_now(), [] { return std::string(); });  // the one before is over
  what = {now, std::move(text)};
}

void Session::State::note_settings(std::string change) {
  note_event("receiver", change);
  checks.change("the receiver's settings changed");
  note_passing(kSettings, settings_changed, std::move(change));
}

void Session::State::watch() {
  const Hearing hearing = hearing_now();
  if (!last) {
    watch_feed(hearing);
    watch_checks();
    return;
  }
  const corrections::Freshness fresh = monitor.at(now);
  if (now.ms < calm_until_ms && stays_calm(fresh, hearing)) {
    usable = now;
    calm_until_ms = calm_end_ms(fresh, hearing);
    return;
  }
  board.forget_reports();
  watch_corrections(fresh, hearing);
  watch_feed(hearing);
  watch_outage(fresh, hearing);
  watch_checks();
  calm_until_ms = board.had_reports() ? now.ms : calm_end_ms(fresh, hearing);
}

/// At a look that found nothing, and until the end of that calm: the newest epoch is one that brings nothing either.
bool Session::State::stays_calm(const corrections::Freshness& fresh, Hearing hearing) const noexcept {
  const bool same_source = last->match.source && last->match.source == last_good_source;
  return fresh.state == Fresh::fresh && same_source && !hearing.unheard && !last->freshness.frozen &&
         !last->satellites_before && !jumped;
}

/// Until when nothing that is looked at can change without a sentence or a command; now, when something may. Called
/// when no condition holds: what is left is the age of the corrections, the silence of the feed and that of checks.
std::int64_t Session::State::calm_end_ms(const corrections::Freshness& fresh, Hearing hearing) const {
  const bool counts_up = fresh.state == Fresh::fresh && fresh.age_s && last->match.source;
  if (!counts_up || out_since || hearing.unheard) return now.ms;
  const double fresh_for_s = settings.sources[*last->match.source].gate.fresh_age_s - *fresh.age_s;
  const double heard_for_s = settings.gap_s() - std::max(unheard_s(), unplaced_s());
  const bool will_be_due = checks.configured && checks.passed_at;
  const double not_due_for_s =
      will_be_due ? settings.alerts.check_due_min * 60 - seconds_between(*checks.passed_at, now) : kLongCalmS;
  const double calm_for_s = std::min({fresh_for_s, heard_for_s, not_due_for_s, kLongCalmS});
  // A tick less, so that no rounding matters.
  return now.ms + static_cast<std::int64_t>(calm_for_s * 1000) - kTickMs;
}

}  // namespace stillpoint::session
