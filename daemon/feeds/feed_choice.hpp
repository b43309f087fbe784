#pragma once
/// Decides which of several feeds is used.
///
/// The first in the configuration is wanted most. When the feed in use has brought no valid sentence for longer
/// than its `silence_s`, the most wanted of those that bring some takes over. A more wanted one takes over again once
/// it has been well for a while and no stay is open: a stay is never cut for the sake of preference.
///
/// Time:    steady, handed in. Threads: one. Errors: none.

#include <cstdint>
#include <optional>
#include <vector>

#include "common/times.hpp"

namespace stillpoint::daemon {

class FeedChoice {
 public:
  static constexpr std::int64_t kBackAfterMs = 10'000;

  /// `silences_ms`: after so long without a sentence a feed is not well, in order of preference.
  FeedChoice(const std::vector<std::int64_t>& silences_ms, FeedTime now, std::int64_t back_after_ms = kBackAfterMs);

  /// A valid sentence came.
  void heard(std::size_t feed, FeedTime at) noexcept;
  /// Its link is down.
  void lost(std::size_t feed) noexcept;
  /// The feed to change to, if any; from now on it is the active one.
  std::optional<std::size_t> change(FeedTime now, bool busy) noexcept;
  std::size_t active() const noexcept { return active_; }

 private:
  struct Feed {
    std::int64_t silence_ms = 0;
    std::optional<FeedTime> heard;
    FeedTime well_since;
  };
  bool is_well(const Feed& feed, FeedTime now) const noexcept;

  std::vector<Feed> feeds_;
  std::int64_t back_after_ms_;
  std::size_t active_ = 0;
  FeedTime active_since_;
};

}  // namespace stillpoint::daemon
