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
#include "day/recorded_session.hpp"
#include "day/saved_stay.hpp"

namespace stillpoint::daemon {

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
  Acts(const Parts& parts, const config::Antenna& antenna, Stores stores);

  /// Gives the session a command and enters it in the record. Points and checks that come of it are stored without an
  /// answer; `keep` and `set_antenna` do more for their commands.
  session::CommandResult carry_out(record::Command command, const std::string& by, FeedTime at);
  /// `done` is called once the point is safe, or with the reason why there is none.
  void keep(const std::string& by, FeedTime at, PointDone done);
  void keep_check(const std::string& by, FeedTime at, CheckDone done);
  /// Another antenna from now on; `antenna` names its parts. The text says what changed, or why not.
  session::CommandResult set_antenna(const config::Antenna& antenna, const std::string& reason, const std::string& by,
                                     FeedTime at);
  const config::Antenna& antenna() const noexcept { return antenna_; }
  void enter_antenna(const std::string& reason = {});
  void resolve(const Decision& decision, FeedTime at, PointDone done);
  /// Ends an open stay as a held point, or discards it where nothing had counted; for the daemon itself.
  void keep_open_stay(FeedTime at);
  /// Every command must be in the record: empty, or why it cannot be now.
  std::string refusal(FeedTime at);

 private:
  session::CommandResult carry_out_now(record::Command command, const std::string& by, FeedTime at);
  void keep_now(const std::string& by, FeedTime at, PointDone done);
  std::string reopens() const;

  Parts parts_;
  config::Antenna antenna_;  ///< in use now
  Stores stores_;
};

}  // namespace stillpoint::daemon
