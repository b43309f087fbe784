#pragma once
/// The observing day with its hands: the session, the raw record, the store and the alerts, joined.
///
/// Parts:   each guards one thing and has its own header beside this one; the day wires them and passes on what comes.
/// Order:   bytes are recorded before the session sees them; a command is entered in the record before its answer goes
///          out; a point or a check is acknowledged when the synced spool has it.
/// Time:    every call says when it is, in the feed's steady time.
/// Threads: the I/O thread. News from the store is posted there.
/// Errors:  a refused command is a sentence; what the disk refuses becomes an alert. What cannot be recorded is not
///          judged: an open stay ends as held, commands are refused, and the day goes on when the record does.

#include <boost/asio/io_context.hpp>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "common/times.hpp"
#include "day/battery_guard.hpp"
#include "day/day_closer.hpp"
#include "day/missing_keeps.hpp"
#include "keeping/store.hpp"

namespace stillpoint::daemon {

/// What the day asks of the machine it runs on.
struct MachineGuard {
  DiskGuard disks;
  BatteryGuard battery;
};

class Day {
 public:
  Day(boost::asio::io_context& io, const config::Settings& settings, session::Session session,
      std::unique_ptr<Recorder> recorder, PairCatalogue& pairs, Store& store);
  Day(const Day&) = delete;
  Day& operator=(const Day&) = delete;

  /// Points of earlier days, whose names are taken, in all their versions, and what the pointbook has heard. Before
  /// `start`.
  void know(std::vector<occupation::StoredPoint> points, const std::vector<pointbook::Event>& events);
  void start(DayHooks hooks, const std::string& version);

  void bytes(std::string_view bytes, FeedTime arrived) { session_.bytes(bytes, arrived); }
  /// Bytes on their way to the receiver, and how the connection to their caster stands.
  friend void hear_corrections(Day& day, std::string_view bytes, bool lost, FeedTime at) {
    hear_corrections(day.session_, bytes, lost, at);
  }
  friend void hear_delivery(Day& day, const record::Delivery& delivery, FeedTime at) {
    hear_delivery(day.session_, delivery, at);
  }
  void feed(session::FeedState state, const std::string& what, FeedTime at) { session_.feed(state, what, at); }
  void cut(FeedTime at) { session_.cut(at); }
  /// What the clock says that stamps the bytes of a replay; a live feed's clock is the computer's own.
  void clock(const record::Clock& clock, FeedTime at) { session_.clock(clock, at); }
  void tick(FeedTime at);

  /// What people do.
  Acts& acts() noexcept { return acts_; }
  /// `done` is called once the closing is in the pointbook, or with every reason why the day cannot be closed.
  void close(CloseAsked asked, FeedTime at, CloseDone done);
  void seen(const std::string& key, std::optional<std::uint64_t> id, FeedTime at);

  session::Status status() const;
  const session::Session& session() const noexcept { return session_.session(); }
  /// What happened; while it is unread, names that only the pointbook knows are not known here.
  const EventBook& events() const noexcept { return events_; }
  const Catalogue& points() const noexcept { return deliveries_.points(); }
  /// What repeat visits among them come to together.
  std::vector<occupation::Combined> combined() const;
  /// Of the whole day, oldest first.
  std::vector<session::Alert> alerts() const;

  /// The day's own alerts and counters, for what the daemon sees and the session does not.
  void own_alert(const std::string& key, session::Severity severity, const session::AlertText& text);
  void own_alert_over(const std::string& key) { alerts_.clear(key); }
  /// `what` is a constant of the program.
  void count(std::string_view what, std::uint64_t value) { own_counters_[what] = value; }

  /// The end of the day: an open occupation is kept as held. Points may still be on their way to the store.
  /// False: the disk may not have the end of the record.
  bool finish(FeedTime at);

 private:
  void hear_store();
  void on_spooled(const std::string& uuid, const Result<void>& done);
  void on_waiting(const std::string& text);
  void on_read(std::vector<occupation::StoredPoint> points, const std::vector<pointbook::Event>& events);
  void recover_open_stay();

  boost::asio::io_context& io_;
  config::Settings settings_;
  Store& store_;
  DayTime time_;
  EventBook events_;
  DayAlerts alerts_;
  RecordedSession session_;
  Deliveries deliveries_;
  Outcomes outcomes_;
  SavedStay saved_;
  MachineGuard machine_;
  Acts acts_;
  DayCloser closer_;
  MissingKeeps missing_;
  std::map<std::string_view, std::uint64_t> own_counters_;  ///< by constants
};

}  // namespace stillpoint::daemon
