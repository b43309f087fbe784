#pragma once
/// What the day may do while a disk takes nothing more: nothing is judged that the record does not have, and no stay
/// begins that could not be kept.
///
/// Rule:    while there is room, an open stay is kept before the disk is full; then the record is closed in good order.
/// Alerts:  `disk-low`, `disk-full`, `record-failed`, `spool-failed`.
/// Time:    the machine's, handed in. Threads: the I/O thread. Errors: sentences for commands that are refused.

#include <functional>
#include <string>
#include <utility>

#include "common/times.hpp"
#include "day/day_alerts.hpp"
#include "keeping/disk_watch.hpp"
#include "occupation/occupation.hpp"

namespace stillpoint::daemon {

class DiskGuard {
 public:
  /// What has to be done for it.
  struct Hooks {
    std::function<void()> keep_open_stay;  ///< as a held point, while that can still be written
    std::function<Result<void>()> stop_record;
    std::function<void()> resume_record;
  };
  /// `alerts` must outlive the guard.
  DiskGuard(DiskWatch disks, DayAlerts& alerts, std::function<MachineTime()> now, Hooks hooks);

  void look();
  void look_when_due();

  /// The record could not be written just now, or cannot be begun again; an empty reason: that was not tried.
  void record_failed(const std::string& why);
  void record_stays_down(const std::string& why);
  void record_is_back() { alerts_.clear("record-failed"); }
  /// For want of room nothing is recorded.
  bool has_stopped_record() const noexcept { return stopped_; }

  /// A point could not be spooled; and: there is nothing left that is not.
  void spool_failed(const std::string& why);
  void spool_went_well();

  /// Empty, or why no stay may begin: whatever is measured must have a place to be kept. `store_is_full`: too many
  /// points wait.
  std::string why_no_stay(bool store_is_full) const;
  /// An open stay continues although its point would have no place now.
  std::string why_no_keep(const occupation::Stand* open) const;

 private:
  void tell_full_disks();
  void stop_record();
  void resume_record();

  DiskWatch disks_;
  DayAlerts& alerts_;
  std::function<MachineTime()> now_;
  Hooks hooks_;
  MachineTime looked_;
  bool stopped_ = false;
  std::pair<bool, bool> full_told_;  ///< the disks of record and pointbook, as people were told
  std::string spool_fault_;          ///< why what was measured cannot be written
};

}  // namespace stillpoint::daemon
