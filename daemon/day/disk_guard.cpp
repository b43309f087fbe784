#include "day/disk_guard.hpp"

#include <chrono>
#include <vector>

#include "common/sentences.hpp"
#include "common/timers.hpp"

namespace stillpoint::daemon {
namespace {

using session::Severity;

constexpr std::chrono::milliseconds kLook{10'000};
constexpr std::chrono::milliseconds kLookWhenFull{1'000};

}  // namespace

DiskGuard::DiskGuard(DiskWatch disks, DayAlerts& alerts, std::function<MachineTime()> now, Hooks hooks)
    : disks_(std::move(disks)), alerts_(alerts), now_(std::move(now)), hooks_(std::move(hooks)) {}

void DiskGuard::look() {
  looked_ = now_();
  disks_.look();
  tell_full_disks();
  if (disks_.book_is_full() && spool_fault_.empty()) hooks_.keep_open_stay();
  disks_.record_is_full() ? stop_record() : resume_record();
  const std::string low = disks_.low_text();
  low.empty() ? alerts_.clear("disk-low") : alerts_.raise("disk-low", Severity::warning, {low, kSayBriefly.disk_low()});
}

void DiskGuard::look_when_due() {
  const auto wait = scaled(disks_.full_text().empty() ? kLook : kLookWhenFull);
  if (ms_between(looked_, now_()) >= wait.count()) look();
}

/// Another disk that is full is another occurrence.
void DiskGuard::tell_full_disks() {
  const auto full = std::pair(disks_.record_is_full(), disks_.book_is_full());
  if (std::exchange(full_told_, full) == full) return;
  alerts_.clear("disk-full");
  if (!full.first && !full.second) return;
  const auto& sentence = full.first ? kSay.disk_full_record : kSay.disk_full_book;
  alerts_.raise("disk-full", Severity::stop_work, {sentence(disks_.full_text()), kSayBriefly.disk_full()});
}

/// In good order: the record is closed last.
void DiskGuard::stop_record() {
  if (std::exchange(stopped_, true)) return;
  hooks_.keep_open_stay();
  if (const auto done = hooks_.stop_record(); !done) {
    alerts_.raise("record-failed", Severity::stop_work, {done.error().text, kSayBriefly.record_failed()});
  }
}

void DiskGuard::resume_record() {
  if (std::exchange(stopped_, false)) hooks_.resume_record();
}

void DiskGuard::record_failed(const std::string& why) {
  if (!stopped_) look();
  if (!stopped_) alerts_.raise("record-failed", Severity::stop_work, {why, kSayBriefly.record_failed()});
}

void DiskGuard::record_stays_down(const std::string& why) {
  if (!stopped_ && !why.empty())
    alerts_.raise("record-failed", Severity::stop_work, {why, kSayBriefly.record_failed()});
}

void DiskGuard::spool_failed(const std::string& why) {
  spool_fault_ = why;
  look();
  alerts_.raise("spool-failed", Severity::stop_work, {kSay.points_unwritten(why), kSayBriefly.spool_failed()});
}

void DiskGuard::spool_went_well() {
  spool_fault_.clear();
  alerts_.clear("spool-failed");
}

std::string DiskGuard::why_no_stay(bool store_is_full) const {
  std::vector<std::string> why;
  if (store_is_full) why.push_back(kSay.many_waiting());
  if (!spool_fault_.empty()) why.push_back(kSay.points_unwritten(spool_fault_));
  if (disks_.book_is_full() && !stopped_) why.push_back(kSay.disk_full_first(disks_.full_text()));
  return listed(why, "; ");
}

std::string DiskGuard::why_no_keep(const occupation::Stand* open) const {
  if (spool_fault_.empty() || open == nullptr) return {};
  return kSay.stays_open(spool_fault_, open->name);
}

}  // namespace stillpoint::daemon
