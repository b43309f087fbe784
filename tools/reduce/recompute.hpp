#pragma once
/// One recomputation of recorded bytes: the stream through the session, the points out in their order.
///
/// Time:    the record's own.
/// Threads: one recomputation, one thread; the settings must outlive it.
/// Errors:  a configuration that cannot be computed with, a log that breaks off, a journal that cannot be followed: one
///          sentence each.

#include <map>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "config/settings.hpp"
#include "pointbook/closings.hpp"
#include "record/command.hpp"
#include "session/checks.hpp"
#include "session/session.hpp"
#include "stream.hpp"

namespace stillpoint::reduce {

using StayName = std::pair<std::string, int>;  ///< name and visit

/// Which stay it was: after one that left nothing its name and visit were free again.
struct StayBegun {
  StayName who;
  std::optional<UtcTime> started;
  static StayBegun of(const occupation::Point& point) { return {{point.name, point.visit}, point.started_utc}; }
  auto operator<=>(const StayBegun&) const = default;
};

struct Ask {
  bool follow_commands = false;  ///< of the journal; otherwise `visits` are computed
  std::vector<session::PlannedVisit> visits{};
  bool keep_epochs = true;
  bool training = false;
  bool empty_stays = true;                                ///< points of status `none` too
  std::map<std::size_t, session::Again> computed_anew{};  ///< what differs from the day, by opening
  std::vector<control::Mark> marks{};                     ///< in place of those of the file, by name
  std::optional<std::set<StayBegun>> stored{};            ///< what the field had of its stays; empty: all of them
};

/// A finished point waiting for its place in the output. Every `occupy` and `check` of the journal is an opening,
/// counted from 1: a name and a visit can be opened twice, when the first stay was dropped. An offset point is none.
struct Row {
  std::size_t order = 0;
  std::size_t opening = 0;    ///< 0: a planned visit, or an offset point
  bool cut_off = false;       ///< it was open when the program ended without a word
  bool unanswered = false;    ///< it ended in the last seconds before that: nobody may have been told that it is safe
  bool left_nothing = false;  ///< cut off or unanswered, and the field did not have it when it began again
  occupation::Point point;    ///< as it was kept
  std::vector<occupation::EpochRecord> epochs;
  std::optional<occupation::Point> reconsidered{};  ///< what a later visit, or a hand that amended it, made of it
  SteadyTime ended{};
  std::string amended_as{};                          ///< the uuid of a version that nobody was told is safe, so far
  std::optional<occupation::Point> unamended{};      ///< as it was before that version
  std::optional<occupation::PointStatus> decided{};  ///< by a hand: no result of this, and what the next run knows
  std::string made{};  ///< the uuid of an offset point that nobody was told is safe, so far
  const occupation::Point& newest() const noexcept { return reconsidered ? *reconsidered : point; }
};

/// A stay on a mark, compared or not.
struct CheckRow {
  std::size_t opening = 0;
  session::FinishedCheck check;
  SteadyTime ended{};
  bool unanswered = false;  ///< as of a row
};

class Recomputation {
 public:
  Recomputation(const config::Settings& settings, Ask ask) : settings_(settings), ask_(std::move(ask)) {}

  Result<void> start();
  Result<void> play(Stream& stream);

  const std::vector<Row>& rows();
  /// Stays on marks, in their order.
  const std::vector<CheckRow>& checks() const { return checks_; }
  /// Checks of the journal that the session did not take, and why; by opening.
  const std::map<std::size_t, std::string>& refused_checks() const { return refused_checks_; }
  /// The stay that is open, or was last.
  std::size_t opening() const { return opening_; }
  session::Summary total() const;
  std::vector<occupation::Combined> combined();
  /// What is to be said of the dates of the log, each sentence once.
  const std::vector<std::string>& notes() const { return notes_; }
  const std::string& frame() const { return frame_; }
  bool projected() const { return projected_; }
  /// What a pointbook of this day is locked to; `now` is the caller's clock.
  pointbook::Identity identity(const std::string& project, bool training, UtcTime now) const;
  /// When the day was closed, by the commands that were followed.
  const std::vector<UtcTime>& closings() const { return closings_; }
  /// The point as the daemon tells it; of visits that were not occupied on the day nothing is known about closing.
  occupation::Point delivered(const occupation::Point& point) const;
  /// Called after every piece of bytes of a journal.
  std::function<void(const session::Session&)> watch;

 private:
  void bytes(std::string_view bytes, SteadyTime arrived);
  void untimed(std::string_view bytes, record::SentenceClock& clock);
  void command(const std::string& line, SteadyTime given);
  bool restart(SteadyTime last);
  void apply(const record::Command& command, SteadyTime given);
  Row* row_of(const StayName& who);
  void amend(const record::Amend& amend);
  void decide(const record::Resolve& resolve);
  void hold_for_antenna(const record::SetAntenna& antenna);
  void note_safe(const std::string& made);
  void take_back_unsafe();
  std::optional<session::Again> anew() const;
  Result<void> take_marks();
  void collect(bool cut_off = false);
  void end_run();
  void note_what_left_nothing();

  const config::Settings& settings_;
  Ask ask_;
  std::optional<session::Session> session_;
  std::vector<Row> rows_;
  std::vector<CheckRow> checks_;
  std::map<std::size_t, std::string> refused_checks_;
  std::size_t live_ = 0, opening_ = 0;
  SteadyTime latest_;                               ///< of what came last
  bool stopped_ = false;                            ///< the run ended in good order
  std::string made_;                                ///< by the last keep, or that it is safe
  std::string offset_made_;                         ///< by the last command for an offset point
  std::pair<std::size_t, std::size_t> before_run_;  ///< how many rows and checks there were when it began
  std::vector<UtcTime> closings_;
  std::vector<std::string> notes_;
  session::Summary before_;  ///< of earlier starts of the daemon
  std::string frame_, frame_wkt_, frame_wkt1_;
  bool projected_ = false;
  std::optional<std::string> complaint_;
};

}  // namespace stillpoint::reduce
