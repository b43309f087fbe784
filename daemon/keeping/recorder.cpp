#include "keeping/recorder.hpp"

#include <spdlog/spdlog.h>

#include <algorithm>
#include <cerrno>
#include <chrono>
#include <utility>

#include "common/clock.hpp"
#include "common/file.hpp"
#include "common/timers.hpp"
#include "keeping/sentences.hpp"
#include "record/command.hpp"

namespace stillpoint::daemon {
namespace {

constexpr std::chrono::milliseconds kRetry{5'000};
constexpr std::chrono::milliseconds kLookEvery{1'000};

/// `20260603T140000Z`: sorts by time, and every file system takes it.
std::string compact(UtcTime utc) {
  std::string text;
  for (const char c : to_text(UtcTime{utc.ms - ((utc.ms % 1000) + 1000) % 1000})) {
    if (c != '-' && c != ':') text += c;
  }
  return text;
}

}  // namespace

Recorder::Recorder(std::string folder, RecordClock::Anchor anchor, pointbook::Disk& disk)
    : folder_(std::move(folder)),
      clock_(std::move(anchor)),
      disk_(disk),
      syncer_(disk, unsealed_in(folder_), [this](const PairSums& sums) { list_.sealed(sums, false); }) {}

Recorder::~Recorder() {
  if (const auto done = close(); !done) spdlog::error("{}", done.error().text);
}

/// What was written in part is taken back, so that the files say what the session got, and no more.
Result<void> Recorder::failed(const std::string& why) {
  down_ = true;
  tried_ = machine_now();
  if (pair_) {
    if (const int code = pair_->take_back(); code != 0) {
      list_.doubt(pair_->stem(), kSayOfRecord.not_taken_back(errno_text(-code)));
    }
    broken_off_.push_back(pair_->sums());
    pair_.reset();
  }
  return fail(kSayOfRecord.not_written(folder_, why));
}

/// With what the new pair begins.
std::string Recorder::head_text(FeedTime first) {
  std::string head = record::to_text(clock_.head(first));
  if (!clock_.has_begun()) head += record::to_text(record::JournalLine{0, first, record::to_line({record::Started{}})});
  for (const record::JournalLine& owed : owed_) head += record::to_text(owed);
  return head;
}

Result<void> Recorder::open_pair(FeedTime at) {
  // Nor may it lie before the last line of the previous pair: a reader takes steady time that goes back for another
  // boot.
  const FeedTime first = owed_.empty() ? std::max(at, latest_) : owed_.front().arrived;
  const std::string head = head_text(first);
  auto pair = RecordPair::create(disk_, folder_ + "/" + compact(clock_.utc_of(first)), head);
  if (!pair) return tl::unexpected(pair.error());
  clock_.begin();
  owed_.clear();
  stem_ = (*pair)->stem();
  pair_ = std::move(*pair);
  list_.begun(stem_);
  syncer_.begin(pair_, broken_off_);
  return {};
}

Result<void> Recorder::look() {
  Result<void> out;
  for (const auto& [stem, code] : syncer_.take_faults()) {
    const std::string why = list_.unsynced(stem, code);
    if (pair_ && pair_->stem() == stem) out = failed(why);
  }
  return out ? look_for_files() : out;
}

Result<void> Recorder::look_for_files() {
  const MachineTime now = machine_now();
  if (!pair_ || ms_between(looked_, now) < scaled(kLookEvery).count()) return {};
  looked_ = now;
  const int code = pair_->look();
  if (code == 0) return {};
  const bool is_gone = code == -ENOENT || code == -ESTALE;
  const std::string why = is_gone ? kSayOfRecord.replaced() : kSayOfRecord.not_looked_for(errno_text(-code));
  list_.doubt(pair_->stem(), why);
  auto out = failed(kSayOfRecord.the_pair(pair_name(pair_->stem()), why));
  if (is_gone) tried_ = MachineTime{now.ms - scaled(kRetry).count()};  // the next may begin at once
  return out;
}

Result<void> Recorder::ready(FeedTime at) {
  if (down_) return fail("");
  return pair_ && clock_.is_in_hour(at) ? Result<void>() : next_pair(at);
}

Result<void> Recorder::seal(FeedTime at) {
  return pair_ ? next_pair(at) : Result<void>();
}

Result<void> Recorder::next_pair(FeedTime at) {
  if (auto done = finish_pair(); !done) return failed(done.error().text);
  if (auto done = open_pair(at); !done) return failed(done.error().text);
  return {};
}

Result<void> Recorder::try_again(FeedTime at, bool now) {
  if (!down_) return {};
  if (paused_ || (!now && ms_between(tried_, machine_now()) < scaled(kRetry).count())) return fail("");
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
  list_.sealed(pair->sums(), true);
  return code == 0 ? Result<void>{} : fail(list_.unsynced(pair->stem(), code));
}

Result<void> Recorder::pause() {
  paused_ = down_ = true;
  return finish_pair();
}

Result<void> Recorder::write(std::string_view bytes, const record::JournalLine& line) {
  if (const int code = pair_->write(bytes, record::to_text(line)); code != 0)
    return failed(pointbook::disk_words(code));
  latest_ = line.arrived;
  syncer_.wrote();
  return {};
}

Result<void> Recorder::bytes(std::string_view bytes, FeedTime arrived) {
  if (auto is_ready = ready(arrived); !is_ready) return is_ready;
  return write(bytes, {pair_->offset() + bytes.size(), arrived, ""});
}

Result<bool> Recorder::corrections(std::string_view bytes, bool lost, FeedTime at) {
  if (down_) return fail("");
  if (!pair_) return false;
  const int code = pair_->write_corrections(bytes, [&](std::uint64_t end) {
    return record::to_text(record::JournalLine{pair_->offset(), at, record::to_line({record::Corrections{end, lost}})});
  });
  if (code != 0) return tl::unexpected(failed(pointbook::disk_words(code)).error());
  latest_ = at;
  syncer_.wrote();
  return true;
}

Result<void> Recorder::command(const std::string& json, FeedTime at) {
  auto done = ready(at);
  if (done) done = write("", {pair_->offset(), at, json});
  if (!done) owe(json, at);
  return done;
}

Result<void> Recorder::event(const std::string& json, FeedTime at) {
  if (down_) return fail("");
  if (!pair_) return {};
  return write("", {pair_->offset(), at, json});
}

void Recorder::when_synced(RecordSyncer::Synced done) {
  if (down_ || !pair_) return done(fail(kSayOfRecord.down()));
  syncer_.want_sync(std::move(done));
}

Result<void> Recorder::close() {
  const auto waiting = syncer_.stop();
  const auto looked = look();
  const auto finished = finish_pair();
  for (const auto& tell : waiting) tell(finished);  // nobody else has it any more
  return looked ? finished : looked;
}

}  // namespace stillpoint::daemon
