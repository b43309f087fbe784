#include "session/alert_board.hpp"

#include <algorithm>
#include <tuple>
#include <utility>

#include "session/session.hpp"

namespace stillpoint::session {
namespace {

constexpr int kChatterTimes = 3;
constexpr std::int64_t kChatterMs = 60'000;
constexpr int kQuickRepeats = 4;
constexpr std::int64_t kQuickRepeatMs = 15'000;
constexpr std::int64_t kSlowRepeatMs = 60'000;

}  // namespace

std::vector<Alert> Outputs::alerts_in_order() const {
  std::vector<Alert> all = raised;
  all.insert(all.end(), cleared.begin(), cleared.end());
  std::stable_sort(all.begin(), all.end(), [](const Alert& a, const Alert& b) { return a.id < b.id; });
  return all;
}

void sort_to_show(std::vector<Alert>& alerts) {
  const auto order = [](const Alert& each) { return std::tuple(each.active, each.severity, each.id); };
  std::stable_sort(alerts.begin(), alerts.end(), [&](const Alert& a, const Alert& b) { return order(a) > order(b); });
}

void AlertBoard::raise(AlertKind kind, const Moment& moment, const Text& text) {
  const auto& [now, utc] = moment;
  Kept& kept = kept_[static_cast<std::size_t>(kind)];
  std::erase_if(kept.raised_at, [&](SteadyTime at) { return moment.now.ms - at.ms > kChatterMs; });
  kept.raised_at.push_back(now);
  const AlertRule& how = rule(kind);
  AlertText said = text();
  Alert alert{alerts_.size() + 1,
              std::string(how.key),
              how.severity,
              std::move(said.whole),
              std::move(said.brief),
              utc,
              {},
              {},
              true,
              false};
  if (!utc && stream_ms_) alert.since_time = clock_text(UtcTime{*stream_ms_});
  kept.comes_and_goes = static_cast<int>(kept.raised_at.size()) >= kChatterTimes;
  if (kept.comes_and_goes) {
    alert.times = static_cast<int>(kept.raised_at.size());
    int left = alert.times - 1;
    for (auto before = alerts_.rbegin(); before != alerts_.rend() && left > 0; ++before) {
      if (before->key != how.key) continue;
      before->folded = true;
      --left;
    }
  }
  kept.active = true;
  ++active_;
  kept.told = now;
  kept.alert = alerts_.size();
  alerts_.push_back(std::move(alert));
  raised_.push_back(alerts_.back());
}

void AlertBoard::note(AlertKind kind, bool holds, const Moment& moment, const Text& text) {
  Kept& kept = kept_[static_cast<std::size_t>(kind)];
  const bool held_before = std::exchange(kept.held, holds);
  if (holds) return note_held(kind, !held_before, moment, text);
  kept.holds_since.reset();
  if (!kept.active) return;
  if (!kept.gone_since) kept.gone_since = moment.now;
  if (rule(kind).latched && !alerts_[kept.alert].seen) return;
  const std::int64_t off_ms = kept.comes_and_goes ? std::max(rule(kind).off_ms, kChatterMs) : rule(kind).off_ms;
  if (moment.now.ms - kept.gone_since->ms < off_ms) return expect(kept.gone_since->ms + off_ms);
  clear(kept, moment.utc);
}

void AlertBoard::note_held(AlertKind kind, bool came, const Moment& moment, const Text& text) {
  Kept& kept = kept_[static_cast<std::size_t>(kind)];
  kept.gone_since.reset();
  if (!kept.holds_since) kept.holds_since = moment.now;
  if (kept.active && came && kept.comes_and_goes) ++alerts_[kept.alert].times;
  if (kept.active) return;
  const std::int64_t on_ms = rule(kind).on_ms;
  if (moment.now.ms - kept.holds_since->ms < on_ms) return expect(kept.holds_since->ms + on_ms);
  raise(kind, moment, text);
}

void AlertBoard::clear(Kept& kept, std::optional<UtcTime> utc) {
  kept.active = false;
  --active_;
  if (kept.comes_and_goes) kept.raised_at.clear();
  kept.comes_and_goes = false;
  Alert& alert = alerts_[kept.alert];
  alert.active = false;
  alert.until_utc = utc;
  cleared_.push_back(alert);
}

void AlertBoard::stand(AlertKind kind) noexcept {
  Kept& kept = kept_[static_cast<std::size_t>(kind)];
  kept.gone_since.reset();
  if (kept.active) return;
  kept.holds_since.reset();
  kept.held = false;
}

std::vector<Alert> AlertBoard::take_repeats(SteadyTime now) {
  std::vector<Alert> out;
  if (active_ == 0) return out;
  for (Kept& kept : kept_) {
    if (!kept.active || !kept.told) continue;
    Alert& alert = alerts_[kept.alert];
    if (alert.seen || alert.severity != Severity::stop_work) continue;
    const std::int64_t wait_ms = alert.repeats < kQuickRepeats ? kQuickRepeatMs : kSlowRepeatMs;
    if (now.ms - kept.told->ms < wait_ms) continue;
    kept.told = now;
    ++alert.repeats;
    out.push_back(alert);
  }
  return out;
}

void AlertBoard::reword(AlertKind kind, const std::string& text) {
  const Kept& kept = kept_[static_cast<std::size_t>(kind)];
  if (kept.active) alerts_[kept.alert].text = text;
}

int AlertBoard::seen(std::string_view key, std::optional<std::uint64_t> id) {
  int count = 0;
  for (Alert& alert : alerts_) {
    if (alert.seen || (!key.empty() && alert.key != key) || (id && alert.id != *id)) continue;
    alert.seen = true;
    ++count;
  }
  return count;
}

std::vector<Alert> AlertBoard::showing() const {
  std::vector<Alert> out;
  for (const Alert& alert : alerts_) {
    if (!alert.folded && (alert.active || !alert.seen)) out.push_back(alert);
  }
  sort_to_show(out);
  return out;
}

std::vector<Alert> AlertBoard::take_raised() {
  return std::exchange(raised_, {});
}
std::vector<Alert> AlertBoard::take_cleared() {
  return std::exchange(cleared_, {});
}

}  // namespace stillpoint::session
