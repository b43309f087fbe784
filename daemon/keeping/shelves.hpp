#pragma once
/// What the store keeps: the pointbook, the spool before it, and the open stay beside it; and what lies there at the
/// start.
///
/// Threads: whoever runs the store; before it starts, the I/O thread. Time: none. Units: none. Errors: sentences.

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "keeping/journaled.hpp"
#include "keeping/open_stay.hpp"
#include "pointbook/book.hpp"
#include "pointbook/spool.hpp"

namespace stillpoint::daemon {

class Shelves {
 public:
  Shelves(pointbook::Book book, pointbook::Spool spool, const std::string& pointbook, pointbook::Disk& disk)
      : book_(std::move(book)), spool_(std::move(spool)), open_stay_(pointbook, disk) {}

  pointbook::Book& book() noexcept { return book_; }
  pointbook::Spool& spool() noexcept { return spool_; }
  const pointbook::Spool& spool() const noexcept { return spool_; }
  OpenStay& open_stay() noexcept { return open_stay_; }

  /// Every version of every point that pointbook and spool hold, in the order of storing.
  Result<std::vector<occupation::StoredPoint>> versions() const;
  /// The newest version of each point.
  Result<std::vector<occupation::StoredPoint>> current() const;
  /// What was found damaged in the spool or cannot be read in the book; one sentence each.
  std::vector<std::string> damage() const;
  /// Everything the pointbook has heard so far.
  Result<std::vector<pointbook::Event>> events() const;
  /// Another program holds the pointbook, so that nobody knows what is in it: `current` is what the spool has, and the
  /// news of the store say when it was read.
  bool is_unread() const noexcept { return book_.is_unread(); }
  /// Every check shot that the pointbook has, in its newest version.
  Result<std::vector<pointbook::CheckShot>> checks() const;
  /// Uuids that wait in the spool: of points, and of check shots.
  std::vector<std::string> spooled() const;
  std::vector<std::string> spooled_shots() const;
  /// All that pointbook and spool have; of a pointbook that is not read, what the spool has.
  Result<Known> known() const;
  /// The stay that an earlier run left open and that is neither in the pointbook nor in the spool.
  std::optional<occupation::StoredPoint> left_open(const std::vector<occupation::StoredPoint>& known);

 private:
  pointbook::Book book_;
  pointbook::Spool spool_;
  OpenStay open_stay_;
  std::string open_damage_;
};

}  // namespace stillpoint::daemon
