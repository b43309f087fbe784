#pragma once
/// What the journals of the last day say was kept, to be held against pointbook and spool: a spool that was emptied, or
/// a pointbook that is made anew, says nothing by itself.
///
/// Rule:    a `keep` that made a point or a check names its uuid. Journals of before such uuids claim nothing. One that
///          stands at the very end of a run that broke off, and of which the record does not say that it was safe, was
///          perhaps never answered: it is told, and is no loss.
/// Time:    the day are the 25 hours before `now`, by the heads of the journals.
/// Threads: `keeps_in` reads files and shares nothing. Errors: a journal that cannot be read claims nothing here;
///          whoever reads the record says so.

#include <cstdint>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "base/time.hpp"
#include "pointbook/book.hpp"

namespace stillpoint::daemon {

struct JournaledKeep {
  std::string uuid;
  std::string name;  ///< of the point, or of the mark that was checked
  int visit = 0;     ///< 0: a check
  std::optional<UtcTime> utc{};
  bool unanswered = false;  ///< the run broke off within seconds, and nothing was begun in them
};

/// Whether the last run of the record may go on.
enum class LastRun : std::uint8_t { over, goes_on };

std::vector<JournaledKeep> keeps_in(const std::string& folder, UtcTime now, LastRun last = LastRun::over);

/// What pointbook and spool have. A point that is known by name and visit is there, if under another uuid.
class Known {
 public:
  Known() = default;
  explicit Known(const std::vector<pointbook::Kept>& stored);
  void add(const std::vector<occupation::StoredPoint>& points, const std::vector<pointbook::CheckShot>& shots);
  bool has(const JournaledKeep& keep) const;
  /// Names and visits that any version of a point has or had.
  const std::set<std::pair<std::string, int>>& visits() const noexcept { return visits_; }

 private:
  std::set<std::string> uuids_;
  std::set<std::pair<std::string, int>> visits_;
};

/// One sentence for each that is not there although somebody was told that it is safe.
std::vector<std::string> missing_keeps(const std::vector<JournaledKeep>& keeps, const Known& known);
/// One for each that is not there, and of which nobody was told so.
std::vector<std::string> unanswered_keeps(const std::vector<JournaledKeep>& keeps, const Known& known);

/// The same for a program that only looks; nothing where there is no pointbook.
Known known_in(const std::string& pointbook);

}  // namespace stillpoint::daemon
