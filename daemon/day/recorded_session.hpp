#pragma once
/// The session and its record, which go together: bytes and events are recorded before the session gets them, and what
/// cannot be recorded is not judged.
///
/// Rule:    when the record fails, both are cut at the same moment, so that a recomputation cuts there as well; once it
///          is up again, the first thing told is how the feed is by now.
/// Time:    the feed's, handed in. Threads: the I/O thread.
/// Errors:  a record that fails is told through the hooks.

#include <functional>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <utility>

#include "common/times.hpp"
#include "day/day_time.hpp"
#include "keeping/recorder.hpp"
#include "record/command.hpp"
#include "session/session.hpp"

namespace stillpoint::daemon {

class RecordedSession {
 public:
  /// Who must hear of what happens.
  struct Hooks {
    /// What came out of the session. `by`: whose command it comes from; empty: nobody's. `uuid`: of the first point or
    /// check among it; empty: a new one.
    std::function<void(session::Outputs out, const std::string& by, std::string uuid)> came_out;
    std::function<void()> status_changed;
    std::function<void(const std::string& why)> failed;      ///< just now; both are cut
    std::function<void(const std::string& why)> stays_down;  ///< empty: it was not tried again
    std::function<void()> is_back;
  };
  /// `pairs` and `time` must outlive it.
  RecordedSession(session::Session session, std::unique_ptr<Recorder> recorder, PairCatalogue& pairs, DayTime& time,
                  Hooks hooks);

  const session::Session& session() const noexcept { return session_; }
  Recorder& recorder() noexcept { return *recorder_; }
  /// The day's own time.
  friend UtcTime utc_of(const RecordedSession& session) { return session.time_.utc(); }
  /// A point of the pointbook.
  void know(const occupation::Point& point, session::Weighed weighed = session::Weighed::yes) {
    session_.know(point, weighed);
  }

  /// Names and visits that points of the pointbook have or had.
  friend void know_given(RecordedSession& session, const std::set<std::pair<std::string, int>>& visits) {
    for (const auto& [name, visit] : visits) session::know_given(session.session_, name, visit);
  }

  void bytes(std::string_view bytes, FeedTime arrived);
  /// Bytes on their way to the receiver; `lost`: its link did not take them.
  friend void hear_corrections(RecordedSession& session, std::string_view bytes, bool lost, FeedTime at);
  void feed(session::FeedState state, const std::string& what, FeedTime at);
  /// How the connection to the caster stands.
  friend void hear_delivery(RecordedSession& session, const record::Delivery& delivery, FeedTime at);
  void cut(FeedTime at);
  /// What the clock says that stamps the bytes of a replay; a live feed's clock is the computer's own.
  void clock(const record::Clock& clock, FeedTime at);
  /// Runs the session on, and looks after the record.
  void tick(FeedTime at);

  /// Runs the session up to `at`; `catch_up` also hands on what comes of it.
  void advance(FeedTime at) { session_.advance(at); }
  void catch_up(FeedTime at);
  /// Hands on what has come out of the session.
  void hand_on(const std::string& by = {}) { hand_on(session_.take(), by); }
  void hand_on(session::Outputs out, const std::string& by, std::string uuid = {});

  /// Tries a record that is down once more. True: it is up.
  bool bring_up(FeedTime at);
  /// The same, and writes what it takes for a command that is carried out now to be in the record. True: it will be.
  bool make_ready(FeedTime at);
  /// Why nothing is judged while the record is down.
  const std::string& standstill() const noexcept { return standstill_; }

  /// Gives the session a command; what comes out is handed on by the caller, who enters it in the record first.
  std::pair<session::CommandResult, session::Outputs> apply(const record::Command& command, FeedTime at);
  void enter(const record::Entry& entry, FeedTime at);
  /// Recorded first, then the session's.
  void event(const record::Command& event, FeedTime at);
  void seen(const std::string& key, std::optional<std::uint64_t> id) { session_.seen(key, id); }

  /// Closes the record in good order while a full disk lasts.
  Result<void> pause();
  /// The day is over: the last entry, and an open stay as held. Closing the recorder is the last step.
  void stop(FeedTime at);
  void finish();

 private:
  /// Whether writing to the record succeeded; a failure brings the day to a standstill.
  bool recorded(const Result<void>& done, FeedTime at, const std::string& by = {});
  void stand_still(const std::string& why, FeedTime at);
  bool tell_clock(FeedTime at);

  session::Session session_;
  std::unique_ptr<Recorder> recorder_;
  DayTime& time_;
  Hooks hooks_;
  std::string standstill_;  ///< why the record is down
  session::FeedState feed_state_ = session::FeedState::waiting;
  std::string feed_what_;
  std::optional<record::Delivery> delivery_;
  bool clock_told_ = false;                                  ///< to session and record, before the first bytes
  std::optional<std::pair<record::Clock, FeedTime>> clock_;  ///< of a replay
  FeedTime handed_on_;                                       ///< when the session's news were taken last
};

void hear_corrections(RecordedSession& session, std::string_view bytes, bool lost, FeedTime at);
void hear_delivery(RecordedSession& session, const record::Delivery& delivery, FeedTime at);

}  // namespace stillpoint::daemon
