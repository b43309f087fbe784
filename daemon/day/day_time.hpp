#pragma once
/// The day's own time: the feed's time of the last call, and UTC by the receiver's clock as it was told last.
///
/// Rule:    in a replay or a rehearsal the machine's clock is months away from the receiver's: the two ends of one alert
///          must not be told by both.
/// Time:    handed in. Threads: one. Errors: none.

#include <algorithm>
#include <functional>
#include <optional>
#include <utility>

#include "common/times.hpp"

namespace stillpoint::daemon {

class DayTime {
 public:
  /// `by_record`: which UTC belongs to a time of the feed while the receiver has told none.
  explicit DayTime(std::function<UtcTime(FeedTime)> by_record) : by_record_(std::move(by_record)) {}

  FeedTime at() const noexcept { return at_; }
  void set(FeedTime at) noexcept { at_ = at; }
  /// The same for what may come a little late: the time never goes back for it.
  void reach(FeedTime at) noexcept { at_ = std::max(at_, at); }

  /// What the receiver's clock said of now.
  void hear(std::optional<UtcTime> told) noexcept {
    if (told) told_ = {*told, at_};
  }
  UtcTime utc() const { return told_ ? UtcTime{told_->first.ms + (at_.ms - told_->second.ms)} : by_record_(at_); }

 private:
  std::function<UtcTime(FeedTime)> by_record_;
  FeedTime at_;
  std::optional<std::pair<UtcTime, FeedTime>> told_;
};

}  // namespace stillpoint::daemon
