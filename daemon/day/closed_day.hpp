#pragma once
/// A day that was closed, and how it is told.
///
/// Rule:    points that are held want a decision first, or a reason why they are left; so does a record that is not
///          what was recorded.
/// Units:   none. Time: UTC of the data. Threads: plain values. Errors: none.

#include <optional>
#include <string>
#include <vector>

#include "day/day_book.hpp"
#include "keeping/record_inspection.hpp"
#include "session/check_shot.hpp"

namespace stillpoint::daemon {

/// What a client wants.
struct CloseAsked {
  std::string by;
  std::string leave_held;    ///< why held points stay undecided; empty: they do not
  std::string leave_record;  ///< why it is closed although the record is not what it was; empty: it is not
};

/// A day that was closed.
struct DayClosed {
  UtcTime utc;
  CloseAsked asked;
  DayTally tally;
  std::optional<session::Proof> proof;
  RecordInspection record;
  std::vector<std::string> scales{};  ///< where the error scale of each source stands; for people, not stored
};

/// One sentence; for the pointbook and for people.
std::string close_sentence(const DayClosed& day);
pointbook::Event close_event(const DayClosed& day);
/// For clients: `{"text", "closed_utc", "counts", "held", "proof", "record"}`.
std::string close_json(const DayClosed& day);

}  // namespace stillpoint::daemon
