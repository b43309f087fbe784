#include "recorder.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <chrono>
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

}  // namespace

Recorder::Recorder(std::string folder, std::function<record::JournalHead()> anchor)
    : folder_(std::move(folder)), anchor_(std::move(anchor)), syncer_([this] { sync_loop(); }) {}

Recorder::~Recorder() {
  close();
}

UtcTime Recorder::utc_of(SteadyTime at) const noexcept {
  return UtcTime{head_.utc.ms + at.ms - head_.steady.ms};
}

Result<void> Recorder::failed(const Error& error) {
  failed_at_ = steady_now();
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
  if (!pair->nmea || !pair->journal) return fail(errno_text(errno));
  if (auto done = write_all(pair->journal.get(), record::to_text(head_)); !done) return done;
  if (!std::exchange(begun_, true)) {
    const record::JournalLine started{0, at, R"({"event":"started"})"};
    if (auto done = write_all(pair->journal.get(), record::to_text(started)); !done) return done;
  }
  hour_ = hour_of(utc_of(at));
  offset_ = 0;
  pair_ = std::move(pair);
  const std::lock_guard lock(mutex_);
  to_sync_ = pair_;
  return {};
}

Result<void> Recorder::ready_for(SteadyTime at) {
  if (pair_ && hour_of(utc_of(at)) == hour_) return {};
  if (failed_at_ && steady_now().ms - failed_at_->ms < kRetryMs) return fail("");
  if (pair_) {
    ::fdatasync(pair_->nmea.get());
    ::fdatasync(pair_->journal.get());
    pair_.reset();
  }
  if (auto done = open_pair(at); !done) return failed(done.error());
  failed_at_.reset();
  return {};
}

Result<void> Recorder::line(const record::JournalLine& line) {
  if (auto done = write_all(pair_->journal.get(), record::to_text(line)); !done) return failed(done.error());
  const std::lock_guard lock(mutex_);
  dirty_ = true;
  return {};
}

Result<void> Recorder::bytes(std::string_view bytes, SteadyTime arrived) {
  if (auto ready = ready_for(arrived); !ready) return ready;
  if (auto done = write_all(pair_->nmea.get(), bytes); !done) return failed(done.error());
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
  if (pair_) {
    ::fdatasync(pair_->nmea.get());
    ::fdatasync(pair_->journal.get());
  }
  pair_.reset();
}

void Recorder::sync_loop() {
  std::unique_lock lock(mutex_);
  while (!stop_) {
    wake_.wait_for(lock, std::chrono::seconds(1), [this] { return stop_; });
    if (!std::exchange(dirty_, false)) continue;
    const auto pair = to_sync_;
    lock.unlock();
    ::fdatasync(pair->nmea.get());
    ::fdatasync(pair->journal.get());
    lock.lock();
  }
}

}  // namespace stillpoint::daemon
