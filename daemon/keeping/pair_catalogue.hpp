#pragma once
/// Which pairs of the record there are: written when a pair is begun, sealed or covered by a closing, so that nobody
/// has to guess it from what lies in the folder. What was deleted is missed, and a pair under a wrong clock is not
/// skipped for its name.
///
/// File:    `pairs.txt` in the record folder, one line each, only ever appended to and synced:
///            begun NAME                       NAME is the pair's, without folder and ending
///            sealed NAME UTC SHA-256 SHA-256  the receiver's time of its end, of bytes and journal; `-`: unknown
///            closed NAME                      a closing covers every pair begun before this one
///          A folder of an older program gets one with what lies there.
/// Time:    the receiver's. Threads: any; one writer among all programs, which holds the folder's lock.
/// Errors:  sentences; lines that cannot be read are faults of the record.

#include <cstdint>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"
#include "base/time.hpp"
#include "common/file.hpp"

namespace stillpoint::daemon {

/// How far back the pairs and journals of a day lie: an hour more than a closing reaches, for a pair holds an hour.
inline constexpr std::int64_t kDayBack_ms = 25LL * 3'600'000;

struct RecordedPair {
  std::string name;
  std::optional<UtcTime> until;             ///< the receiver's time at its end
  std::string nmea_sha256, journal_sha256;  ///< empty: not known
};

struct PairList {
  std::vector<RecordedPair> pairs;  ///< that no closing covers, oldest first
  std::vector<std::string> faults;
};

/// What the lines say.
PairList read_pairs(std::string_view text);

/// Those that a closing at `now` covers: not the one being written, and none that ended long before.
std::vector<RecordedPair> pairs_of_day(const std::vector<RecordedPair>& pairs, const std::string& current, UtcTime now);

class PairCatalogue {
 public:
  explicit PairCatalogue(std::string folder) : folder_(std::move(folder)) {}
  /// Reads it, or makes it. What is missing or damaged is a fault of the list.
  Result<void> open();

  Result<void> begun(const std::string& name);
  Result<void> sealed(const RecordedPair& pair);
  Result<void> closed(const std::string& next);
  PairList list() const;

 private:
  Result<void> append(const std::string& line);
  bool at_end();
  std::string path() const { return folder_ + "/pairs.txt"; }

  std::string folder_;
  mutable std::mutex mutex_;  ///< guards the members below
  Fd fd_;
  std::string text_;
  std::vector<std::string> lost_;  ///< told with the list until a closing covers it
};

}  // namespace stillpoint::daemon
