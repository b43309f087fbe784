#pragma once
/// What is told of the pairs of the record: entered in their catalogue, and doubted where the disk may not have all.
///
/// Threads: `sealed` from any; the rest from the I/O thread. Time: the receiver's. Units: none.
/// Errors:  what cannot be entered is a doubt or a line of the log.

#include <atomic>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "base/result.hpp"
#include "keeping/checksum_file.hpp"
#include "keeping/pair_catalogue.hpp"

namespace stillpoint::daemon {

class RecordList {
 public:
  /// What is begun and sealed from now on is entered in `catalogue`, which outlives the list; `time` tells the
  /// receiver's time.
  void enter_in(PairCatalogue& catalogue, std::function<std::optional<UtcTime>()> time);

  void begun(const std::string& stem);
  /// `now`: its end is what the receiver says now; else it is not known.
  void sealed(const PairSums& sums, bool now);
  /// A closing covers every pair before `current`.
  Result<void> day_closed(const std::string& current);

  void doubt(const std::string& stem, const std::string& why);
  /// Doubts a pair that could not be synced; `code` is minus errno. Says why.
  std::string unsynced(const std::string& stem, int code);
  /// One sentence for each pair of which the disk may not have everything, or whose last bytes are not what they should
  /// be.
  const std::vector<std::string>& doubtful() const noexcept { return doubtful_; }

 private:
  std::atomic<PairCatalogue*> catalogue_ = nullptr;
  std::function<std::optional<UtcTime>()> time_;
  std::vector<std::string> doubtful_;
};

}  // namespace stillpoint::daemon
