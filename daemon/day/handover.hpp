#pragma once
/// What goes to the store waits here until the record has synced what it came from: a point in the pointbook whose `keep`
/// the record lost with the power could not be recomputed.
///
/// Order:   that of the calls is kept.
/// Time:    the machine's, handed in.
/// Threads: the I/O thread; the sync must call back there.
/// Errors:  a sync that fails or never ends holds nothing back for long: see `look`.

#include <chrono>
#include <cstdint>
#include <deque>
#include <functional>

#include "common/times.hpp"

namespace stillpoint::daemon {

class Handover {
 public:
  using Give = std::function<void()>;
  /// `sync` calls what it is given once all that was recorded so far is on the disk, or cannot be.
  using Sync = std::function<void(std::function<void()> then)>;
  Handover(Sync sync, std::function<MachineTime()> now);

  void when_synced(Give give);
  /// The same for what need not wait for the record but must keep its place in the order.
  void in_order(Give give);
  /// Gives everything once the first has waited for so long.
  void look(std::chrono::milliseconds patience);
  void give_all() { give_to(handed_); }

 private:
  struct Held {
    std::uint64_t number;
    MachineTime since;
    Give give;
  };
  void give_to(std::uint64_t number);

  Sync sync_;
  std::function<MachineTime()> now_;
  std::deque<Held> held_;
  std::uint64_t handed_ = 0;
};

}  // namespace stillpoint::daemon
