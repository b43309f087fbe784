#include "session/alert_board.hpp"

#include <algorithm>
#include <utility>

namespace stillpoint::session {

AlertBoard::Condition& AlertBoard::condition(std::string_view key) {
  const auto at =
      std::find_if(conditions_.begin(), conditions_.end(), [&](const Condition& c) { return c.key == key; });
  if (at != conditions_.end()) return *at;
  conditions_.push_back({key, {}, {}, 0, false});
  return conditions_.back();
}

void AlertBoard::report(const AlertRule& rule, bool holds, SteadyTime now, std::optional<UtcTime> utc,
                        const Text& text) {
  Condition& c = condition(rule.key);
  if (holds) {
    c.gone_since.reset();
    if (!c.holds_since) c.holds_since = now;
    if (c.active || now.ms - c.holds_since->ms < rule.on_ms) return;
    c.active = true;
    c.alert = alerts_.size();
    alerts_.push_back({alerts_.size() + 1, std::string(rule.key), rule.severity, text(), utc, {}, true, false});
    raised_.push_back(alerts_.back());
    return;
  }
  c.holds_since.reset();
  if (!c.active) return;
  if (!c.gone_since) c.gone_since = now;
  Alert& alert = alerts_[c.alert];
  if (now.ms - c.gone_since->ms < rule.off_ms || (rule.latched && !alert.seen)) return;
  c.active = false;
  alert.active = false;
  alert.until_utc = utc;
  cleared_.push_back(alert);
}

int AlertBoard::seen(std::string_view key) {
  int count = 0;
  for (Alert& alert : alerts_) {
    if (alert.seen || (!key.empty() && alert.key != key)) continue;
    alert.seen = true;
    ++count;
  }
  return count;
}

bool AlertBoard::is_active(std::string_view key) const noexcept {
  return std::any_of(conditions_.begin(), conditions_.end(),
                     [&](const Condition& c) { return c.key == key && c.active; });
}

std::vector<Alert> AlertBoard::showing() const {
  std::vector<Alert> out;
  for (const Alert& alert : alerts_) {
    if (alert.active || !alert.seen) out.push_back(alert);
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
