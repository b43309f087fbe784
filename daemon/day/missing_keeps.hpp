#pragma once
/// What the journals of the last day say was kept, and is neither in the pointbook nor in its spool: told once that is
/// known.
///
/// Threads: the I/O thread. Time: none. Errors: alerts `points-missing` and `keep-unanswered`.

#include <string>
#include <utility>
#include <vector>

#include "day/day_alerts.hpp"
#include "keeping/journaled.hpp"

namespace stillpoint::daemon {

class MissingKeeps {
 public:
  /// `alerts` must outlive it; `pointbook` is named in the alert.
  MissingKeeps(DayAlerts& alerts, std::string pointbook) : alerts_(alerts), pointbook_(std::move(pointbook)) {}

  void miss(std::vector<JournaledKeep> keeps) { missing_ = std::move(keeps); }
  /// These are there.
  void find(const Known& known);
  /// A spool that was emptied or a pointbook that is new says nothing by itself.
  void tell();

 private:
  DayAlerts& alerts_;
  std::string pointbook_;
  std::vector<JournaledKeep> missing_;  ///< of before the start, as far as is known
};

}  // namespace stillpoint::daemon
