#include "pointbook/closings.hpp"

#include <algorithm>

#include "pointbook/happened.hpp"

namespace stillpoint::pointbook {

Closings::Closings(const std::vector<Event>& events) {
  for (const Event& event : events) hear(event);
}

void Closings::hear(const Event& event) {
  if (event.kind == kDayClosed) close(event.utc);
  if (is(event, EventKind::merged) && !merged_closed_books(event)) closings_.clear();
}

bool Closings::covers(const std::optional<UtcTime>& finished) const noexcept {
  return finished && std::any_of(closings_.begin(), closings_.end(), [&](UtcTime closed) {
           return closed >= *finished && closed.ms - finished->ms <= kClosingReachesBack_ms;
         });
}

std::optional<UtcTime> Closings::last() const noexcept {
  const auto at = std::max_element(closings_.begin(), closings_.end());
  return at == closings_.end() ? std::nullopt : std::optional<UtcTime>(*at);
}

occupation::Point Closings::delivered(occupation::Point point) const {
  const bool there = std::find(point.flags.begin(), point.flags.end(), kDayNotClosed) != point.flags.end();
  if (covers(point.finished_utc) || there) return point;
  point.flags.emplace_back(kDayNotClosed);
  std::sort(point.flags.begin(), point.flags.end());
  return point;
}

}  // namespace stillpoint::pointbook
