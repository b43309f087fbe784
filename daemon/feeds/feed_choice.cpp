#include "feeds/feed_choice.hpp"

namespace stillpoint::daemon {

FeedChoice::FeedChoice(const std::vector<std::int64_t>& silences_ms, FeedTime now, std::int64_t back_after_ms)
    : back_after_ms_(back_after_ms), active_since_(now) {
  for (const std::int64_t silence_ms : silences_ms) feeds_.push_back({silence_ms, {}, now});
}

bool FeedChoice::is_well(const Feed& feed, FeedTime now) const noexcept {
  return feed.heard && now.ms - feed.heard->ms <= feed.silence_ms;
}

void FeedChoice::heard(std::size_t feed, FeedTime at) noexcept {
  Feed& f = feeds_[feed];
  if (!is_well(f, at)) f.well_since = at;
  f.heard = at;
}

void FeedChoice::lost(std::size_t feed) noexcept {
  feeds_[feed].heard.reset();
}

std::optional<std::size_t> FeedChoice::change(FeedTime now, bool busy) noexcept {
  const bool well = is_well(feeds_[active_], now);
  // A feed just begun gets the time of a silence to bring its first sentence.
  if (!well && now.ms - active_since_.ms <= feeds_[active_].silence_ms) return std::nullopt;
  if (well && busy) return std::nullopt;
  for (std::size_t i = 0; i < feeds_.size(); ++i) {
    if (i == active_ || (well && i > active_)) continue;
    if (!is_well(feeds_[i], now) || (well && now.ms - feeds_[i].well_since.ms < back_after_ms_)) continue;
    active_ = i;
    active_since_ = now;
    return i;
  }
  return std::nullopt;
}

}  // namespace stillpoint::daemon
