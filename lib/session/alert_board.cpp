#include "session/alert_board.hpp"

#include <algorithm>
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

AlertBoard::Condition& AlertBoard::find(std::string_view key) {
  const auto at =
      std::find_if(conditions_.begin(), conditions_.end(), [&](const Condition& c) { return c.key == key; });
  last_ = static_cast<std::size_t>(at - conditions_.begin());
  if (at != conditions_.end()) return *at;
  conditions_.emplace_back().key = key;
  return conditions_.back();
}

void AlertBoard::raise(Condition& c, const AlertRule& rule, SteadyTime now, std::optional<UtcTime> utc,
                       const Text& text) {
  std::erase_if(c.raised_at, [now](SteadyTime at) { return now.ms - at.ms > kChatterMs; });
  c.raised_at.push_back(now);
  Alert alert{alerts_.size() + 1, std::string(rule.key), rule.severity, text(), utc, {}, true, false};
  c.comes_and_goes = static_cast<int>(c.raised_at.size()) >= kChatterTimes;
  if (c.comes_and_goes) {
    alert.times = static_cast<int>(c.raised_at.size());
    int left = alert.times - 1;
    for (auto before = alerts_.rbegin(); before != alerts_.rend() && left > 0; ++before) {
      if (before->key != rule.key) continue;
      before->folded = true;
      --left;
    }
  }
  c.active = true;
  c.told = now;
  c.alert = alerts_.size();
  alerts_.push_back(std::move(alert));
  raised_.push_back(alerts_.back());
}

void AlertBoard::note(Condition& c, const AlertRule& rule, bool holds, SteadyTime now, std::optional<UtcTime> utc,
                      const Text& text) {
  had_reports_ = true;
  const bool came = holds && !c.held;
  c.held = holds;
  if (holds) {
    c.gone_since.reset();
    if (!c.holds_since) c.holds_since = now;
    if (c.active && came && c.comes_and_goes) ++alerts_[c.alert].times;
    if (!c.active && now.ms - c.holds_since->ms >= rule.on_ms) raise(c, rule, now, utc, text);
    return;
  }
  c.holds_since.reset();
  if (!c.active) return;
  if (!c.gone_since) c.gone_since = now;
  Alert& alert = alerts_[c.alert];
  const std::int64_t off_ms = c.comes_and_goes ? std::max(rule.off_ms, kChatterMs) : rule.off_ms;
  if (now.ms - c.gone_since->ms < off_ms || (rule.latched && !alert.seen)) return;
  c.active = false;
  if (c.comes_and_goes) c.raised_at.clear();
  c.comes_and_goes = false;
  alert.active = false;
  alert.until_utc = utc;
  cleared_.push_back(alert);
}

void AlertBoard::stand(const AlertRule& rule) {
  Condition& c = condition(rule.key);
  had_reports_ = true;
  c.gone_since.reset();
  if (c.active) return;
  c.holds_since.reset();
  c.held = false;
}

std::vector<Alert> AlertBoard::take_repeats(SteadyTime now) {
  std::vector<Alert> out;
  for (Condition& c : conditions_) {
    if (!c.active || !c.told) continue;
    Alert& alert = alerts_[c.alert];
    if (alert.seen || alert.severity != Severity::stop_work) continue;
    const std::int64_t wait_ms = alert.repeats < kQuickRepeats ? kQuickRepeatMs : kSlowRepeatMs;
    if (now.ms - c.told->ms < wait_ms) continue;
    c.told = now;
    ++alert.repeats;
    out.push_back(alert);
  }
  return out;
}

void AlertBoard::reword(std::string_view key, const std::string& text) {
  const Condition& c = condition(key);
  if (c.active) alerts_[c.alert].text = text;
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

bool AlertBoard::is_active(std::string_view key) const noexcept {
  return std::any_of(conditions_.begin(), conditions_.end(),
                     [&](const Condition& c) { return c.active && c.key == key; });
}

std::vector<Alert> AlertBoard::showing() const {
  std::vector<Alert> out;
  for (const Alert& alert : alerts_) {
    if (!alert.folded && (alert.active || !alert.seen)) out.push_back(alert);
  }
  std::stable_sort(out.begin(), out.end(), [](const Alert& a, const Alert& b) {
    return std::pair(a.severity, a.id) > std::pair(b.severity, b.id);
  });
  return out;
}

std::vector<Alert> AlertBoard::take_raised() {
  return std::exchange(raised_, {});
}
std::vector<Alert> AlertBoard::take_cleared() {
  return std::exchange(cleared_, {});
}

}  // namespace stillpoint::session
