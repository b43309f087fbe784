#pragma once
/// A whole pointbook at one moment, for those who only read: reports and exports.
///
/// Everything is read in one transaction, so that no table is newer than another; the daemon may go on writing.
///
/// Units:   as stored.
/// Time:    no clock.
/// Threads: one call, one thread, in a process that is not the daemon's (see book.hpp).
/// Errors:  one sentence. A row whose content no longer matches its SHA-256 is no error but a line in `damage`.

#include <map>
#include <string>
#include <vector>

#include "pointbook/book.hpp"

namespace stillpoint::pointbook {

struct Contents {
  std::string path;
  std::string project, frame;
  std::string frame_wkt, frame_wkt1;  ///< the latter is empty where the book has none
  bool frame_is_projected = false;
  bool training = false;
  std::vector<occupation::StoredPoint> versions;  ///< every version of every point, oldest first, without epochs
  std::map<std::string, std::vector<occupation::EpochRecord>> epochs;  ///< by the uuid of a point's version
  std::vector<CheckShot> checks;
  std::vector<AntennaSetup> antennas;
  std::vector<Event> events;
  std::vector<std::string> damage;  ///< what does not match its own fingerprint; empty: all of it does
  bool spool_waits = false;         ///< points lie beside the file that are not in it yet
};

Result<Contents> read_contents(const std::string& path);

/// A copy as a new file, as the book is at one moment; the same book gives the same bytes.
Result<void> copy_book(const std::string& path, const std::string& to);

/// Of every check shot its newest version, in the order of the book.
std::vector<CheckShot> newest_checks(const std::vector<CheckShot>& all);

/// Every point is covered by a closing (closings.hpp).
bool day_is_closed(const Contents& book);

}  // namespace stillpoint::pointbook
