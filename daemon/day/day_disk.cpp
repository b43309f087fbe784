// What the day may do while a disk takes nothing more: nothing is judged that the record does not have, and no stay
// begins that could not be kept.

#include <spdlog/spdlog.h>

#include <algorithm>
#include <boost/asio/dispatch.hpp>

#include "common/clock.hpp"
#include "common/sentences.hpp"
#include "day/day.hpp"
#include "occupation/occupation.hpp"
#include "session/apply.hpp"

namespace stillpoint::daemon {

using session::Severity;

bool Day::recorded(const Result<void>& done, SteadyTime at, const std::string& by) {
  if (done) return true;
  drain(by);  // what a command brought is its giver's, what the standstill brings nobody's
  stand_still(kSay.no_record(), at);
  if (!disk_full_) watch_disk();
  if (!disk_full_) raise("record-failed", Severity::stop_work, done.error().text);
  return false;
}

void Day::record_command(const record::Entry& entry, SteadyTime at) {
  recorded(recorder_->command(record::to_line(entry), at), at, entry.by);
}

/// Cuts the session and the record at the same moment, so that a recomputation cuts there as well.
void Day::stand_still(const std::string& why, SteadyTime at) {
  standstill_ = why;
  const record::Cut cut{why};
  const std::string line = record::to_line({cut});
  if (recorder_->is_down() || !recorder_->event(line, at)) recorder_->owe(line, at);
  session::apply(session_, cut, at);
  drain();
}

/// True when the record is up, or up again: then the first thing told is how the feed is by now.
bool Day::try_to_go_on(SteadyTime at) {
  if (!recorder_->is_down()) return true;
  if (const auto done = recorder_->try_again(at); !done) {
    if (!disk_full_ && !done.error().text.empty()) raise("record-failed", Severity::stop_work, done.error().text);
    return false;
  }
  clear("record-failed");
  feed(feed_state_, feed_what_, at);
  return !recorder_->is_down();
}

std::string Day::refusal_after_trying(SteadyTime at) {
  if (disk_full_) return kSay.disk_full_kept();
  if (try_to_go_on(at) && recorded(recorder_->ready(at), at)) return "";
  return disk_full_ ? kSay.disk_full_kept() : kSay.standstill(standstill_);
}

/// Empty, or why no stay may begin: whatever is measured must have a place to be kept.
std::string Day::why_no_stay() const {
  std::vector<std::string> why;
  if (store_.is_full()) why.push_back(kSay.many_waiting());
  if (!spool_fault_.empty()) why.push_back(kSay.points_unwritten(spool_fault_));
  if (disks_.book_is_full() && !disk_full_) why.push_back(kSay.disk_full_first(disks_.full_text()));
  return listed(why, "; ");
}

/// An open stay continues although its point would have no place now.
std::string Day::why_no_keep() const {
  const occupation::Stand* open = session_.open_stand();
  if (spool_fault_.empty() || open == nullptr) return {};
  return kSay.stays_open(spool_fault_, open->name);
}

void Day::spool_failed(const std::string& why) {
  spool_fault_ = why;
  watch_disk();
  raise("spool-failed", Severity::stop_work, kSay.points_unwritten(why));
}

void Day::spool_went_well() {
  const bool all_safe = std::none_of(on_the_way_.begin(), on_the_way_.end(),
                                     [](const auto& one) { return one.second == Storage::memory; });
  if (!all_safe) return;
  spool_fault_.clear();
  clear("spool-failed");
}

void Day::watch_disk() {
  disk_looked_ = steady_now();
  disks_.look();
  tell_full_disks();
  if (disks_.book_is_full() && spool_fault_.empty()) keep_open_stay();
  disks_.record_is_full() ? stop_for_full_disk() : go_on_after_full_disk();
  const std::string low = disks_.low_text();
  low.empty() ? clear("disk-low") : raise("disk-low", Severity::warning, low);
}

/// Another disk that is full is another occurrence.
void Day::tell_full_disks() {
  const auto full = std::pair(disks_.record_is_full(), disks_.book_is_full());
  if (std::exchange(full_told_, full) == full) return;
  clear("disk-full");
  if (!full.first && !full.second) return;
  const auto& sentence = full.first ? kSay.disk_full_record : kSay.disk_full_book;
  raise("disk-full", Severity::stop_work, sentence(disks_.full_text()));
}

/// Ends the stay as a held point while that can still be written.
void Day::keep_open_stay() {
  if (session_.open_stand() == nullptr || recorder_->is_down()) return;
  keep_now("stillpointd", last_at_, [](const auto&) {});
  if (session_.open_stand() != nullptr) carry_out_now(record::Drop{}, "stillpointd", last_at_);
}

/// In good order: the record is closed last.
void Day::stop_for_full_disk() {
  if (std::exchange(disk_full_, true)) return;
  keep_open_stay();
  if (!recorder_->is_down()) stand_still(kSay.disk_full(), last_at_);
  if (const auto paused = recorder_->pause(); !paused) raise("record-failed", Severity::stop_work, paused.error().text);
}

void Day::go_on_after_full_disk() {
  if (!std::exchange(disk_full_, false)) return;
  recorder_->resume();
}

/// A point in the pointbook whose `keep` the record lost with the power could not be recomputed.
void Day::hand_to_store(std::function<void()> give) {
  const std::uint64_t number = ++handed_;
  held_.push_back({number, steady_now(), std::move(give)});
  recorder_->when_synced(
      [this, number](const Result<void>&) { boost::asio::dispatch(io_, [this, number] { give_to_store(number); }); });
}

void Day::after_held(std::function<void()> give) {
  if (held_.empty()) return give();
  held_.push_back({handed_, steady_now(), std::move(give)});
}

void Day::give_to_store(std::uint64_t up_to) {
  while (!held_.empty() && held_.front().number <= up_to) {
    const Held next = std::move(held_.front());
    held_.pop_front();
    next.give();
  }
}

void Day::look_for_keeps(const Known& known) {
  std::erase_if(missing_keeps_, [&known](const JournaledKeep& keep) { return known.has(keep); });
}

/// A spool that was emptied or a pointbook that is new says nothing by itself.
void Day::tell_missing_keeps() {
  const auto keeps = std::exchange(missing_keeps_, {});
  for (const std::string& sentence : unanswered_keeps(keeps, {})) {
    spdlog::warn("{}", sentence);
    raise("keep-unanswered", Severity::notice, sentence);
  }
  const auto missing = missing_keeps(keeps, {});
  for (const std::string& sentence : missing) spdlog::error("{}", sentence);
  if (missing.empty()) return;
  const std::string more = missing.size() > 1 ? ", and " + std::to_string(missing.size() - 1) + " more" : "";
  raise("points-missing", Severity::stop_work, kSay.keeps_missing(missing.front() + more, settings_.project.pointbook));
}

}  // namespace stillpoint::daemon
