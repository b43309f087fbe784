#include "day/day_alerts.hpp"

#include <spdlog/spdlog.h>

#include <utility>

#include "common/sentences.hpp"
#include "pointbook/happened.hpp"

namespace stillpoint::daemon {

using session::Severity;

void DayAlerts::announce(const session::Alert& alert) {
  const std::string text = alert.active ? alert.text : "over: " + alert.text;
  spdlog::log(alert.active ? spdlog::level::warn : spdlog::level::info, "alert {}: {}", alert.key, text);
  std::uint64_t& number = occurrences_[alert.key];
  number += alert.active ? 1U : 0U;
  const auto utc = alert.active ? alert.since_utc : alert.until_utc;
  events_.hear(pointbook::alert_event(utc ? *utc : time_.utc(), alert.key, alert.text, {number, !alert.active}));
  if (hooks_.alert) hooks_.alert(alert);
  status_changed();
}

void DayAlerts::repeat(const session::Alert& alert) const {
  if (hooks_.alert) hooks_.alert(alert);
}

void DayAlerts::raise(const std::string& key, Severity severity, const session::AlertText& text) {
  if (const auto alert = own_.raise(key, severity, text)) announce(*alert);
}

void DayAlerts::clear(const std::string& key) {
  if (const auto alert = own_.clear(key)) announce(*alert);
}

void DayAlerts::seen(const std::string& key, std::optional<std::uint64_t> id) {
  own_.seen(key, id);
  if (const session::Alert* lost = own_.active(kStayLost); lost != nullptr && lost->seen) clear(kStayLost);
}

void DayAlerts::lose(UtcTime utc, const pointbook::LostStay& lost) {
  pointbook::Event event = pointbook::event_of(utc, lost);
  spdlog::warn("{}", event.text);
  events_.hear(std::move(event));
  tell_lost_stays();
}

void DayAlerts::tell_lost_stays() {
  const std::string text = events_.book().unseen_stays();
  if (text.empty() || !hooks_.alert) return;
  const bool told = own_.active(kStayLost) != nullptr;
  raise(kStayLost, Severity::warning, {text, kSayBriefly.stay_lost()});
  // One more while nobody has seen the last: the row says both, and is told again.
  if (told) repeat(*own_.active(kStayLost));
}

}  // namespace stillpoint::daemon
