#include "day/event_book.hpp"

#include <utility>

namespace stillpoint::daemon {

EventBook::EventBook(Keep keep, std::function<UtcTime()> now) : keep_(std::move(keep)), now_(std::move(now)) {}

void EventBook::know(const std::vector<pointbook::Event>& events, bool unread) {
  for (const pointbook::Event& event : events) book_.hear(event);
  unread_ = unread;
}

void EventBook::read(const std::vector<pointbook::Event>& events) {
  unread_ = false;
  book_ = DayBook();
  for (const pointbook::Event& event : events) book_.hear(event);
  for (const pointbook::Event& event : std::exchange(heard_unread_, {})) book_.hear(event);
}

void EventBook::hear(pointbook::Event event) {
  if (unread_) heard_unread_.push_back(event);
  book_.hear(event);
  keep_(std::move(event));
}

void EventBook::add(std::string_view kind, const std::string& text, const std::string& by, std::optional<UtcTime> utc) {
  hear(pointbook::event_of(utc ? *utc : now_(), kind, text, by));
}

}  // namespace stillpoint::daemon
