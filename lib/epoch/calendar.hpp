#pragma once
/// Turns times of day into instants: counts the midnights passed and adds the date the receiver has told.
///
/// Units:   milliseconds; days since 1970-01-01.
/// Time:    a step back of more than 12 h in the time of day is a midnight passed, a step forward of more than 12 h one
///          passed backwards. Dates before 2020 are lifted by 7168 days (1024 weeks) until they no longer are.
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
    bool week_rollover = false;
    bool clock_dated = false;
  };

  /// Dates told by the receiver count from the next `place` on. ZDA, with its four-digit year, goes before RMC.
  void hear(const nmea::Rmc& rmc) noexcept;
  void hear(const nmea::Zda& zda) noexcept;
  void set_clock(SteadyTime at, UtcTime utc) noexcept;

  Placed place(std::int32_t time_of_day_ms, SteadyTime arrived) noexcept;

 private:
  struct Heard {
    std::int64_t day = 0;
    std::int32_t time_of_day_ms = 0;
    bool lifted = false;
    bool by_zda = false;
  };
  struct Clock {
    SteadyTime at;
    UtcTime utc;
  };

  void hear(const Date& date, std::int32_t time_of_day_ms, bool by_zda) noexcept;
  void run_on_to(std::int32_t time_of_day_ms) noexcept;
  void take_date(std::int32_t time_of_day_ms) noexcept;

  std::optional<Heard> heard_;
  std::optional<Clock> clock_;
  std::optional<std::int32_t> last_time_of_day_ms_;
  std::optional<std::int64_t> first_day_;  ///< the date of day 0 of the stream
  bool lifted_ = false;
  std::int64_t days_ = 0;             ///< midnights passed since the stream began
  std::int64_t leap_seconds_ms_ = 0;  ///< time that passed in seconds numbered 60
};

}  // namespace stillpoint::epoch
