#pragma once
/// The observing day with its hands: the session, the raw record, the store and the alerts, joined.
///
/// Order:   bytes are recorded before the session sees them; a command is entered in the record before its answer goes
///          out; a point or a check is acknowledged when the synced spool has it.
/// Time:    every call says when it is, in the feed's steady time.
/// Threads: the I/O thread. News from the store is posted there.
/// Errors:  a refused command is a sentence; what the disk refuses becomes an alert. What cannot be recorded is not
///          judged: an open stay ends as held, commands are refused, and the day goes on when the record does.

#include <atomic>
#include <boost/asio/io_context.hpp>
#include <deque>
#include <functional>
#include <map>
#include <memory>
#include <set>
#include <string>
#include <string_view>
#include <thread>

#include "day/day_close.hpp"
#include "day/own_alerts.hpp"
#include "keeping/catalogue.hpp"
#include "keeping/disk_watch.hpp"
#include "keeping/journaled.hpp"
#include "keeping/recorder.hpp"
#include "keeping/store.hpp"
#include "record/command.hpp"
#include "session/checks.hpp"
#include "session/session.hpp"

namespace stillpoint::daemon {

struct DayHooks {
  std::function<void(const session::Alert&)> alert;  ///< raised, told again or cleared
  std::function<void()> status_changed;
};

class Day {
 public:
  using CheckDone = std::function<void(const Result<session::FinishedCheck>&)>;
  using CloseDone = std::function<void(const Result<DayClosed>&)>;
  using PointDone = std::function<void(const Result<occupation::StoredPoint>&)>;

  Day(boost::asio::io_context& io, const config::Settings& settings, session::Session session,
      std::unique_ptr<Recorder> recorder, PairCatalogue& pairs, Store& store);
  ~Day();
  Day(const Day&) = delete;
  Day& operator=(const Day&) = delete;

  /// Points of earlier days, whose names are taken, and what the pointbook has heard. Before `start`.
  void know(std::vector<occupation::StoredPoint> points, const std::vector<pointbook::Event>& events);
  void start(DayHooks hooks, const std::string& version);

  void bytes(std::string_view bytes, SteadyTime arrived);
  void feed(session::FeedState state, const std::string& what, SteadyTime at);
  void cut(SteadyTime at);
  /// What the clock says that stamps the bytes of a replay; a live feed's clock is the computer's own.
  void clock(const record::Clock& clock, SteadyTime at);
  void tick(SteadyTime at);

  /// Gives the session a command and enters it in the record. Points and checks that come of it are stored without an
  /// answer; `keep` and `set_antenna` do more for their commands.
  session::CommandResult carry_out(record::Command command, const std::string& by, SteadyTime at);
  /// `done` is called once the point is safe, or with the reason why there is none.
  void keep(const std::string& by, SteadyTime at, PointDone done);
  bool is_checking() const noexcept { return session_.checks().is_open(); }
  /// `done` is called once the check is safe, or with the reason why there is none.
  void keep_check(const std::string& by, SteadyTime at, CheckDone done);
  const control::Marks& marks() const { return session_.checks().marks(); }
  /// `done` is called once the closing is in the pointbook, or with every reason why the day cannot be closed.
  void close_day(CloseAsked asked, SteadyTime at, CloseDone done);
  /// The point as clients get it: with the flag of a day that is not closed.
  occupation::Point delivered(const occupation::Point& point) const { return book_.closings().delivered(point); }
  /// Another antenna from now on; `antenna` names its parts. The text says what changed, or why not.
  session::CommandResult set_antenna(const config::Antenna& antenna, const std::string& reason, const std::string& by,
                                     SteadyTime at);
  const config::Antenna& antenna() const noexcept { return antenna_; }
  void resolve(const Decision& decision, SteadyTime at, PointDone done);
  /// Stays that ended otherwise than by hand and left nothing.
  const std::vector<LostStay>& lost_stays() const noexcept { return book_.lost_stays(); }
  void seen(const std::string& key, std::optional<std::uint64_t> id, SteadyTime at);

  session::Status status() const;
  bool is_occupied() const { return session_.open_stand() != nullptr; }
  /// Another program has held the pointbook since before the start: names that only it knows are not known here.
  bool is_book_unread() const noexcept { return book_unread_; }
  const occupation::Stand* open_stand() const noexcept { return session_.open_stand(); }
  std::optional<session::OpenStay> shown_stay() const { return session_.open_stay(); }
  /// Of the whole day, oldest first.
  std::vector<session::Alert> alerts() const;
  std::vector<session::Outage> outages() const { return session_.summary().outages; }
  const Catalogue& points() const noexcept { return points_; }
  /// What repeat visits among them come to together.
  std::vector<occupation::Combined> combined() const;

  /// The day's own alerts and counters, for what the daemon sees and the session does not.
  void own_alert(const std::string& key, session::Severity severity, const std::string& text);
  void own_alert_over(const std::string& key) { clear(key); }
  /// `what` is a constant of the program.
  void count(std::string_view what, std::uint64_t value) { own_counters_[what] = value; }

  /// The end of the day: an open occupation is kept as held. Points may still be on their way to the store.
  /// False: the disk may not have the end of the record.
  bool finish(SteadyTime at);

 private:
  void hear_store();
  void store_antenna(const std::string& reason = {});
  void on_spooled(const std::string& uuid, const Result<void>& done);
  void on_stored(const std::string& uuid);
  void on_waiting(const std::string& text);
  void on_read(std::vector<occupation::StoredPoint> points, const std::vector<pointbook::Event>& events);

  /// Whether writing to the record succeeded; a failure brings the day to a standstill. `by`: whose command it was.
  bool recorded(const Result<void>& done, SteadyTime at, const std::string& by = {});
  void record_command(const record::Entry& entry, SteadyTime at);
  void record_event(const record::Command& event, SteadyTime at);
  /// Tells session and record once what the clock says. True when bytes may follow.
  bool tell_clock(SteadyTime at);
  void stand_still(const std::string& why, SteadyTime at);
  /// True when the record is up, or could be brought up again.
  bool try_to_go_on(SteadyTime at);
  /// A command must be in the record: empty, or why it cannot be now.
  std::string refusal_after_trying(SteadyTime at);
  void keep_now(const std::string& by, SteadyTime at, PointDone done);
  session::CommandResult carry_out_now(record::Command command, const std::string& by, SteadyTime at);
  /// Runs the session up to now, and hands on what comes of it.
  void catch_up(SteadyTime at);
  /// `by`: whose command it comes from; empty: nobody's.
  void drain(const std::string& by = {});
  /// `uuid`: of the first point or check among them; empty: a new one.
  void hand_out(session::Outputs out, const std::string& by, std::string uuid = {});
  void submit(occupation::StoredPoint stored, PointDone done, std::string uuid = {});
  void submit(session::FinishedCheck check, std::string uuid);
  void note_dates(const std::string& text);
  void reconsider(const session::Reconsidered& earlier);
  void hear(pointbook::Event event);
  void look_for_keeps(const Known& known);
  void tell_missing_keeps();
  /// Hands something to the store once the record has synced what it came from. The order of the calls is kept.
  void hand_to_store(std::function<void()> give);
  /// The same for what need not wait for the record but must keep its place in the order.
  void after_held(std::function<void()> give);
  void give_to_store(std::uint64_t up_to);
  // day_closing.cpp
  UtcTime closing_time() const;
  void note_left_open();
  std::string reopens() const;
  std::vector<std::string> why_not_closed(SteadyTime at);
  void go_on_closing(SteadyTime at);
  void look_at_book();
  void look_at_record(Known known);
  void miss_record(RecordChecked& seen);
  void close_now(SteadyTime at);
  void tell_closed(const DayClosed& day, const CloseDone& tell);
  void refuse_closing(const std::vector<std::string>& why);
  void announce(const session::Alert& alert);
  void hear_time(std::optional<UtcTime> told);
  /// By the receiver's clock as it was told last. In a replay or a rehearsal the machine's is months away from it: the
  /// two ends of one alert must not be told by both.
  UtcTime day_utc() const;
  void repeat(const session::Alert& alert);
  void add_event(std::string_view kind, const std::string& text, const std::string& by = "",
                 std::optional<UtcTime> utc = std::nullopt);
  void raise(const std::string& key, session::Severity severity, const std::string& text);
  void clear(const std::string& key);
  // day_disk.cpp
  std::string why_no_stay() const;
  std::string why_no_keep() const;
  void spool_failed(const std::string& why);
  void spool_went_well();
  void watch_disk();
  void tell_full_disks();
  void keep_open_stay();
  void stop_for_full_disk();
  void go_on_after_full_disk();
  void save_open_stay();
  void forget_open_stay();
  void recover_open_stay();
  void lose(UtcTime utc, const pointbook::LostStay& lost);
  void tell_lost_stays();

  boost::asio::io_context& io_;
  config::Settings settings_;
  session::Session session_;
  std::unique_ptr<Recorder> recorder_;
  PairCatalogue& pairs_;
  Store& store_;
  OwnAlerts own_;
  DiskWatch disks_;
  std::map<std::string_view, std::uint64_t> own_counters_;  ///< by constants
  std::map<std::string, std::uint64_t> occurrences_;        ///< of each alert since the start
  Catalogue points_;
  DayHooks hooks_;
  std::map<std::string, PointDone> pending_;  ///< by uuid: who waits for a point to be safe
  std::map<std::string, std::function<void(const Result<void>&)>> pending_shots_;  ///< the same for check shots
  PointDone keeping_;                          ///< who gave the `keep` whose point comes out of the session next
  std::map<std::string, Storage> on_the_way_;  ///< every version and check shot not yet stored
  std::set<std::string> shots_on_the_way_;     ///< those of them that are check shots
  std::uint64_t spooled_ = 0, stored_ = 0;     ///< points
  CheckDone keeping_check_;                    ///< who gave the `keep` whose check comes next
  SteadyTime disk_looked_;
  std::string standstill_;  ///< why the record is down
  session::FeedState feed_state_ = session::FeedState::waiting;
  std::string feed_what_;
  SteadyTime last_at_;                                         ///< the feed's time of the last call
  bool clock_told_ = false;                                    ///< to session and record, before the first bytes
  std::optional<std::pair<record::Clock, SteadyTime>> clock_;  ///< of a replay
  std::optional<std::pair<UtcTime, SteadyTime>> told_at_;      ///< the receiver's time that was told last, and when
  SteadyTime drained_;                                         ///< of that, when the session's news were taken last
  std::optional<occupation::StoredPoint> left_open_;           ///< by a run that ended without a word
  std::optional<SteadyTime> save_open_again_;                  ///< when; empty: nothing is saved
  bool disk_full_ = false;                                     ///< that of the record: nothing is recorded
  std::pair<bool, bool> full_told_;  ///< the disks of record and pointbook, as people were told
  std::string spool_fault_;          ///< why what was measured cannot be written
  config::Antenna antenna_;          ///< in use now

  /// A closing on its way: points must reach the pointbook, the record is looked at, then it is done.
  struct Closing {
    CloseAsked asked;
    CloseDone done;
    SteadyTime since;
    bool looking = false;  ///< at the record
    std::string until{};   ///< the pair that was begun for it, which it does not cover
    std::optional<RecordChecked> record{};
  };
  struct Held {
    std::uint64_t number;
    SteadyTime since;
    std::function<void()> give;
  };
  std::deque<Held> held_;  ///< for the store, until the record is synced
  std::uint64_t handed_ = 0;
  std::vector<JournaledKeep> missing_keeps_;  ///< of before the start, as far as is known
  DayBook book_;
  bool book_unread_ = false;
  std::vector<pointbook::Event> heard_unread_;  ///< what happened while it was
  std::optional<Closing> closing_;
  std::string left_open_text_;  ///< what earlier days left; empty: nothing
  std::atomic<bool> stop_looking_{false};
  std::thread looker_;  ///< reads the record for a closing
};

}  // namespace stillpoint::daemon
