#include "keeping/record_syncer.hpp"

#include <spdlog/spdlog.h>

#include <chrono>

#include "common/file.hpp"
#include "common/timers.hpp"

namespace stillpoint::daemon {
namespace {

constexpr std::chrono::milliseconds kSyncEvery{1'000};

}  // namespace

RecordSyncer::RecordSyncer(pointbook::Disk& disk, std::vector<PairSums> unsealed,
                           std::function<void(const PairSums&)> sealed)
    : disk_(disk), sealed_(std::move(sealed)), unsealed_(std::move(unsealed)), thread_([this] { run(); }) {}

void RecordSyncer::begin(std::shared_ptr<RecordPair> pair, std::vector<PairSums>& broken_off) {
  const std::lock_guard lock(mutex_);
  pair_ = std::move(pair);
  dirty_ = true;
  for (auto* const list : {&broken_off, &seal_later_}) {
    unsealed_.insert(unsealed_.end(), list->begin(), list->end());
    list->clear();
  }
  wake_.notify_all();
}

void RecordSyncer::want_sync(Synced done) {
  {
    const std::lock_guard lock(mutex_);
    want_sync_.push_back(std::move(done));
  }
  wake_.notify_all();
}

RecordSyncer::Faults RecordSyncer::take_faults() {
  const std::lock_guard lock(mutex_);
  return std::exchange(faults_, {});
}

std::vector<RecordSyncer::Synced> RecordSyncer::stop() {
  {
    const std::lock_guard lock(mutex_);
    stop_ = true;
  }
  wake_.notify_all();
  if (thread_.joinable()) thread_.join();
  return std::exchange(want_sync_, {});
}

void RecordSyncer::seal_next(std::unique_lock<std::mutex>& lock) {
  PairSums next = std::move(unsealed_.back());
  unsealed_.pop_back();
  lock.unlock();
  const auto done = write_checksum_file(disk_, next);
  if (!done) spdlog::warn("{}; it is tried again", done.error().text);
  if (done) sealed_(next);
  lock.lock();
  if (!done) seal_later_.push_back(std::move(next));
}

void RecordSyncer::sync(std::unique_lock<std::mutex>& lock) {
  const auto pair = pair_;
  const auto wanted = std::exchange(want_sync_, {});  // those that come while it is synced want another
  lock.unlock();
  const int code = pair->sync();
  for (const auto& tell : wanted) tell(code == 0 ? Result<void>{} : fail(errno_text(-code)));
  lock.lock();
  if (code != 0) faults_.emplace_back(pair->stem(), code);
}

void RecordSyncer::run() {
  std::unique_lock lock(mutex_);
  while (!stop_) {
    if (!unsealed_.empty()) {
      seal_next(lock);
    } else {
      wake_.wait_for(lock, scaled(kSyncEvery), [this] { return stop_ || !unsealed_.empty() || !want_sync_.empty(); });
    }
    if (dirty_.exchange(false) || !want_sync_.empty()) sync(lock);
  }
}

}  // namespace stillpoint::daemon
