#pragma once
/// What comes out of the session goes where it belongs: points and checks on their way to the pointbook, events and
/// alerts to whoever listens, and the answer to whoever gave the command.
///
/// Time:    the day's own. Threads: the I/O thread.
/// Errors:  whoever waits for a point or a check is told in a sentence why there is none.

#include <functional>
#include <string>

#include "day/day_alerts.hpp"
#include "day/deliveries.hpp"
#include "record/command.hpp"
#include "session/session.hpp"

namespace stillpoint::daemon {

using CheckDone = std::function<void(const Result<session::FinishedCheck>&)>;

class Outcomes {
 public:
  /// Enters in the record how dates are taken.
  using EnterDates = std::function<void(const record::Dates&)>;
  /// All must outlive the outcomes.
  Outcomes(EnterDates enter_dates, Deliveries& deliveries, EventBook& events, DayAlerts& alerts, DayTime& time)
      : enter_dates_(std::move(enter_dates)), deliveries_(deliveries), events_(events), alerts_(alerts), time_(time) {}

  /// `uuid`: of the first point or check among them; empty: a new one.
  void hand_out(session::Outputs out, const std::string& by, std::string uuid);

  /// Who gave the `keep` whose point or check comes next.
  void await(PointDone done) { point_done_ = std::move(done); }
  void await_check(CheckDone done) { check_done_ = std::move(done); }
  /// Nothing came: who waited waits no longer, and is told by the caller.
  PointDone give_up() { return std::exchange(point_done_, nullptr); }
  CheckDone give_up_check() { return std::exchange(check_done_, nullptr); }

 private:
  void point(session::FinishedPoint finished, const std::string& by, std::string uuid);
  void check(session::FinishedCheck check, std::string uuid);
  void reconsidered(const session::Reconsidered& earlier);
  void lost(const session::LostStay& lost);
  void event(const session::Event& event, const std::string& by);

  EnterDates enter_dates_;
  Deliveries& deliveries_;
  EventBook& events_;
  DayAlerts& alerts_;
  DayTime& time_;
  PointDone point_done_;
  CheckDone check_done_;
};

/// A check that was compared is a row of the pointbook. A stay of a turn test proves the pole and not the day: its
/// result is an event.
bool is_a_row(const session::FinishedCheck& check);

}  // namespace stillpoint::daemon
