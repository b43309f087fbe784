#pragma once
/// The link to the receiver: whether anything is heard, and whether positions are among it. Not for other rooms.
///
/// Quiet is an open feed over which nothing valid comes for longer than the silence limit, or nothing with a position.
/// Positions that usually come more slowly than that have the time that `epoch::gap_limit_ms` gives them; how slowly is
/// not known at first, so a receiver that talks has a while until its first ones. By arrival a silence is told a little
/// later than by the receiver's time: what is only late on the link is no gap.
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
  std::int64_t may_fall_quiet_ms = kNotByTime;  ///< if nothing more comes
};

class Link {
 public:
  /// `silence_s`: how long a receiver may say nothing.
  explicit Link(double silence_s) noexcept;

  /// Takes news of the feed. Returns false when the state is the one already known.
  bool tell(FeedState state, const std::string& what, SteadyTime now);
  /// Bytes came; `now` is the session's time.
  void hear_bytes(SteadyTime arrived, SteadyTime now) noexcept;
  /// A valid sentence; `reports`: it gives the position, and its epoch will close soon. True: the link was quiet
  /// before.
  bool hear_sentence(SteadyTime arrived, bool reports) noexcept {
    heard_ = arrived;
    if (reports) reported_ = arrived;
    return was_quiet_;
  }
  /// An epoch; `after_gap`: it begins a new stretch. `interval_ms`: how often positions usually come; 0: not known.
  void hear_epoch(SteadyTime last_arrival, bool after_gap, std::int64_t interval_ms) noexcept;
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
  bool is_quiet(SteadyTime now) const noexcept { return listens() && opened_ && now.ms > quiet_after_ms(); }
  std::string silence_text(SteadyTime now) const;
  AlertText silence_alert(SteadyTime now) const;

 private:
  bool listens() const noexcept { return state_ == FeedState::open && standstill_.empty(); }
  bool is_silent(SteadyTime now) const noexcept {
    return listens() && opened_ && now.ms - last_heard().ms > longest_ms();
  }
  bool is_noise(SteadyTime now) const noexcept;
  /// When the feed last said anything valid, or was opened.
  SteadyTime last_heard() const noexcept { return heard_ ? std::max(*heard_, *opened_) : *opened_; }
  /// When the last position came, or the feed was opened.
  SteadyTime last_placed() const noexcept { return std::max({placed_.value_or(*opened_), reported_, *opened_}); }
  /// The longest time between two arrivals that is no silence.
  std::int64_t longest_ms() const noexcept;
  /// The last moment that is not quiet, if nothing comes.
  std::int64_t quiet_after_ms() const noexcept;

  std::int64_t silence_ms_;
  std::int64_t interval_ms_ = 0;  ///< how often positions come; 0: not known yet
  FeedState state_ = FeedState::waiting;
  std::string what_, standstill_;
  std::optional<SteadyTime> opened_;
  std::optional<SteadyTime> bytes_arrived_;  ///< readable or not
  std::optional<SteadyTime> heard_;          ///< the last valid sentence
  std::optional<SteadyTime> placed_;         ///< the last epoch
  SteadyTime reported_;                      ///< the last sentence with a position, whose epoch may still be open
  bool was_quiet_ = false;                   ///< at the last tick that looked
  int good_epochs_ = 0;                      ///< in a row since the last silence
  bool silence_ = false;
};

}  // namespace stillpoint::session
