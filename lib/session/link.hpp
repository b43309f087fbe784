#pragma once
/// The link to the receiver: whether anything is heard, and whether positions are among it. Not for other rooms.
///
/// Quiet is an open feed over which nothing valid comes for the silence limit, or nothing with a position.
///
/// Units:   seconds in the names. Time: the session's. Threads: the session's.
/// Errors:  none.

#include <algorithm>
#include <cstdint>
#include <optional>
#include <string>

#include "base/time.hpp"
#include "session/alerts.hpp"
#include "session/status.hpp"

namespace stillpoint::session {

/// What is heard at one moment; several conditions ask for it.
struct Hearing {
  bool quiet = false;
  bool unheard = false;  ///< quiet, or no epoch has come since the link is there: what was known of the sky may be old
};

class Link {
 public:
  /// `silence_s`: how long a receiver may say nothing.
  explicit Link(double silence_s) noexcept;

  /// Takes news of the feed. Returns false when the state is the one already known.
  bool tell(FeedState state, const std::string& what, SteadyTime now);
  /// Bytes came; `now` is the session's time.
  void hear_bytes(SteadyTime arrived, SteadyTime now) noexcept;
  /// A valid sentence. True: the link was quiet before it.
  bool hear_sentence(SteadyTime arrived) noexcept {
    heard_ = arrived;
    return was_quiet_;
  }
  /// An epoch; `after_gap`: it begins a new stretch.
  void hear_epoch(SteadyTime last_arrival, bool after_gap) noexcept;
  /// Nothing is judged until bytes or news of the feed come.
  void stand_still(const std::string& why) { standstill_ = why; }
  /// Ends a standstill. The time in which nobody listened is no silence. Returns false when there was no standstill.
  bool go_on(SteadyTime now);
  /// True at the first tick at which the link is quiet, once for each time.
  bool falls_quiet(SteadyTime now) noexcept;
  /// A look: whether the silence goes on. It is over only after some good epochs.
  Condition look_for_silence(Hearing hearing) noexcept;

  FeedState state() const noexcept { return state_; }
  /// As people are shown it.
  FeedState shown_state(SteadyTime now) const noexcept { return is_silent(now) ? FeedState::silent : state_; }
  const std::string& what() const noexcept { return what_; }
  /// Why nothing is judged; empty: it is.
  const std::string& standstill() const noexcept { return standstill_; }
  Hearing hearing(SteadyTime now) const noexcept;
  /// Nothing valid comes, or nothing with a position.
  bool is_quiet(SteadyTime now) const noexcept {
    return listens() && opened_ && now.ms - std::min(last_heard(), last_placed()).ms >= silence_ms_;
  }
  std::string silence_text(SteadyTime now) const;

 private:
  bool listens() const noexcept { return state_ == FeedState::open && standstill_.empty(); }
  bool is_silent(SteadyTime now) const noexcept {
    return listens() && opened_ && now.ms - last_heard().ms >= silence_ms_;
  }
  /// When the feed last said anything valid, or was opened.
  SteadyTime last_heard() const noexcept { return heard_ ? std::max(*heard_, *opened_) : *opened_; }
  /// When the last epoch came, or the feed was opened.
  SteadyTime last_placed() const noexcept { return placed_ ? std::max(*placed_, *opened_) : *opened_; }

  std::int64_t silence_ms_;
  FeedState state_ = FeedState::waiting;
  std::string what_, standstill_;
  std::optional<SteadyTime> opened_;
  std::optional<SteadyTime> bytes_arrived_;  ///< readable or not
  std::optional<SteadyTime> heard_;          ///< the last valid sentence
  std::optional<SteadyTime> placed_;         ///< the last epoch
  bool was_quiet_ = false;                   ///< at the last tick that looked
  int good_epochs_ = 0;                      ///< in a row since the last silence
  bool silence_ = false;
};

}  // namespace stillpoint::session
