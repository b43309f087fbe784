#pragma once
/// Which points of a pointbook are of a day that was closed.
///
/// Rule:    a closing (event `day-closed`) covers what was measured before it, at most 24 hours before: no check of
///          today proves the work of yesterday. A point that no closing covers carries the flag `day-not-closed`
///          wherever it is delivered. Its row never changes, so readers put the flag on; the view `current_points` does
///          so by itself. When books are merged and not all of them were closed, no closing from before counts.
/// Units:   none. Time: UTC of the data. Threads: plain values. Errors: a point without a time is covered by nothing.

#include <optional>
#include <string_view>
#include <vector>

#include "base/time.hpp"
#include "occupation/point.hpp"
#include "pointbook/book.hpp"

namespace stillpoint::pointbook {

inline constexpr std::string_view kDayClosed = "day-closed";         ///< kind of the event
inline constexpr std::string_view kDayNotClosed = "day-not-closed";  ///< flag
inline constexpr std::int64_t kClosingReachesBack_ms = 24LL * 3'600'000;

class Closings {
 public:
  Closings() = default;
  explicit Closings(const std::vector<Event>& events);
  /// Every event in the order of storing; what is no closing changes nothing.
  void hear(const Event& event);
  void close(UtcTime at) { closings_.push_back(at); }

  bool covers(const std::optional<UtcTime>& finished) const noexcept;
  std::optional<UtcTime> last() const noexcept;
  /// The point with the flag, unless a closing covers it.
  occupation::Point delivered(occupation::Point point) const;

 private:
  std::vector<UtcTime> closings_;
};

}  // namespace stillpoint::pointbook
