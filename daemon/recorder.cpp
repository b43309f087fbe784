#include "recorder.hpp"

#include <fcntl.h>
#include <spdlog/spdlog.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <chrono>
#include <filesystem>
#include <utility>

#include "clock.hpp"
#include "pointbook/own_file.hpp"
#include "record/command.hpp"
#include "timers.hpp"

namespace stillpoint::daemon {
namespace {

constexpr std::int64_t kHourMs = 3'600'000;
constexpr std::chrono::milliseconds kRetry{5'000};
constexpr int kMostPairsASecond = 99;

/// The journal first: a burst that comes between the two is then in the bytes and not in the journal, which never says
/// more than the bytes have.
void sync(int journal, int nmea) {
  ::fdatasync(journal);
  ::fdatasync(nmea);
}

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

Fd create(const std::string& path) {
  return Fd(::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_APPEND | O_CLOEXEC, 0640));
}

/// Pairs without a checksum file, as they lie there now.
std::vector<std::string> unsealed_in(const std::string& folder) {
  std::vector<std::string> out;
  std::error_code none;
  for (const auto& entry : std::filesystem::directory_iterator(folder, none)) {
    std::filesystem::path path = entry.path();
    if (path.extension() != ".nmea") continue;
    std::filesystem::path sums = path;
    if (std::filesystem::exists(sums.replace_extension(".sha256"), none)) continue;
    out.push_back(path.replace_extension("").string());
  }
  std::sort(out.begin(), out.end());
  return out;
}

std::string sum_line(const std::string& sum, const std::string& stem, const char* ending) {
  return sum + "  " + stem.substr(stem.rfind('/') + 1) + ending + "\n";
}

/// The checksum file is made under another name first: a half one would accuse good files.
void write_sums(const std::string& stem, const std::string& nmea_sum, const std::string& journal_sum) {
  const std::string fresh = stem + ".sha256.new";
  const int opened = pointbook::create_own_file(fresh);
  const Fd fd(opened);
  const auto done =
      fd ? write_all(fd.get(), sum_line(nmea_sum, stem, ".nmea") + sum_line(journal_sum, stem, ".journal"))
         : Result<void>(fail(errno_text(-opened)));
  if (done && ::fdatasync(fd.get()) == 0 && ::rename(fresh.c_str(), (stem + ".sha256").c_str()) == 0) return;
  spdlog::warn("the checksum file of {} cannot be written; it is made at the next start", stem);
  ::unlink(fresh.c_str());
}

/// From the files as they are, for a pair whose run ended before it was closed.
void seal_left_over(const std::string& stem) {
  const auto nmea = sha256_file(stem + ".nmea");
  const auto journal = sha256_file(stem + ".journal");
  if (nmea && journal) write_sums(stem, *nmea, *journal);
}

}  // namespace

Recorder::Recorder(std::string folder, std::function<record::JournalHead()> anchor)
    : folder_(std::move(folder)),
      anchor_(std::move(anchor)),
      unsealed_(unsealed_in(folder_)),
      syncer_([this] { sync_loop(); }) {}

Recorder::~Recorder() {
  close();
}

UtcTime Recorder::utc_of(SteadyTime at) const noexcept {
  return UtcTime{head_.utc.ms + at.ms - head_.steady.ms};
}

/// What was written in part is taken back, so that the files say what the session got, and no more.
Result<void> Recorder::failed(const Error& error) {
  down_ = true;
  tried_ = steady_now();
  if (pair_) {
    const bool whole = ::ftruncate(pair_->nmea.get(), static_cast<off_t>(pair_->nmea_bytes)) == 0 &&
                       ::ftruncate(pair_->journal.get(), static_cast<off_t>(pair_->journal_bytes)) == 0;
    if (!whole) spdlog::error("the last bytes of {} cannot be taken back: {}", pair_->stem, errno_text(errno));
    broken_off_.push_back(pair_->stem);
    pair_.reset();
  }
  return fail("The raw record in " + folder_ + " cannot be written (" + error.text +
              "); free some space or choose another disk.");
}

Result<void> Recorder::open_pair(SteadyTime at) {
  // The head names the moment of the first line itself, so that no time in a file lies before its head.
  // Nor before the last line of the pair before it: to a reader steady time that goes back is another boot.
  const SteadyTime first = owed_.empty() ? std::max(at, latest_) : owed_.front().arrived;
  head_ = anchor_();
  head_ = {utc_of(first), first, head_.by_clock};
  auto pair = std::make_shared<Pair>();
  if (auto done = create_pair(*pair, folder_ + "/" + compact(utc_of(first))); !done) return done;
  std::string head = record::to_text(head_);
  if (!begun_) head += record::to_text(record::JournalLine{0, first, record::to_line({record::Started{}})});
  for (const record::JournalLine& owed : owed_) head += record::to_text(owed);
  // A pair without its head would spoil the reading of the whole day: it is taken away again.
  if (auto done = write_all(pair->journal.get(), head); !done) {
    ::unlink((pair->stem + ".nmea").c_str());
    ::unlink((pair->stem + ".journal").c_str());
    return done;
  }
  begun_ = true;
  owed_.clear();
  pair->journal_hash.add(head);
  pair->journal_bytes = head.size();
  hour_ = hour_of(utc_of(first));
  stem_ = pair->stem;
  pair_ = std::move(pair);
  const std::lock_guard lock(mutex_);
  to_sync_ = pair_;
  dirty_ = true;
  unsealed_.insert(unsealed_.end(), broken_off_.begin(), broken_off_.end());
  broken_off_.clear();
  wake_.notify_all();
  return {};
}

Result<void> Recorder::create_pair(Pair& pair, const std::string& start) {
  for (int n = 1; n <= kMostPairsASecond && !pair.nmea; ++n) {
    pair.stem = start + (n < 10 ? "-0" : "-") + std::to_string(n);
    pair.nmea = create(pair.stem + ".nmea");
    if (!pair.nmea && errno != EEXIST) return fail(errno_text(errno));
  }
  if (pair.nmea) pair.journal = create(pair.stem + ".journal");
  if (pair.nmea && pair.journal) return {};
  const std::string why = errno_text(errno);
  if (pair.nmea) ::unlink((pair.stem + ".nmea").c_str());
  return fail(why);
}

Result<void> Recorder::ready(SteadyTime at) {
  if (down_) return fail("");
  if (pair_ && hour_of(utc_of(at)) == hour_) return {};
  finish_pair();
  if (auto done = open_pair(at); !done) return failed(done.error());
  return {};
}

Result<void> Recorder::seal(SteadyTime at) {
  if (!pair_) return {};
  finish_pair();
  if (auto done = open_pair(at); !done) return failed(done.error());
  return {};
}

Result<void> Recorder::try_again(SteadyTime at, bool now) {
  if (!down_) return {};
  if (paused_ || (!now && steady_now().ms - tried_.ms < scaled(kRetry).count())) return fail("");
  if (auto done = open_pair(at); !done) return failed(done.error());
  down_ = false;
  return {};
}

/// Syncs and seals the pair.
void Recorder::finish_pair() {
  if (!pair_) return;
  sync(pair_->journal.get(), pair_->nmea.get());
  write_sums(pair_->stem, pair_->nmea_hash.hex(), pair_->journal_hash.hex());
  pair_.reset();
}

void Recorder::pause() {
  paused_ = down_ = true;
  finish_pair();
}

Result<void> Recorder::line(const record::JournalLine& line) {
  const std::string text = record::to_text(line);
  if (auto done = write_all(pair_->journal.get(), text); !done) return failed(done.error());
  pair_->journal_hash.add(text);
  pair_->journal_bytes += text.size();
  latest_ = line.arrived;
  dirty_ = true;
  return {};
}

Result<void> Recorder::bytes(std::string_view bytes, SteadyTime arrived) {
  if (auto is_ready = ready(arrived); !is_ready) return is_ready;
  if (auto done = write_all(pair_->nmea.get(), bytes); !done) return failed(done.error());
  if (auto done = line({pair_->nmea_bytes + bytes.size(), arrived, ""}); !done) return done;
  pair_->nmea_hash.add(bytes);
  pair_->nmea_bytes += bytes.size();
  return {};
}

Result<void> Recorder::command(const std::string& json, SteadyTime at) {
  auto done = ready(at);
  if (done) done = line({pair_->nmea_bytes, at, json});
  if (!done) owe(json, at);
  return done;
}

Result<void> Recorder::event(const std::string& json, SteadyTime at) {
  if (down_) return fail("");
  if (!pair_) return {};
  return line({pair_->nmea_bytes, at, json});
}

void Recorder::close() {
  {
    const std::lock_guard lock(mutex_);
    stop_ = true;
  }
  wake_.notify_all();
  if (syncer_.joinable()) syncer_.join();
  finish_pair();
}

void Recorder::sync_loop() {
  std::unique_lock lock(mutex_);
  while (!stop_) {
    if (!unsealed_.empty()) {
      const std::string stem = std::move(unsealed_.back());
      unsealed_.pop_back();
      lock.unlock();
      seal_left_over(stem);
      lock.lock();
    } else {
      wake_.wait_for(lock, std::chrono::seconds(1), [this] { return stop_ || !unsealed_.empty(); });
    }
    if (!dirty_.exchange(false)) continue;
    const auto pair = to_sync_;
    lock.unlock();
    sync(pair->journal.get(), pair->nmea.get());
    lock.lock();
  }
}

}  // namespace stillpoint::daemon
