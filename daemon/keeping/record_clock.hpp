#pragma once
/// Which UTC belongs to which time of the record, as its heads say it.
///
/// Time:    the feed's. Threads: the I/O thread. Units: milliseconds. Errors: none.

#include <functional>
#include <optional>

#include "common/times.hpp"
#include "record/journal.hpp"

namespace stillpoint::daemon {

class RecordClock {
 public:
  using Anchor = std::function<record::JournalHead()>;
  /// `anchor` tells which UTC belongs to which arrival time, asked anew for every pair.
  explicit RecordClock(Anchor anchor) : anchor_(std::move(anchor)) {}

  /// The head of a pair names the moment of its first line itself, so that no time in a file lies before its head.
  const record::JournalHead& head(FeedTime first);
  /// The pair with that head is there.
  void begin();
  bool has_begun() const noexcept { return begun_; }
  /// Whether the pair goes on at this time: it holds an hour of UTC.
  bool is_in_hour(FeedTime at) const noexcept;

  /// By the head that was asked for last.
  UtcTime utc_of(FeedTime at) const noexcept { return UtcTime{head_.utc.ms + at.ms - head_.steady.ms}; }
  /// By what the anchor says now.
  UtcTime utc_at(FeedTime at) const;
  /// The head of the first pair of this run.
  const record::JournalHead& run_head() const noexcept { return run_head_; }
  /// Somebody set the computer's clock since the run began or since this was asked last: what it says at that time.
  std::optional<UtcTime> was_set(FeedTime at);

 private:
  Anchor anchor_;
  record::JournalHead head_, run_head_;
  record::JournalHead told_;  ///< the clock as it was told last
  std::int64_t hour_ = 0;
  bool begun_ = false;  ///< this run has its first pair
};

}  // namespace stillpoint::daemon
