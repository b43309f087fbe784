#pragma once
/// Check shots on control marks during the day: when one is due, what it came to, and what that means for points.
///
/// Rule:    with marks, a check is due at the start, `check_due_min` after the last that passed, and after any change
///          of source or antenna. Points kept meanwhile carry the flag `check-due`; after a failed check they are held
///          until a check passes. The newest check decides. Without marks there are no such rules.
/// Units:   metres. Time: the session's. Threads: the session's.
/// Errors:  a shot that cannot be compared is a check that did not pass, with its sentence.

#include <optional>
#include <string>
#include <vector>

#include "control/compare.hpp"
#include "control/diagnosis.hpp"
#include "control/marks.hpp"
#include "control/shot.hpp"
#include "geodesy/transfers.hpp"
#include "occupation/point.hpp"

namespace stillpoint::session {

/// A stay on a mark, and what it came to.
struct FinishedCheck {
  control::Mark mark;
  std::string kind;  ///< `opening`, `due`, `extra`
  occupation::Point point;
  std::optional<control::Residual> residual;  ///< empty: nothing could be compared
  control::Verdict verdict;
  control::Diagnosis diagnosis;  ///< of a check that did not pass
};

/// A check that was compared, as it is written down; its uuid and when it was stored are the storer's.
control::CheckShot shot_of(const FinishedCheck& check);

/// What is known about checks; inside a session.
struct Checks {
  control::Marks marks;
  bool configured = false;
  std::optional<geodesy::Transfers> transfers;
  std::optional<control::Mark> shooting;  ///< the open stay is on this mark
  std::string due_because = "no check has been made since the start";
  bool any = false, failed = false;
  std::optional<SteadyTime> passed_at;
  std::string last_text;  ///< of the newest check
  std::optional<UtcTime> last_utc;
  struct Shot {
    std::string mark;
    control::Residual residual;
  };
  std::vector<Shot> since_change;  ///< of source or antenna

  bool is_due(SteadyTime now, double every_min) const noexcept;
  /// Why a check is due; empty: none is.
  std::string due(SteadyTime now, double every_min) const;
  void change(const std::string& what);
};

}  // namespace stillpoint::session
