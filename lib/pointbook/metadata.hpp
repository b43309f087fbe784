#pragma once
/// What a pointbook says of itself to a catalogue: one metadata record of ISO 19115:2003 in the XML of ISO/TS 19139:2007
/// (`gmd`), kept in `gpkg_metadata` (OGC 12-128r18, annex F.8) and usable as a file beside a delivery.
///
/// Fresh:   the record is written when a book is begun, brought up to date or opened for writing, when a day is closed
///          or the program ends in good order, and when books or a redo are put in. Its date is that of the last change it knows; points kept after that
///          are not in it yet.
/// Epoch:   19139 has no element for the date of coordinates: a sentence of the lineage says it.
/// Units:   in the names. Time: what the rows say; nothing here reads a clock.
/// Threads: `iso_record` is pure; the others belong to the connection's thread.
/// Errors:  SQLite's result codes.

#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "pointbook/book.hpp"
#include "pointbook/database.hpp"

namespace stillpoint::pointbook {

/// A range of anything; empty: nothing has such a value.
template <class Value>
using Range = std::optional<std::pair<Value, Value>>;

/// What the record tells.
struct Account {
  std::string identifier;  ///< the same for ever
  std::string project, frame, frame_name, geoid;
  bool training = false;
  bool dynamic_frame = false;  ///< the plates move against it
  std::vector<std::string> crews;
  Contact contact;
  std::string begun, changed;  ///< `2026-06-03T14:05:10.000Z`
  std::uint64_t points = 0, accepted = 0, held = 0;
  Range<double> longitude_deg, latitude_deg;  ///< across 180 degrees the first is the larger
  Range<std::string> measured;                ///< of the first and the last second
  Range<double> coordinate_epoch;
  std::optional<double> worst95_horizontal_m, worst95_vertical_m;  ///< of the accepted points
  bool scale_unverified = false;                                   ///< of any of them
  std::uint64_t checks = 0, checks_passed = 0, marks = 0;
};

std::string iso_record(const Account& account);

/// What the book holds at this moment.
std::optional<Account> read_account(Database& database, const Identity& identity, int* code);

/// Writes the record anew where it would say something else. Inside a transaction of the caller.
int write_record(Database& database, const Identity& identity);
/// Whether it would.
bool record_is_stale(Database& database, const Identity& identity, int* code);

}  // namespace stillpoint::pointbook
