#pragma once
/// What the store tells the day.
///
/// Threads: called on the store thread; whoever hears must only hand over (post). Time: none. Units: none. Errors: none.

#include <functional>
#include <string>
#include <vector>

#include "base/result.hpp"
#include "pointbook/book.hpp"

namespace stillpoint::daemon {

struct StoreNews {
  /// The point or shot is safe, or why it is not yet. After a failure the news comes again when it is.
  std::function<void(const std::string& uuid, const Result<void>& done)> spooled;
  std::function<void(const std::string& uuid)> stored;
  /// The pointbook could not be read at the start, and now was: as `current` and `events`.
  std::function<void(std::vector<occupation::StoredPoint>, std::vector<pointbook::Event>)> read{};
  /// Waiting for longer than it should: the sentence. Empty: no longer.
  std::function<void(const std::string& text)> waiting;
  /// The open stay is not on the disk as it stands now: the sentence. Empty: it is.
  std::function<void(const std::string& text)> open_unsaved;
  /// The spool was made anew: the sentence.
  std::function<void(const std::string& text)> damaged;
};

}  // namespace stillpoint::daemon
