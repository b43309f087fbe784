#pragma once
/// Check shots on control marks during the day: when one is due, what it came to, and what that means for points. Its
/// answers are for whoever asks a session; its changes are the session's.
///
/// Rule:    with marks, a check is due at the start, `check_due_min` after the last that passed, and after any change
///          of source, antenna or the receiver's settings. Points kept meanwhile carry the flag `check-due`; after a
///          failed check they are held until a check passes. The newest check decides.
/// Overlap: `session/overlaps.hpp`. Turn test: `session/turn_test.hpp`; it proves the pole and not the day: its stays
///          neither pass nor fail a check.
/// Closing: the day closes on a passing check with no point kept after it. Without marks there are no such rules.
/// Units:   metres. Time: the session's. Threads: the session's.
/// Errors:  a shot that cannot be compared is a check that did not pass, with its sentence.

#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "geodesy/transfers.hpp"
#include "session/alert_board.hpp"
#include "session/basis.hpp"
#include "session/check_shot.hpp"
#include "session/overlaps.hpp"
#include "session/proving.hpp"
#include "session/sentences.hpp"
#include "session/turn_test.hpp"

namespace stillpoint::session {

class Checks {
 public:
  /// `basis` must outlive the checks.
  explicit Checks(const Basis& basis);

  Result<void> set_marks(control::Marks marks);
  const control::Marks& marks() const noexcept { return marks_; }

  /// A stay on this mark begins. What to do there, or why it cannot be checked on.
  Result<std::string> begin(const std::string& mark, const CheckCommand& how);
  /// The open stay is on a mark.
  bool is_open() const noexcept { return open_.has_value(); }
  /// How far the open stay is off its mark so far, where they compare.
  std::optional<control::Residual> off_mark(const occupation::Coordinates& at) const;
  void drop() noexcept { open_.reset(); }
  /// The stay on the mark ended as `point`: compared, judged, and explained when it did not pass.
  /// `receiver_geoid_m`: the receiver's own separation.
  FinishedCheck finish(occupation::Point point, SteadyTime now, std::optional<double> receiver_geoid_m);

  /// A change of source, antenna or receiver: checks from before it prove nothing about what comes after.
  void change(const std::string& what);
  /// A point was kept under this source.
  void keep(const std::string& source);
  /// What the state of the checks means for a point that is finished now.
  void say(occupation::Point& point, SteadyTime now) const;
  /// Reports the alerts about checks.
  void look(const Moment& moment, AlertBoard& board) const;
  /// `source`: the one in use; empty: none.
  void fill(CheckStatus& told, const std::string& source, SteadyTime now) const;
  /// What to do on a mark, before the occupation's own advice.
  std::string advice() const;
  /// How many more checks prove what this source claims; empty: there are no marks to check on.
  std::optional<int> missing_to_prove(const std::string& source) const;
  /// Whether the day may be closed, as far as checks can tell.
  Closing closing(SteadyTime now) const;

 private:
  struct Open {
    control::Mark mark;
    CheckCommand how;
  };
  struct Newest {
    std::string mark, text;
    std::optional<UtcTime> utc;
    bool failed = false;
  };
  struct Shot {
    std::string mark;
    control::Residual residual;
  };
  bool is_configured() const noexcept { return transfers_.has_value(); }
  bool has_failed() const noexcept { return newest_ && newest_->failed; }
  Condition due_condition(SteadyTime now) const noexcept;
  /// Why a check is due; empty: none is.
  std::string due(SteadyTime now) const;
  std::string kind(const CheckCommand& how, SteadyTime now) const;
  bool place(FinishedCheck& done) const;
  void judge(FinishedCheck& done, SteadyTime now, std::optional<double> receiver_geoid_m);
  void remember(const FinishedCheck& done, SteadyTime now);
  control::Diagnosis diagnose(const FinishedCheck& done, std::optional<double> receiver_geoid_m) const;
  control::Scene scene(const FinishedCheck& done, std::optional<double> receiver_geoid_m) const;

  const Basis* basis_;
  control::Marks marks_;
  mutable std::optional<geodesy::Transfers> transfers_;  ///< opens what is asked of it; empty: no marks are configured
  std::optional<Open> open_;
  std::string due_because_ = kSay.no_check_yet();
  std::optional<SteadyTime> passed_at_;
  std::optional<Newest> newest_;
  std::vector<Shot> since_change_;  ///< of source, antenna or receiver
  std::size_t kept_since_ = 0;      ///< points kept after the newest check
  Overlaps overlaps_;
  Proving proving_;
  TurnTest turn_test_;
};

}  // namespace stillpoint::session
