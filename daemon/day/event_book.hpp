#pragma once
/// Every event of the day: counted for the next closing, and handed to the store.
///
/// Rule:    while another program has held the pointbook since before the start, what it has heard is not known: then
///          what happens here is counted again once that has been read.
/// Time:    UTC. Threads: the I/O thread. Errors: none.

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "day/day_book.hpp"

namespace stillpoint::daemon {

class EventBook {
 public:
  using Keep = std::function<void(pointbook::Event)>;
  /// `keep` stores an event; `now` is the machine's clock.
  EventBook(Keep keep, std::function<UtcTime()> now);

  /// What the pointbook has heard; `unread`: it cannot be read yet.
  void know(const std::vector<pointbook::Event>& events, bool unread);
  /// The pointbook could be read at last.
  void read(const std::vector<pointbook::Event>& events);
  bool is_unread() const noexcept { return unread_; }

  void hear(pointbook::Event event);
  /// Without a time: it is now.
  void add(std::string_view kind, const std::string& text, const std::string& by = "",
           std::optional<UtcTime> utc = std::nullopt);
  /// An event that the pointbook has already.
  void count(const pointbook::Event& stored) { book_.hear(stored); }

  const DayBook& book() const noexcept { return book_; }

 private:
  Keep keep_;
  std::function<UtcTime()> now_;
  DayBook book_;
  bool unread_ = false;
  std::vector<pointbook::Event> heard_unread_;  ///< what happened while it was
};

}  // namespace stillpoint::daemon
