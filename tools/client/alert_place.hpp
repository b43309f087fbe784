#pragma once
/// The one place of alerts: the highest that nobody has seen, else the highest, else those that are over in one line,
/// else the last. What is over never stands above what is so.
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
/// What a press of A marks as seen: the one that is shown, or all that are over; nothing: there is no alert, or the daemon
/// cannot be told.
std::vector<AlertShown> alerts_to_see(const Day& day, const Now& now);
/// Those that go on and nobody has seen.
std::size_t unseen_alerts(const Day& day);
/// Those that are over before anybody has seen them.
std::size_t gone_alerts(const Day& day);
/// How many lines wait to be seen: one each, and one for all that are over.
std::size_t alert_lines_waiting(const Day& day);

struct AlertWords {
  bool any = false;
  std::string sign;      ///< `[!!!]` not seen, ` !!! ` seen, `[   ]` gone
  std::string severity;  ///< of an alert
  std::string clock;     ///< when it began
  std::string state;     ///< "not seen", "seen", "gone, not seen", "3 gone, not seen"
  std::string more;      ///< "2 more"
  std::string text;      ///< the short one where there is one, with how often it came
};
/// `signs`: in the half of a second in which they show.
AlertWords alert_words(const Day& day, const Now& now, bool signs);

}  // namespace stillpoint::client
