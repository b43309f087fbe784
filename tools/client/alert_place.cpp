#include "client/alert_place.hpp"

#include <algorithm>

#include "client/screen_sentences.hpp"

namespace stillpoint::client {
namespace {

bool is_active(const Json& alert) {
  return !is_gone(alert);
}

bool is_unseen(const Json& alert) {
  return is_active(alert) && !flag_of(alert, "seen");
}

/// Alerts come the most severe first; those that nobody has seen stand before, and those that are over behind.
Json alert_of(const Day& day) {
  const Json& alerts = list_of(day.status, "alerts");
  for (const auto& is_next : {is_unseen, is_active, is_gone}) {
    const auto at = std::find_if(alerts.begin(), alerts.end(), is_next);
    if (at != alerts.end()) return *at;
  }
  return {};
}

AlertShown shown(const Json& alert) {
  return {text_of(alert, "key"), static_cast<std::uint64_t>(std::max(count_of(alert, "id"), 0LL))};
}

std::string gone_text(const Day& day) {
  const std::size_t gone = gone_alerts(day);
  return (gone > 1 ? std::to_string(gone) + " " : "") + kSayOnScreen.gone_not_seen();
}

std::string short_text(const Json& alert) {
  const std::string given = text_of(alert, "short");
  const std::string text = sentence(given.empty() ? text_of(alert, "text") : given);
  const long long times = count_of(alert, "times");
  return times > 1 ? text + " x" + std::to_string(times) : text;
}

std::string signs_of(const std::string& severity) {
  return severity == "stop-work" ? "!!!" : severity == "warning" ? "!! " : "!  ";
}

std::string began(const Json& alert, const Now& now) {
  const std::string utc = text_of(alert, "since_utc"), time = text_of(alert, "since_time");
  if (utc.empty()) return ascii(time);
  return local_clock(utc, now);
}

AlertWords quiet_words(const Day& day, const Now& now) {
  AlertWords out;
  out.severity = kSayOnScreen.no_alert();
  out.text = kSayOnScreen.no_alert_yet();
  if (day.last_alert.is_object()) {
    const std::string clock = began(day.last_alert, now), text = short_text(day.last_alert);
    out.text = clock.empty() ? text : kSayOnScreen.last_alert(clock.substr(0, 5), text);
  }
  return out;
}

}  // namespace

std::size_t unseen_alerts(const Day& day) {
  const Json& alerts = list_of(day.status, "alerts");
  return static_cast<std::size_t>(std::count_if(alerts.begin(), alerts.end(), is_unseen));
}

std::size_t gone_alerts(const Day& day) {
  const Json& alerts = list_of(day.status, "alerts");
  return static_cast<std::size_t>(std::count_if(alerts.begin(), alerts.end(), is_gone));
}

std::size_t alert_lines_waiting(const Day& day) {
  return unseen_alerts(day) + (gone_alerts(day) > 0 ? 1 : 0);
}

std::vector<AlertShown> alerts_to_see(const Day& day, const Now& now) {
  std::vector<AlertShown> out;
  if (now.lost) return out;
  if (unseen_alerts(day) > 0) return {shown(alert_of(day))};
  for (const Json& alert : list_of(day.status, "alerts")) {
    if (is_gone(alert)) out.push_back(shown(alert));
  }
  return out;
}

AlertWords alert_words(const Day& day, const Now& now, bool signs) {
  if (now.lost) {
    return {true, signs ? "[!!!]" : "[   ]",     severity_words("stop-work"), "", kSayOnScreen.not_seen(),
            "",   kSayOnScreen.no_answer_alert()};
  }
  const Json alert = alert_of(day);
  if (!alert.is_object()) return quiet_words(day, now);
  const std::string severity = text_of(alert, "severity"), marks = signs_of(severity);
  const bool gone = is_gone(alert), unseen = gone || is_unseen(alert);
  AlertWords out{true, " " + marks + " ", severity_words(severity), began(alert, now), "seen", "", short_text(alert)};
  if (unseen) {
    out.sign = gone || !signs ? "[   ]" : "[" + marks + "]";
    out.state = gone ? gone_text(day) : kSayOnScreen.not_seen();
  }
  if (const std::size_t more = alert_lines_waiting(day) - (unseen ? 1 : 0); more > 0) {
    out.more = kSayOnScreen.more_wait(std::to_string(more));
  }
  return out;
}

}  // namespace stillpoint::client
