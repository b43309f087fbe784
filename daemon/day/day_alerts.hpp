#pragma once
/// The alerts of the day, the session's and the machine's: told to whoever listens, and entered as events.
///
/// Rule:    each occurrence of an alert has one number, so that a reader of the events can tell which end belongs to
///          which beginning. What is told again because nobody has seen it is no new occurrence and no new event.
/// Time:    the day's own, where an alert tells none. Threads: the I/O thread. Errors: none.

#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "day/day_time.hpp"
#include "day/event_book.hpp"
#include "day/own_alerts.hpp"

namespace stillpoint::daemon {

struct DayHooks {
  std::function<void(const session::Alert&)> alert;  ///< raised, told again or cleared
  std::function<void()> status_changed;
  std::function<void(const occupation::StoredPoint&)> point{};  ///< a version of one is safe; without epochs
};

class DayAlerts {
 public:
  /// Both must outlive the alerts.
  DayAlerts(EventBook& events, const DayTime& time) : events_(events), time_(time) {}
  /// Before it nobody listens.
  void start(DayHooks hooks) { hooks_ = std::move(hooks); }

  /// An alert of the session was raised or is over.
  void announce(const session::Alert& alert);
  void repeat(const session::Alert& alert) const;
  /// Alerts about the machine, which the session does not see.
  void raise(const std::string& key, session::Severity severity, const session::AlertText& text);
  void clear(const std::string& key);
  /// Marks those about the machine as seen; an empty key means all.
  void seen(const std::string& key, std::optional<std::uint64_t> id);
  const OwnAlerts& own() const noexcept { return own_; }

  /// A stay that vanished is an event, and an alert until somebody has seen it.
  void lose(UtcTime utc, const pointbook::LostStay& lost);
  void tell_lost_stays();

  void point_is_safe(const occupation::StoredPoint& point) const {
    if (hooks_.point) hooks_.point(point);
  }
  void status_changed() const {
    if (hooks_.status_changed) hooks_.status_changed();
  }

 private:
  EventBook& events_;
  const DayTime& time_;
  DayHooks hooks_;
  OwnAlerts own_;
  std::map<std::string, std::uint64_t> occurrences_;  ///< of each alert since the start
};

}  // namespace stillpoint::daemon
