#pragma once
/// The helper thread of the record: it syncs what was written every second, and writes checksum files that are still
/// wanted, so that a slow disk never delays the stream.
///
/// Threads: its own does nothing else; public calls come from the I/O thread. Time: the machine's. Units: none.
/// Errors:  a sync that failed is found with `take_faults`; a checksum file that cannot be written is tried again with
///          the next pair.

#include <atomic>
#include <condition_variable>
#include <functional>
#include <memory>
#include <mutex>
#include <string>
#include <thread>
#include <utility>
#include <vector>

#include "base/result.hpp"
#include "keeping/checksum_file.hpp"
#include "keeping/record_pair.hpp"

namespace stillpoint::daemon {

class RecordSyncer {
 public:
  using Synced = std::function<void(const Result<void>&)>;
  using Faults = std::vector<std::pair<std::string, int>>;
  /// `unsealed` want a checksum file; `sealed` is told, on the helper thread, when one has it.
  RecordSyncer(pointbook::Disk& disk, std::vector<PairSums> unsealed, std::function<void(const PairSums&)> sealed);
  ~RecordSyncer() { stop(); }
  RecordSyncer(const RecordSyncer&) = delete;
  RecordSyncer& operator=(const RecordSyncer&) = delete;

  /// From now on this pair is synced; those that were broken off get their checksum files.
  void begin(std::shared_ptr<RecordPair> pair, std::vector<PairSums>& broken_off);
  /// Something was written.
  void wrote() noexcept { dirty_ = true; }
  /// `done`, on the helper thread, as soon as all that was written so far is synced, or why it is not.
  void want_sync(Synced done);
  /// Stems with minus errno.
  Faults take_faults();
  /// Returns those that still wait for a sync: nobody else tells them.
  std::vector<Synced> stop();

 private:
  void run();
  void seal_next(std::unique_lock<std::mutex>& lock);
  void sync(std::unique_lock<std::mutex>& lock);

  pointbook::Disk& disk_;
  std::function<void(const PairSums&)> sealed_;
  std::atomic<bool> dirty_ = false;  ///< something was written since the last sync
  std::mutex mutex_;                 ///< guards the members below
  std::condition_variable wake_;
  std::vector<PairSums> unsealed_;    ///< pairs that still want a checksum file
  std::vector<PairSums> seal_later_;  ///< those of them for which it could not be written
  std::shared_ptr<RecordPair> pair_;
  std::vector<Synced> want_sync_;
  Faults faults_;
  bool stop_ = false;
  std::thread thread_;
};

}  // namespace stillpoint::daemon
