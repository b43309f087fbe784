#include "keeping/recorder.hpp"

#include <spdlog/spdlog.h>

#include <algorithm>
#include <cerrno>
#include <chrono>
#include <cstdlib>
#include <utility>

#include "common/clock.hpp"
#include "common/file.hpp"
#include "common/timers.hpp"
#include "keeping/sentences.hpp"
#include "record/command.hpp"

namespace stillpoint::daemon {
namespace {

constexpr std::int64_t kHourMs = 3'600'000;
constexpr std::int64_t kClockStepMs = 60'000;  // dates are judged by days: less is of no account
constexpr std::chrono::milliseconds kRetry{5'000};
constexpr std::chrono::milliseconds kSyncEvery{1'000};
constexpr std::chrono::milliseconds kLookEvery{1'000};

std::int64_t hour_of(UtcTime utc) noexcept {
  return utc.ms >= 0 ? utc.ms / kHourMs : (utc.ms - kHourMs + 1) / kHourMs;
}

/// `20260603T140000Z`: sorts by time, and every file system takes it.
std::string compact(UtcTime utc) {
  std::string text;
  for (const char c : to_text(UtcTime{utc.ms - ((utc.ms % 1000) + 1000) % 1000})) {
    if (c != '-' && c != ':') text += c;
  }
  return text;
}

}  // namespace

Recorder::Recorder(std::string folder, std::function<record::JournalHead()> anchor, pointbook::Disk& disk)
    : folder_(std::move(folder)),
      anchor_(std::move(anchor)),
      disk_(disk),
      unsealed_(unsealed_in(folder_)),
      syncer_([this] { sync_loop(); }) {}

void Recorder::enter_in(PairCatalogue& list, std::function<std::optional<UtcTime>()> time) {
  time_ = std::move(time);
  catalogue_ = &list;
}

/// A pair that is missing from the list would not be missed when it is deleted, so whoever closes the day is told.
void Recorder::enter_begun() {
  PairCatalogue* const list = catalogue_;
  if (list == nullptr) return;
  if (const auto done = list->begun(pair_name(stem_)); !done) doubt(stem_, kSayOfRecord.not_on_list(done.error().text));
}

/// Without its line a pair still has its checksum file.
void Recorder::enter_sealed(const PairSums& sums, std::optional<UtcTime> until) {
  PairCatalogue* const list = catalogue_;
  if (list == nullptr) return;
  const auto done = list->sealed({pair_name(sums.stem), until, sums.nmea, sums.journal});
  if (!done) spdlog::warn("the end of {} cannot be entered in {}", pair_name(sums.stem), done.error().text);
}

Result<void> Recorder::day_closed(const std::string& current) {
  PairCatalogue* const list = catalogue_;
  return list == nullptr ? Result<void>{} : list->closed(pair_name(current));
}

Recorder::~Recorder() {
  if (const auto done = close(); !done) spdlog::error("{}", done.error().text);
}

std::optional<UtcTime> Recorder::clock_was_set(SteadyTime at) {
  if (!begun_ || down_ || !clock_.by_clock) return std::nullopt;
  const record::JournalHead now = anchor_();
  const std::int64_t expected_ms = clock_.utc.ms + now.steady.ms - clock_.steady.ms;
  if (std::abs(now.utc.ms - expected_ms) < kClockStepMs) return std::nullopt;
  clock_ = {UtcTime{now.utc.ms + at.ms - now.steady.ms}, at, true};
  return clock_.utc;
}

UtcTime Recorder::utc_of(SteadyTime at) const noexcept {
  return UtcTime{head_.utc.ms + at.ms - head_.steady.ms};
}

void Recorder::doubt(const std::string& stem, const std::string& why) {
  doubtful_.push_back(pair_name(stem) + " " + why);
  spdlog::error("of the record, {}", doubtful_.back());
}

/// What was written in part is taken back, so that the files say what the session got, and no more.
Result<void> Recorder::failed(const std::string& why) {
  down_ = true;
  tried_ = steady_now();
  if (pair_) {
    if (const int code = pair_->take_back(); code != 0) {
      doubt(pair_->stem(), kSayOfRecord.not_taken_back(errno_text(-code)));
    }
    broken_off_.push_back(pair_->sums());
    pair_.reset();
  }
  return fail(kSayOfRecord.not_written(folder_, why));
}

/// The head names the moment of the first line itself, so that no time in a file lies before its head.
std::string Recorder::head_text(SteadyTime first) {
  head_ = anchor_();
  head_ = {utc_of(first), first, head_.by_clock};
  std::string head = record::to_text(head_);
  if (!begun_) head += record::to_text(record::JournalLine{0, first, record::to_line({record::Started{}})});
  for (const record::JournalLine& owed : owed_) head += record::to_text(owed);
  return head;
}

Result<void> Recorder::open_pair(SteadyTime at) {
  // Nor may it lie before the last line of the previous pair: a reader takes steady time that goes back for another
  // boot.
  const SteadyTime first = owed_.empty() ? std::max(at, latest_) : owed_.front().arrived;
  const std::string head = head_text(first);
  auto pair = RecordPair::create(disk_, folder_ + "/" + compact(utc_of(first)), head);
  if (!pair) return tl::unexpected(pair.error());
  if (!std::exchange(begun_, true)) run_head_ = clock_ = head_;
  owed_.clear();
  hour_ = hour_of(utc_of(first));
  stem_ = (*pair)->stem();
  pair_ = std::move(*pair);
  enter_begun();
  const std::lock_guard lock(mutex_);
  to_sync_ = pair_;
  dirty_ = true;
  for (auto* const list : {&broken_off_, &seal_later_}) {
    unsealed_.insert(unsealed_.end(), list->begin(), list->end());
    list->clear();
  }
  wake_.notify_all();
  return {};
}

Result<void> Recorder::look() {
  decltype(sync_faults_) faults;
  {
    const std::lock_guard lock(mutex_);
    faults.swap(sync_faults_);
  }
  Result<void> out;
  for (const auto& [stem, code] : faults) {
    const std::string why = unsynced(stem, code);
    if (pair_ && pair_->stem() == stem) out = failed(why);
  }
  return out ? look_for_files() : out;
}

Result<void> Recorder::look_for_files() {
  const SteadyTime now = steady_now();
  if (!pair_ || now.ms - looked_.ms < scaled(kLookEvery).count()) return {};
  looked_ = now;
  const int code = pair_->look();
  if (code == 0) return {};
  const bool is_gone = code == -ENOENT || code == -ESTALE;
  const std::string why = is_gone ? kSayOfRecord.replaced() : kSayOfRecord.not_looked_for(errno_text(-code));
  doubt(pair_->stem(), why);
  auto out = failed(kSayOfRecord.the_pair(pair_name(pair_->stem()), why));
  if (is_gone) tried_ = SteadyTime{now.ms - scaled(kRetry).count()};  // the next may begin at once
  return out;
}

std::string Recorder::unsynced(const std::string& stem, int code) {
  doubt(stem, kSayOfRecord.seconds_lost(errno_text(-code)));
  return kSayOfRecord.not_synced(errno_text(-code));
}

Result<void> Recorder::ready(SteadyTime at) {
  if (down_) return fail("");
  if (pair_ && hour_of(utc_of(at)) == hour_) return {};
  if (auto done = finish_pair(); !done) return failed(done.error().text);
  if (auto done = open_pair(at); !done) return failed(done.error().text);
  return {};
}

Result<void> Recorder::seal(SteadyTime at) {
  if (!pair_) return {};
  if (auto done = finish_pair(); !done) return failed(done.error().text);
  if (auto done = open_pair(at); !done) return failed(done.error().text);
  return {};
}

Result<void> Recorder::try_again(SteadyTime at, bool now) {
  if (!down_) return {};
  if (paused_ || (!now && steady_now().ms - tried_.ms < scaled(kRetry).count())) return fail("");
  if (auto done = open_pair(at); !done) return failed(done.error().text);
  down_ = false;
  return {};
}

/// Syncs and seals the pair.
Result<void> Recorder::finish_pair() {
  if (!pair_) return {};
  const auto pair = std::exchange(pair_, nullptr);
  const int code = pair->sync();
  if (auto sealed = write_checksum_file(disk_, pair->sums()); !sealed) {
    spdlog::warn("{}; it is tried again", sealed.error().text);
    broken_off_.push_back(pair->sums());
  }
  enter_sealed(pair->sums(), time_ ? time_() : std::nullopt);
  return code == 0 ? Result<void>{} : fail(unsynced(pair->stem(), code));
}

Result<void> Recorder::pause() {
  paused_ = down_ = true;
  return finish_pair();
}

Result<void> Recorder::write(std::string_view bytes, const record::JournalLine& line) {
  if (const int code = pair_->write(bytes, record::to_text(line)); code != 0)
    return failed(pointbook::disk_words(code));
  latest_ = line.arrived;
  dirty_ = true;
  return {};
}

Result<void> Recorder::bytes(std::string_view bytes, SteadyTime arrived) {
  if (auto is_ready = ready(arrived); !is_ready) return is_ready;
  return write(bytes, {pair_->offset() + bytes.size(), arrived, ""});
}

Result<void> Recorder::command(const std::string& json, SteadyTime at) {
  auto done = ready(at);
  if (done) done = write("", {pair_->offset(), at, json});
  if (!done) owe(json, at);
  return done;
}

Result<void> Recorder::event(const std::string& json, SteadyTime at) {
  if (down_) return fail("");
  if (!pair_) return {};
  return write("", {pair_->offset(), at, json});
}

void Recorder::when_synced(std::function<void(const Result<void>&)> done) {
  if (down_ || !pair_) return done(fail(kSayOfRecord.down()));
  {
    const std::lock_guard lock(mutex_);
    want_sync_.push_back(std::move(done));
  }
  wake_.notify_all();
}

Result<void> Recorder::close() {
  {
    const std::lock_guard lock(mutex_);
    stop_ = true;
  }
  wake_.notify_all();
  if (syncer_.joinable()) syncer_.join();
  const auto looked = look();
  const auto finished = finish_pair();
  for (const auto& tell : std::exchange(want_sync_, {})) tell(finished);  // nobody else has it any more
  return looked ? finished : looked;
}

void Recorder::seal_next(std::unique_lock<std::mutex>& lock) {
  PairSums next = std::move(unsealed_.back());
  unsealed_.pop_back();
  lock.unlock();
  const auto done = write_checksum_file(disk_, next);
  if (!done) spdlog::warn("{}; it is tried again", done.error().text);
  if (done) enter_sealed(next, std::nullopt);
  lock.lock();
  if (!done) seal_later_.push_back(std::move(next));
}

void Recorder::sync_current(std::unique_lock<std::mutex>& lock) {
  const auto pair = to_sync_;
  const auto wanted = std::exchange(want_sync_, {});  // those that come while it is synced want another
  lock.unlock();
  const int code = pair->sync();
  for (const auto& tell : wanted) tell(code == 0 ? Result<void>{} : fail(errno_text(-code)));
  lock.lock();
  if (code != 0) sync_faults_.emplace_back(pair->stem(), code);
}

void Recorder::sync_loop() {
  std::unique_lock lock(mutex_);
  while (!stop_) {
    if (!unsealed_.empty()) {
      seal_next(lock);
    } else {
      wake_.wait_for(lock, scaled(kSyncEvery), [this] { return stop_ || !unsealed_.empty() || !want_sync_.empty(); });
    }
    if (dirty_.exchange(false) || !want_sync_.empty()) sync_current(lock);
  }
}

}  // namespace stillpoint::daemon
