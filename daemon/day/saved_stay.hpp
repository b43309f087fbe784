#pragma once
/// The open stay on its way to the disk every few seconds, so that a crash costs only the seconds since it was saved
/// last: four of them, or a thirtieth of a stay at 20 Hz.
///
/// Order:   behind the points that the store has been given (`handover.hpp`).
/// Time:    the machine's, handed in. Threads: the I/O thread. Errors: those of the store.

#include <functional>
#include <optional>
#include <utility>

#include "common/times.hpp"
#include "day/handover.hpp"
#include "session/session.hpp"

namespace stillpoint::daemon {

class SavedStay {
 public:
  /// Empty: there is none any more.
  using Save = std::function<void(std::optional<occupation::StoredPoint>)>;
  /// Both must outlive it.
  SavedStay(const session::Session& session, Handover& handover, Save save)
      : session_(session), handover_(handover), save_(std::move(save)) {}

  /// At every tick.
  void look(MachineTime now);
  /// It is called otherwise now: the next tick saves it.
  void save_soon() noexcept {
    if (again_) again_ = MachineTime{0};
  }
  /// The stay is over; the next one may have begun before any tick noticed.
  void forget();

  /// The stay that an earlier run left.
  void find(std::optional<occupation::StoredPoint> earlier) { earlier_ = std::move(earlier); }
  const std::optional<occupation::StoredPoint>& earlier() const noexcept { return earlier_; }
  /// It has become a point, or is told to be lost.
  void forget_earlier();

 private:
  const session::Session& session_;
  Handover& handover_;
  Save save_;
  std::optional<occupation::StoredPoint> earlier_;
  std::optional<MachineTime> again_;  ///< when it is saved next; empty: nothing is saved
};

}  // namespace stillpoint::daemon
