// Which conditions raise which alert. One cause is announced once: what follows from it stays quiet.

#include "base/number.hpp"
#include "session/state.hpp"

namespace stillpoint::session {
namespace {

using corrections::State;

// Coasting is normal for a moment; it is worth a word once it goes on.
constexpr double kCoastingOnS = 5.0;
constexpr AlertRule kCoasting{"corrections-coasting", Severity::notice, 0, 5000, false};
constexpr AlertRule kStale{"corrections-stale", Severity::stop_work, 0, 5000, false};
constexpr AlertRule kFrozen{"feed-frozen", Severity::stop_work, 0, 5000, false};
constexpr AlertRule kUnlisted{"station-unlisted", Severity::warning, 2000, 5000, false};
constexpr AlertRule kChanged{"source-changed", Severity::notice, 0, 0, false};
constexpr AlertRule kJump{"position-jump", Severity::stop_work, 0, 0, true};
constexpr AlertRule kSilent{"feed-silent", Severity::warning, 0, 0, false};
constexpr AlertRule kUnavailable{"feed-unavailable", Severity::warning, 0, 0, false};
constexpr std::int64_t kNoneMs = 2000;  // a dropped class is stale corrections by another name
constexpr std::int64_t kChangedShownMs = 60000;
constexpr int kGoodEpochs = 5;

std::string age_text(const corrections::Freshness& fresh) {
  return fresh.age_s ? fixed(*fresh.age_s, 0) + " s old" : std::string("of unknown age");
}

}  // namespace

bool Session::State::silent() const noexcept {
  return feed != FeedState::ended && feed != FeedState::waiting && heard &&
         seconds_between(*heard, now) >= settings.gap_s();
}

void Session::State::watch_corrections() {
  if (!last) return;
  const corrections::Freshness fresh = monitor.at(now);
  const bool usable_now = fresh.state == corrections::State::fresh || fresh.state == corrections::State::coasting;
  if (usable_now) usable = now;
  const auto source = last->match.source;
  if (usable_now && source && last_good_source != source) {
    if (last_good_source) {
      source_changed = now;
      change_text = "source changed from \"" + settings.sources[*last_good_source].name + "\" to \"" +
                    settings.sources[*source].name + "\": take one mark under both";
    }
    last_good_source = source;
  }
  const bool lost = fresh.state == corrections::State::none && usable && now.ms - usable->ms >= kNoneMs;
  const bool stale = fresh.state == corrections::State::stale || lost;
  // A silent feed is one cause and says so itself.
  const bool quiet = silent() || feed != FeedState::open;
  const auto utc = utc_now();
  board.report(kStale, stale && !quiet, now, utc, [&] {
    return lost ? std::string("corrections lost: the receiver uses none; seconds do not count")
                : "corrections " + age_text(fresh) + ", too old to count";
  });
  const double limit_s = source ? settings.sources[*source].gate.fresh_age_s : 0.0;
  const bool was = board.is_active(kCoasting.key);
  const bool late =
      fresh.state == corrections::State::coasting && fresh.age_s && (was || *fresh.age_s >= limit_s + kCoastingOnS);
  board.report(kCoasting, late && !quiet && !stale, now, utc, [&] {
    return "corrections " + age_text(fresh) + "; they count for another " + fixed(fresh.coast_left_s.value_or(0), 0) +
           " s";
  });
  const bool unlisted = last->reasons.test(static_cast<std::size_t>(gate::Reason::unlisted_station)) ||
                        last->reasons.test(static_cast<std::size_t>(gate::Reason::unknown_source));
  board.report(kUnlisted, unlisted && !quiet, now, utc, [&] {
    const auto why = gate::explain(*last, settings.sources);
    return why.empty() ? std::string("corrections from an unlisted station") : why.front().text;
  });
  board.report(kFrozen, last->freshness.frozen && !quiet, now, utc,
               [] { return std::string("the feed repeats itself: position, DOP and age stand still"); });
}

void Session::State::watch_feed() {
  const auto utc = utc_now();
  const bool quiet = silent();
  if (quiet) good_epochs = 0;
  const bool ended = feed == FeedState::ended;
  board.report(kSilent, quiet || (board.is_active(kSilent.key) && good_epochs < kGoodEpochs && !ended), now, utc,
               [&] { return "nothing from the receiver for " + fixed(seconds_between(*heard, now), 0) + " s"; });
  board.report(kUnavailable, feed == FeedState::waiting && !feed_what.empty(), now, utc, [&] { return feed_what; });
  const bool changed = source_changed && now.ms - source_changed->ms < kChangedShownMs;
  board.report(kChanged, changed, now, utc, [&] { return change_text; });
  board.report(kJump, outliers_in_a_row >= 2, now, utc,
               [] { return std::string("position jumped while the pole stood: these seconds are set apart"); });
}

void Session::State::watch() {
  watch_corrections();
  watch_feed();
}

}  // namespace stillpoint::session
