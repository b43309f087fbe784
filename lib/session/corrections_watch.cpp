#include "session/corrections_watch.hpp"

#include <algorithm>
#include <utility>

#include "base/number.hpp"
#include "session/sentences.hpp"

namespace stillpoint::session {
namespace {

using Fresh = corrections::State;

// Coasting is normal for a moment; it is worth a word once it goes on.
constexpr double kCoastingOnS = 5.0;
constexpr std::int64_t kNoneMs = 2000;  // a dropped class is stale corrections by another name
// Shorter ones are the receiver changing its mind, not an outage.
constexpr std::int64_t kShortestOutageMs = 2000;
// A rehearsal runs at up to 60 times real time. What the receiver's clock does beyond that is a clock that was set.
constexpr double kLeastPace = 1.5, kMostPace = 60.0;
constexpr double kPaceMarginS = 4.0;
constexpr std::int64_t kSoonMs = 2000;

bool is_unlisted(const gate::Judged& judged) {
  const auto refused_for = [&](gate::Reason reason) { return judged.reasons.test(static_cast<std::size_t>(reason)); };
  return refused_for(gate::Reason::unlisted_station) || refused_for(gate::Reason::unknown_source);
}

AlertText coasting_alert(const corrections::Freshness& fresh, double limit_s) {
  return {kSay.coasting(age_text(fresh, 0), fixed(fresh.coast_left_s.value_or(0), 0)),
          kSayBriefly.late(in_few_digits(limit_s))};
}

AlertText unlisted_alert(const gate::Judged& last, const std::vector<config::Source>& sources) {
  const auto why = gate::explain(last, sources);
  return {why.empty() ? kSay.unlisted() : why.front().text, kSayBriefly.unlisted()};
}

std::string place_text(const Outage& outage) {
  std::string text;
  if (outage.latitude_deg && outage.longitude_deg) {
    text = ", near " + fixed(*outage.latitude_deg, 5) + " " + fixed(*outage.longitude_deg, 5);
  }
  if (!outage.point.empty()) text += ", on " + outage.point;
  return text;
}

}  // namespace

std::string age_text(const corrections::Freshness& fresh, int decimals) {
  if (!fresh.age_s) return kSay.unknown_age();
  if (fresh.from != corrections::AgeFrom::own_clock) return kSay.age(fixed(*fresh.age_s, decimals));
  return kSay.unproven(fixed(*fresh.age_s, decimals), gate::since_text(fresh));
}

std::string CorrectionsWatch::note_source(const Look& look) {
  is_usable_ = corrections::is_usable(look.fresh.state);
  if (is_usable_) usable_ = look.moment.now;
  const auto source = look.last.match.source;
  if (!is_usable_ || !source || source_ == source) return {};
  const auto before = std::exchange(source_, source);
  if (!before) return {};
  return kSay.source_changed((*sources_)[*before].name, (*sources_)[*source].name);
}

const config::Gate* CorrectionsWatch::limits(const Look& look) const {
  return look.last.match.source ? &(*sources_)[*look.last.match.source].gate : nullptr;
}

std::int64_t CorrectionsWatch::may_change_ms(const Look& look) const {
  const SteadyTime now = look.moment.now;
  const config::Gate* gate = limits(look);
  if (look.fresh.state == Fresh::none) {
    return usable_ && now.ms - usable_->ms < kNoneMs ? usable_->ms + kNoneMs : kNotByTime;
  }
  if (gate == nullptr || !look.fresh.age_s || look.fresh.state == Fresh::stale) return kNotByTime;
  const double limit_s = look.fresh.state == Fresh::fresh ? gate->fresh_age_s : gate->max_age_s;
  return ms_after(now, limit_s - *look.fresh.age_s);
}

bool CorrectionsWatch::is_lost(const Look& look) const {
  return look.fresh.state == Fresh::none && usable_ && look.moment.now.ms - usable_->ms >= kNoneMs &&
         !is_unlisted(look.last);
}

Condition CorrectionsWatch::stale(const Look& look) const {
  return {look.fresh.state == Fresh::stale || is_lost(look), may_change_ms(look)};
}

Condition CorrectionsWatch::coasting(const Look& look, const AlertBoard& board) const {
  const config::Gate* gate = limits(look);
  if (look.fresh.state != Fresh::coasting || !look.fresh.age_s || gate == nullptr) return {};
  if (board.is_active(AlertKind::corrections_coasting)) return {true};
  const double on_in_s = gate->fresh_age_s + kCoastingOnS - *look.fresh.age_s;
  return on_in_s > 0 ? Condition{false, ms_after(look.moment.now, on_in_s)} : Condition{true};
}

AlertText CorrectionsWatch::stale_alert(const Look& look) const {
  const bool lost = is_lost(look);
  // Where the stream tells why, that is the cause, and what the receiver says of it follows from it.
  if (look.delivery.is_quiet(look.moment.now)) return look.delivery.stopped_text(look.moment, true);
  if (look.delivery.unused(look.fresh, look.moment.now).holds) return {kSay.unused_too_old(), kSayBriefly.unused()};
  if (lost && look.fresh.age_missing) return {kSay.no_age(), kSayBriefly.no_age()};
  if (lost) return {kSay.lost(), kSayBriefly.lost()};
  const config::Gate* gate = limits(look);
  const double limit_s = gate != nullptr ? gate->max_age_s : 0.0;
  return {kSay.stale(age_text(look.fresh, 1), fixed(limit_s, 1)), kSayBriefly.too_old(in_few_digits(limit_s))};
}

/// A silent feed is one cause with an alert of its own: alerts that were raised before it stay, and no new ones are
/// raised.
void CorrectionsWatch::look(const Look& look, AlertBoard& board) const {
  const auto report = [&](AlertKind kind, Condition condition, const AlertBoard::Text& text) {
    if (!look.hearing.unheard) return board.report(kind, condition, look.moment, text);
    board.expect(condition.may_change_ms);
    board.stand(kind);
  };
  const Condition is_stale = stale(look);
  report(AlertKind::corrections_stale, is_stale, [&] { return stale_alert(look); });
  // One cause has one alert: what is about to be too old is told as that, once it is.
  const bool soon = look.fresh.state == Fresh::coasting && is_stale.may_change_ms != kNotByTime &&
                    is_stale.may_change_ms - look.moment.now.ms <= kSoonMs;
  const bool is_told = is_stale.holds;
  Condition stopped = look.delivery.stopped(look.moment.now);
  // Another format than RTCM 3 has no frames, and the receiver may well use it.
  const bool is_used = look.fresh.state == Fresh::fresh && look.fresh.from == corrections::AgeFrom::receiver;
  stopped.holds &= !is_told && !soon && !(is_used && !look.delivery.watch().last_frame());
  report(AlertKind::corrections_stopped, stopped, [&] { return look.delivery.stopped_text(look.moment, false); });
  Condition unused = look.delivery.unused(look.fresh, look.moment.now);
  unused.holds &= !is_told;
  report(AlertKind::receiver_not_using, unused, [&] { return AlertText{kSay.unused(), kSayBriefly.unused()}; });
  Condition coasts = coasting(look, board);
  coasts.holds &= !stopped.holds && !unused.holds;
  report(AlertKind::corrections_coasting, coasts,
         [&] { return coasting_alert(look.fresh, limits(look)->fresh_age_s); });
  report(AlertKind::station_unlisted, {is_unlisted(look.last)}, [&] { return unlisted_alert(look.last, *sources_); });
  report(AlertKind::feed_frozen, {look.last.freshness.frozen}, [] {
    return AlertText{kSay.frozen(), kSayBriefly.frozen()};
  });
}

void CorrectionsWatch::note_outage(const Look& look, const Scene& scene, Outputs& out) {
  if (!usable_) return;
  if (going_) going_->newest_ms = look.last.epoch.stream_ms;
  if (corrections::is_usable(look.fresh.state) && !look.hearing.unheard) return end_outage(look.moment, out);
  if (going_ || scene.link.state() == FeedState::ended) return;
  going_ = {look.moment.now, {}, look.last.epoch.stream_ms, look.last.epoch.stream_ms};
  Outage& outage = going_->outage;
  outage.from_utc = look.moment.utc;
  if (const auto& position = look.last.epoch.position) {
    outage.latitude_deg = position->latitude_deg;
    outage.longitude_deg = position->longitude_deg;
  }
  outage.point = scene.point;
  outage.why = !scene.link.standstill().empty()   ? scene.link.standstill()
               : look.hearing.unheard             ? kSay.out_no_data()
               : look.fresh.state == Fresh::stale ? kSay.out_too_old()
                                                  : kSay.out_not_used();
}

/// By our own clock; in a rehearsal at a pace the receiver's seconds are shorter than ours, and its clock says how
/// long.
double CorrectionsWatch::Going::lasted_s(SteadyTime now) const noexcept {
  const double ours_s = seconds_between(since, now);
  if (!first_ms || !newest_ms) return ours_s;
  const double theirs_s = static_cast<double>(*newest_ms - *first_ms) / 1000.0;
  const bool paced = theirs_s > kLeastPace * ours_s + kPaceMarginS && theirs_s <= kMostPace * (ours_s + kPaceMarginS);
  return paced ? theirs_s : ours_s;
}

Outage CorrectionsWatch::Going::until(SteadyTime now) const {
  Outage so_far = outage;
  so_far.lasted_s = lasted_s(now);
  return so_far;
}

bool CorrectionsWatch::Going::counts(SteadyTime now) const noexcept {
  return lasted_s(now) * 1000 >= static_cast<double>(kShortestOutageMs);
}

void CorrectionsWatch::end_outage(const Moment& moment, Outputs& out) {
  const auto ended = std::exchange(going_, std::nullopt);
  if (!ended || !ended->counts(moment.now)) return;
  Outage over = ended->until(moment.now);
  over.until_utc = moment.utc;
  note(out, moment, "outage", kSay.outage(fixed(over.lasted_s, 0), over.why, place_text(over)));
  over_.push_back(std::move(over));
}

void CorrectionsWatch::sum_up(const Moment& moment, Outputs& out) {
  end_outage(moment, out);
  if (over_.empty()) return;
  double all_s = 0, longest_s = 0;
  for (const Outage& each : over_) {
    all_s += each.lasted_s;
    longest_s = std::max(longest_s, each.lasted_s);
  }
  note(out, moment, "outages", kSay.outages(counted(over_.size(), "outage"), fixed(all_s, 0), fixed(longest_s, 0)));
}

std::vector<Outage> CorrectionsWatch::outages(SteadyTime now) const {
  std::vector<Outage> all = over_;
  if (going_ && going_->counts(now)) all.push_back(going_->until(now));
  return all;
}

}  // namespace stillpoint::session
