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

namespace stillpoint::daemon {
namespace {

constexpr std::int64_t kHourMs = 3'600'000;
constexpr std::int64_t kRetryMs = 5'000;
constexpr int kMostPairsASecond = 99;

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
  Fd fd(::open(fresh.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0640));
  const auto done =
      fd ? write_all(fd.get(), sum_line(nmea_sum, stem, ".nmea") + sum_line(journal_sum, stem, ".journal"))
         : Result<void>(fail(errno_text(errno)));
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

Result<void> Recorder::failed(const Error& error) {
  failed_at_ = steady_now();
  missed_ = true;
  pair_.reset();
  return fail("The raw record in " + folder_ + " cannot be written (" + error.text +
              "); free some space or choose another disk.");
}

Result<void> Recorder::open_pair(SteadyTime at) {
  // The head names the moment of the first line itself, so that no time in a file lies before its head.
  head_ = anchor_();
  head_ = {utc_of(at), at, head_.by_clock};
  const std::string start = folder_ + "/" + compact(utc_of(at));
  auto pair = std::make_shared<Pair>();
  for (int n = 1; n <= kMostPairsASecond && !pair->nmea; ++n) {
    stem_ = start + (n < 10 ? "-0" : "-") + std::to_string(n);
    pair->nmea = create(stem_ + ".nmea");
    if (!pair->nmea && errno != EEXIST) return fail(errno_text(errno));
  }
  if (pair->nmea) pair->journal = create(stem_ + ".journal");
  // A pair without its head would spoil the reading of the whole day: it is taken away again.
  const auto take_away = [this] {
    ::unlink((stem_ + ".nmea").c_str());
    ::unlink((stem_ + ".journal").c_str());
  };
  if (!pair->nmea || !pair->journal) {
    const std::string why = errno_text(errno);
    if (pair->nmea) take_away();
    return fail(why);
  }
  std::string head = record::to_text(head_);
  if (!begun_) head += record::to_text(record::JournalLine{0, at, R"({"event":"started"})"});
  if (auto done = write_all(pair->journal.get(), head); !done) {
    take_away();
    return done;
  }
  begun_ = true;
  pair->journal_hash.add(head);
  hour_ = hour_of(utc_of(at));
  offset_ = 0;
  pair->stem = stem_;
  pair_ = std::move(pair);
  const std::lock_guard lock(mutex_);
  to_sync_ = pair_;
  return {};
}

Result<void> Recorder::ready_for(SteadyTime at) {
  if (pair_ && hour_of(utc_of(at)) == hour_) return {};
  if (failed_at_ && steady_now().ms - failed_at_->ms < kRetryMs) return fail("");
  if (paused_) {
    missed_ = true;
    return fail("");
  }
  finish_pair();
  if (auto done = open_pair(at); !done) return failed(done.error());
  failed_at_.reset();
  if (!std::exchange(missed_, false)) return {};
  gap_begun_ = true;
  return line({0, at, R"({"event":"cut"})"});
}

/// Syncs and seals the pair.
void Recorder::finish_pair() {
  if (!pair_) return;
  ::fdatasync(pair_->nmea.get());
  ::fdatasync(pair_->journal.get());
  write_sums(pair_->stem, pair_->nmea_hash.hex(), pair_->journal_hash.hex());
  pair_.reset();
}

void Recorder::pause() {
  paused_ = true;
  finish_pair();
}

Result<void> Recorder::write(int fd, Sha256& hash, std::string_view bytes) {
  if (auto done = write_all(fd, bytes); !done) return failed(done.error());
  hash.add(bytes);
  return {};
}

Result<void> Recorder::line(const record::JournalLine& line) {
  if (auto done = write(pair_->journal.get(), pair_->journal_hash, record::to_text(line)); !done) return done;
  const std::lock_guard lock(mutex_);
  dirty_ = true;
  return {};
}

Result<void> Recorder::bytes(std::string_view bytes, SteadyTime arrived) {
  if (auto ready = ready_for(arrived); !ready) return ready;
  if (auto done = write(pair_->nmea.get(), pair_->nmea_hash, bytes); !done) return done;
  offset_ += bytes.size();
  return line({offset_, arrived, ""});
}

Result<void> Recorder::command(const std::string& json, SteadyTime at) {
  if (auto ready = ready_for(at); !ready) return ready;
  return line({offset_, at, json});
}

Result<void> Recorder::event(const std::string& json, SteadyTime at) {
  if (!pair_) return {};
  return line({offset_, at, json});
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
      wake_.wait_for(lock, std::chrono::seconds(1), [this] { return stop_; });
    }
    if (!std::exchange(dirty_, false)) continue;
    const auto pair = to_sync_;
    lock.unlock();
    ::fdatasync(pair->nmea.get());
    ::fdatasync(pair->journal.get());
    lock.lock();
  }
}

}  // namespace stillpoint::daemon
