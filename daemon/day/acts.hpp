#pragma once
/// What people do during the day: each act is one command of the record, refused in a sentence where it makes no sense
/// or could not be recorded.
///
/// Order:   a command is entered in the record before its answer goes out and before anything that came of it is handed
///          on; a point or a check is acknowledged when the synced spool has it.
/// Time:    every call says when it is, in the feed's steady time. Threads: the I/O thread.
/// Errors:  a refused command is a sentence.

#include <functional>
#include <string>

#include "common/times.hpp"
#include "day/disk_guard.hpp"
#include "day/outcomes.hpp"
#include "day/pole.hpp"
#include "day/recorded_session.hpp"
#include "day/saved_stay.hpp"

namespace stillpoint::daemon {

/// What came of another pole.
struct PoleChanged {
  std::string text;
  std::vector<std::string> held{};  ///< names and visits
  std::string redo{};               ///< the file for the office; empty: none is wanted, or it could not be written
};
using PoleDone = std::function<void(const Result<PoleChanged>&)>;

class Acts {
 public:
  /// What of the store the acts need.
  struct Stores {
    std::function<bool()> is_full;
    std::function<void(pointbook::AntennaSetup)> antenna;
  };
  /// The parts of the day that acts work on; all must outlive them.
  struct Parts {
    RecordedSession& session;
    Outcomes& outcomes;
    Deliveries& deliveries;
    EventBook& events;
    DiskGuard& disks;
    SavedStay& saved;
  };
  Acts(const Parts& parts, const config::Antenna& antenna, std::string pointbook, Stores stores);

  /// Gives the session a command and enters it in the record. Points and checks that come of it are stored without an
  /// answer; `keep` and `set_antenna` do more for their commands.
  session::CommandResult carry_out(record::Command command, const std::string& by, FeedTime at);
  /// `done` is called once the point is safe, or with the reason why there is none.
  void keep(const std::string& by, FeedTime at, PointDone done);
  void keep_check(const std::string& by, FeedTime at, CheckDone done);
  /// Another antenna from now on; `antenna` names its parts. The text says what changed, or why not.
  session::CommandResult set_antenna(const config::Antenna& antenna, const std::string& reason, const std::string& by,
                                     FeedTime at);
  /// The pole has been another one since some time: points since then are held, and the file for the office is written.
  /// `done` is called once all of them are safe, or with the reason why nothing was done.
  void set_pole(const PoleAsked& asked, FeedTime at, PoleDone done);
  const config::Antenna& antenna() const noexcept { return antenna_; }
  void enter_antenna(const std::string& reason = {});
  void resolve(const Decision& decision, FeedTime at, PointDone done);
  /// A kept point is called otherwise, as a new version: `done` is called once that is safe. Not done: the text says why,
  /// or asks, and `done` is not called.
  session::CommandResult amend(record::Amend command, const std::string& by, FeedTime at, PointDone done);
  /// A point that nobody can stand on, from kept ones; a stay without a visit is the newest. `done` as of `amend`.
  session::CommandResult offset(record::Offset command, const std::string& by, FeedTime at, PointDone done);
  /// Ends an open stay as a held point, or discards it where nothing had counted; for the daemon itself.
  void keep_open_stay(FeedTime at);
  /// Every command must be in the record: empty, or why it cannot be now.
  std::string refusal(FeedTime at);

 private:
  session::CommandResult carry_out_now(record::Command command, const std::string& by, FeedTime at);
  Span span_of(const PoleAsked& asked, const std::vector<const CatalogueEntry*>& points, bool changes) const;
  std::string pole_refusal(const PoleAsked& asked, FeedTime at);
  void take_antenna(const config::Antenna& antenna, const std::string& reason);
  void submit_all(std::vector<occupation::StoredPoint> versions, PoleChanged changed, PoleDone done);
  std::string write_redo(const PoleAsked& asked, const Span& span, PoleChanged& out) const;
  void keep_now(const std::string& by, FeedTime at, PointDone done);
  std::string reopens() const;

  Parts parts_;
  config::Antenna antenna_;               ///< in use now
  std::string pointbook_;                 ///< its path
  std::optional<UtcTime> antenna_since_;  ///< when it was changed last in this run
  Stores stores_;
};

}  // namespace stillpoint::daemon
