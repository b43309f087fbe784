#pragma once
/// Whether the time of an epoch can be right: its date against the computer's clock and the stream before it, and its
/// lateness against the best that this link has shown.
///
/// Dates:   one that lies a day or more after the clock is contradicted. So is one that differs by days from what the
///          stream before it leads to, until it agrees again or the clock bears it out. Without a clock only a jump
///          between neighbouring seconds can be seen: days without data are no jump. Epochs without a position say
///          nothing: a receiver that starts up may print any date.
/// Late:    arrival minus the receiver's time, compared with the least of it since the link began. The least is let
///          grow as much as two crystals may drift apart. When the receiver's own time steps back, or it had none for a
///          while, that is no lateness.
///
/// Time:    arrivals that are only the stream's own time show neither; `stamped` says that they are a clock's.
/// Units:   milliseconds; days. Threads: one object, one thread. Errors: none.

#include <cstdint>
#include <optional>

#include "epoch/epoch.hpp"

namespace stillpoint::epoch {

class TimeWatch {
 public:
  /// `invented`: no clock knows the dates of a rehearsal.
  TimeWatch(std::int64_t most_late_ms, bool invented) noexcept : most_late_ms_(most_late_ms), invented_(invented) {}

  /// Arrival times are those of a clock.
  void stamped() noexcept { stamped_ = true; }
  /// Judges an epoch; fills `jumped_days`, `date_contradicted` and `late_s`.
  void look(Epoch& epoch) noexcept;
  /// What comes next is of a new link.
  void cut() noexcept;

  struct Dating {
    std::int32_t lifted_days = 0;
    std::int32_t behind_days = 0;  ///< the clock, while the date is believed
    bool operator==(const Dating&) const = default;
  };
  /// How the dates are taken, once for each change; empty: as before, or as printed from the start.
  std::optional<Dating> take_news() noexcept;

 private:
  struct Dated {
    UtcTime utc;
    SteadyTime arrived;
  };
  struct Timed {
    std::int64_t stream_ms = 0;
    std::int64_t lag_ms = 0;
    SteadyTime arrived;
  };
  void look_at_date(Epoch& epoch) noexcept;
  std::int32_t jumped_to(const Dated& now) const noexcept;
  void look_at_lag(Epoch& epoch) noexcept;

  std::int64_t most_late_ms_;
  bool invented_;
  bool stamped_ = false;
  std::optional<Dated> dated_;    ///< the last dated epoch with a position
  std::int32_t jumped_days_ = 0;  ///< of it, away from the stream that was believed
  std::optional<Timed> timed_;    ///< the last epoch with a time
  bool had_no_time_ = false;      ///< an epoch since then had none
  std::int64_t least_us_ = 0;     ///< the least lag of this link, with what the crystals may have drifted
  Dating dating_, told_;
};

}  // namespace stillpoint::epoch
