#pragma once
/// Check shots on control marks during the day: when one is due, what it came to, and what that means for points.
///
/// Rule:    with marks, a check is due at the start, `check_due_min` after the last that passed, and after any change
///          of source, antenna or the receiver's settings. Points kept meanwhile carry the flag `check-due`; after a
///          failed check they are held until a check passes. The newest check decides.
/// Overlap: the source of the first point kept, or of the first check passed, is the day's own. Points under any other
///          are held until one mark has passing shots under both and the step between them is no larger than the two
///          methods explain. A source that was tied so once stays so; coming back to it asks for no second overlap.
/// Turn:    four stays on one mark, the pole facing north, east, south and west. They prove the pole and not the day:
///          they neither pass nor fail a check.
/// Closing: the day closes on a passing check with no point kept after it. Without marks there are no such rules.
/// Units:   metres. Time: the session's. Threads: the session's.
/// Errors:  a shot that cannot be compared is a check that did not pass, with its sentence.

#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "control/compare.hpp"
#include "control/diagnosis.hpp"
#include "control/marks.hpp"
#include "control/shot.hpp"
#include "geodesy/transfers.hpp"
#include "occupation/point.hpp"

namespace stillpoint::session {

/// How a mark is occupied.
struct CheckCommand {
  bool closing = false;  ///< meant as the last of the day: only its name in the pointbook
  std::string turn{};    ///< `N` `E` `S` `W`: one stay of a turn test, the pole facing there; empty: a check
};

/// A stay on a mark, and what it came to.
struct FinishedCheck {
  control::Mark mark;
  std::string kind;  ///< `opening`, `due`, `extra`, `closing`; `turn`: no check, but a stay of a turn test
  occupation::Point point;
  std::optional<control::Residual> residual;  ///< empty: nothing could be compared
  control::Verdict verdict;
  control::Diagnosis diagnosis;              ///< of a check that did not pass
  std::vector<control::Overlap> overlaps{};  ///< with shots on the same mark under other sources
  std::optional<control::Turn> turn{};       ///< the turn test that this stay completed
};

/// What proves a day that is closed now.
struct Proof {
  std::string mark, text;
  std::optional<UtcTime> utc;
};

/// A check that was compared, as it is written down; its uuid and when it was stored are the storer's.
control::CheckShot shot_of(const FinishedCheck& check);

/// What is known about checks; inside a session.
struct Checks {
  control::Marks marks;
  bool configured = false;
  std::optional<geodesy::Transfers> transfers;
  std::optional<control::Mark> shooting;  ///< the open stay is on this mark
  CheckCommand how;                       ///< it was occupied
  std::string due_because = "no check has been made since the start";
  bool any = false, failed = false;
  std::optional<SteadyTime> passed_at;
  std::string last_text, last_mark;  ///< of the newest check
  std::optional<UtcTime> last_utc;
  struct Shot {
    std::string mark;
    control::Residual residual;
  };
  std::vector<Shot> since_change;  ///< of source, antenna or receiver
  std::size_t kept_since = 0;      ///< points kept after the newest check
  std::set<std::string> tied;      ///< sources whose points may stand beside each other; the first is the day's own
  std::map<std::pair<std::string, std::string>, control::SourceShot> passed;  ///< newest, by mark and source
  std::map<std::string, std::string> disagrees;                               ///< source to what its last overlap said
  std::string turning;                              ///< the mark of the turn test that goes on; empty: none
  std::map<std::string, control::TurnShot> turned;  ///< its stays, by heading

  bool is_due(SteadyTime now, double every_min) const noexcept;
  /// Why a check is due; empty: none is.
  std::string due(SteadyTime now, double every_min) const;
  void change(const std::string& what);
  /// A point was kept under this source.
  void kept(const std::string& source);
  /// Why points under this source wait for an overlap check; empty: they do not.
  std::string overlap_due(const std::string& source) const;
};

}  // namespace stillpoint::session
