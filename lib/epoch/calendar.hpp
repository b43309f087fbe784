#pragma once
/// Turns times of day into instants: counts the midnights passed and adds the date the receiver has told.
///
/// Units:   milliseconds; days since 1970-01-01.
/// Time:    a step back of more than 12 h in the time of day is a midnight passed, a step forward of more than 12 h one
///          passed backwards.
/// Rule:    a date counts as it is printed. It is lifted by 1024 weeks (7168 days) where the computer's clock says so,
///          as often as it then still lies no day after the clock; and once, where the archive is known to have rolled
///          over, when it lies before the last rollover of the week count. Nothing else lifts a date.
/// Threads: one object, one thread.
/// Errors:  none; a date that cannot be right is no date.

#include <cstdint>
#include <optional>

#include "base/time.hpp"
#include "nmea/decode.hpp"

namespace stillpoint::epoch {

/// Midnights passed between two times of day less than 12 h apart: 1, -1 (backwards) or none.
int midnights_between(std::int32_t from_ms, std::int32_t to_ms) noexcept;

class Calendar {
 public:
  struct Placed {
    std::int64_t stream_ms = 0;
    std::optional<UtcTime> utc;
    std::int32_t lifted_days = 0;
    std::optional<std::int32_t>
        clock_days;  ///< after the computer's clock, negative before, 0 for less than one; empty: no clock
    bool clock_dated = false;
  };

  /// Dates told by the receiver count from the next `place` on. ZDA, with its four-digit year, goes before RMC.
  void hear(const nmea::Rmc& rmc) noexcept;
  void hear(const nmea::Zda& zda) noexcept;
  /// Dates that the receiver does not tell come from this clock.
  void set_clock(SteadyTime at, UtcTime utc) noexcept;
  /// Dates that it tells are judged by this one.
  void judge_by(SteadyTime at, UtcTime utc) noexcept { judge_ = Clock{at, utc}; }
  /// Without a clock: the stream is of a receiver whose week count had rolled over.
  void rolled_over() noexcept { rolled_over_ = true; }

  Placed place(std::int32_t time_of_day_ms, SteadyTime arrived) noexcept;

 private:
  struct Heard {
    std::int64_t day = 0;
    std::int32_t time_of_day_ms = 0;
    bool by_zda = false;
  };
  struct Clock {
    SteadyTime at;
    UtcTime utc;
    std::int64_t ms_at(SteadyTime now) const noexcept { return utc.ms + (now.ms - at.ms); }
  };

  void hear(const Date& date, std::int32_t time_of_day_ms, bool by_zda) noexcept;
  void run_on_to(std::int32_t time_of_day_ms) noexcept;
  void take_date(std::int32_t time_of_day_ms, SteadyTime arrived) noexcept;
  std::int64_t lift_of(std::int64_t day, std::int32_t time_of_day_ms, SteadyTime arrived) const noexcept;

  std::optional<Heard> heard_;
  std::optional<Date> newest_date_;  ///< that was heard and can be right: a receiver prints the same one all day
  std::int64_t newest_day_ = 0;      ///< of it
  std::optional<Clock> clock_, judge_;
  bool rolled_over_ = false;
  std::optional<std::int32_t> last_time_of_day_ms_;
  std::optional<std::int64_t> first_day_;  ///< the date of day 0 of the stream
  std::int64_t lifted_days_ = 0;
  std::int64_t days_ = 0;             ///< midnights passed since the stream began
  std::int64_t leap_seconds_ms_ = 0;  ///< time that passed in seconds numbered 60
};

}  // namespace stillpoint::epoch
