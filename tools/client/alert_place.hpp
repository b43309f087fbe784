#pragma once
/// The one place of alerts: the highest that nobody has seen, else the highest, else the last that has ended.
///
/// Threads: pure.

#include <string>
#include <vector>

#include "client/day.hpp"

namespace stillpoint::client {

struct AlertShown {
  std::string key;
  std::uint64_t id = 0;
};
/// What a press of A marks as seen; nothing: there is no alert, or the daemon cannot be told.
std::optional<AlertShown> shown_alert(const Day& day, const Now& now);
std::size_t unseen_alerts(const Day& day);

struct AlertWords {
  bool any = false;
  std::string sign;      ///< `[!!!]` not seen, ` !!! ` seen, `[   ]` gone
  std::string severity;  ///< of an alert
  std::string clock;     ///< when it began
  std::string state;     ///< "not seen", "seen", "gone, not seen"
  std::string more;      ///< "2 more"
  std::string text;      ///< the short one where there is one, with how often it came
};
/// `signs`: in the half of a second in which they show.
AlertWords alert_words(const Day& day, const Now& now, bool signs);

}  // namespace stillpoint::client
