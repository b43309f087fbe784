#include "client/alert_place.hpp"

#include <algorithm>

#include "client/screen_sentences.hpp"

namespace stillpoint::client {
namespace {

bool is_unseen(const Json& alert) {
  return !flag_of(alert, "seen");
}

/// Alerts come the most severe first; those nobody has seen stand before.
Json alert_of(const Day& day) {
  const Json& alerts = list_of(day.status, "alerts");
  const auto at = std::find_if(alerts.begin(), alerts.end(), is_unseen);
  if (at != alerts.end()) return *at;
  return alerts.empty() ? Json() : alerts.front();
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

std::optional<AlertShown> shown_alert(const Day& day, const Now& now) {
  const Json alert = alert_of(day);
  if (now.lost || !alert.is_object()) return std::nullopt;
  return AlertShown{text_of(alert, "key"), static_cast<std::uint64_t>(std::max(count_of(alert, "id"), 0LL))};
}

AlertWords alert_words(const Day& day, const Now& now, bool signs) {
  if (now.lost) {
    return {true, signs ? "[!!!]" : "[   ]",     severity_words("stop-work"), "", kSayOnScreen.not_seen(),
            "",   kSayOnScreen.no_answer_alert()};
  }
  const Json alert = alert_of(day);
  if (!alert.is_object()) return quiet_words(day, now);
  const std::string severity = text_of(alert, "severity"), marks = signs_of(severity);
  const bool unseen = is_unseen(alert), gone = is_gone(alert);
  AlertWords out{true, " " + marks + " ", severity_words(severity), began(alert, now), "seen", "", short_text(alert)};
  if (unseen) {
    out.sign = gone || !signs ? "[   ]" : "[" + marks + "]";
    out.state = gone ? kSayOnScreen.gone_not_seen() : kSayOnScreen.not_seen();
  }
  if (const std::size_t more = unseen_alerts(day); more > 1) {
    out.more = kSayOnScreen.more_wait(std::to_string(more - 1));
  }
  return out;
}

}  // namespace stillpoint::client
