#pragma once
/// Times of the day as people at the place tell them.
///
/// Units:   seconds east of UTC.
/// Time:    UTC of the data; which zone it is told in is handed in. Nothing here reads a clock.
/// Threads: as the function that is handed in.
/// Errors:  none.

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "base/time.hpp"

namespace stillpoint::report {

class DayClock {
 public:
  using OffsetOf = std::function<std::int64_t(UtcTime)>;
  DayClock() = default;  ///< UTC
  DayClock(std::string zone, OffsetOf offset_s) : zone_(std::move(zone)), offset_s_(std::move(offset_s)) {}

  /// From then on a time says its day where it is another than the first.
  void set_span(UtcTime first, UtcTime last);
  bool several_days() const noexcept { return several_days_; }

  /// `08:34`, on a later day `4 Jun 08:34`
  std::string at(UtcTime time) const;
  std::string at(const std::optional<UtcTime>& time) const;
  /// `08:34`, whatever the day
  std::string minute(UtcTime time) const;
  /// `08:34:05`
  std::string second(UtcTime time) const;
  /// `Wednesday 3 June 2026`, `3 June 2026`
  std::string day(UtcTime time) const;
  std::string short_day(UtcTime time) const;
  /// "UTC", "local, UTC−4"; both offsets where the zone changed it between the two.
  std::string told_in(UtcTime first, UtcTime last) const;
  const std::string& zone() const noexcept { return zone_; }
  /// Every moment at which clocks show `local`: one; none or two in the hour in which they are changed.
  std::vector<UtcTime> moments(UtcTime local) const;
  /// As many minutes of the local day have passed.
  int minute_of_day(UtcTime time) const;

 private:
  UtcTime local(UtcTime time) const;
  std::string zone_;
  OffsetOf offset_s_;
  Date first_day_{};
  bool several_days_ = false;
};

}  // namespace stillpoint::report
