#pragma once
/// The untouched bytes of the day and the journal beside them: enough to compute the same points again.
///
/// Files:   `<UTC start>-NN.nmea` and `.journal` in the record folder, a new pair with every hour of UTC.
///          When a pair is closed, a third file `.sha256` is written beside it (SHA-256, two spaces, name; a line for
///          each). Pairs that a crash left without one get theirs at the next start.
/// Order:   bytes are written before they are parsed. Each read is one journal line.
/// Replay rule, for whoever recomputes. Start with time = head.steady of the first file; then for each journal line, in
///          order, `at` being its arrival time and the bytes those between the offset of the line before and its own:
///            bytes                         session.push(bytes, at)         (push itself runs the ticks up to `at`)
///            a command or event            session.advance(at); then session::apply, which daemon and reduction share;
///                                          record/command.hpp has the words of its line
///            {"event":"started"}           a new run of the daemon begins: a new session; an occupation that the run
///                                          before left open (it did not stop in good order) ended with its last line
///            {"event":"stopped"}           session.advance(at); the daemon stopped in good order here: an open
///                                          occupation was kept as held (as at the end of the stream)
///            {"event":"clock"}             what the computer's clock said at this time; where a run has none, what the
///                                          head says if it is `by clock`
///          `close_day` does nothing to a session: only readers of points look at it. Nor does the uuid in a `keep`: it
///          says what must be in the pointbook or its spool from then on; `safe` says that it is there.
///          Only what the session got is written, and the session gets only what was written. While the record cannot
///          be written nothing is judged: the pair after the gap begins with the commands whose lines failed and the
///          cut that the session got, at their own times, and then says in what state the feed is. Only commands that
///          were carried out are written. `utc` in a command is that of the newest epoch when it was given; `visit` is
///          the visit number it got. Offsets start again at 0 in each file; the stream goes on.
/// Time:    arrival, in milliseconds as the feed stamped it; the head ties it to UTC.
/// Threads: calls on the I/O thread. Writes go to the system at once; a helper thread that does nothing else syncs them
///          every second, so that a slow disk never delays the stream.
/// Errors:  a failed write takes back what it left in the files, and the record is down until `try_again` has begun a
///          new pair; so it is after a sync that failed, since what the system has then thrown away nobody knows.
///          `pause` takes it down in good order. A checksum file that cannot be written is tried again with the next
///          pair.

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"
#include "common/times.hpp"
#include "keeping/record_clock.hpp"
#include "keeping/record_list.hpp"
#include "keeping/record_pair.hpp"
#include "keeping/record_syncer.hpp"
#include "pointbook/disk.hpp"
#include "record/journal.hpp"

namespace stillpoint::daemon {

class Recorder {
 public:
  Recorder(std::string folder, RecordClock::Anchor anchor, pointbook::Disk& disk = pointbook::system_disk());
  ~Recorder();
  Recorder(const Recorder&) = delete;
  Recorder& operator=(const Recorder&) = delete;

  /// Bytes just read, and their journal line.
  Result<void> bytes(std::string_view bytes, FeedTime arrived);
  /// Bytes on their way to the receiver, and their line; `lost`: its link did not take them. Before the first byte of
  /// the receiver there is no pair, and they are passed over: false.
  Result<bool> corrections(std::string_view bytes, bool lost, FeedTime at);
  /// A pair to write to, so that a command that is carried out now will be in it.
  Result<void> ready(FeedTime at);
  /// A command that was carried out, as one line of JSON. When it fails, the line is owed.
  Result<void> command(const std::string& json, FeedTime at);
  /// An event of the feed or the daemon. Before the first byte or command there is nothing it could say about them, and
  /// it begins no file.
  Result<void> event(const std::string& json, FeedTime at);
  /// `done`, on the helper thread, as soon as all that was written so far is synced, or why it is not. At once, on this
  /// thread, when there is nothing to sync.
  void when_synced(RecordSyncer::Synced done);
  /// Closes the pair in good order, as at the full hour, so that all of the record so far has its checksums.
  Result<void> seal(FeedTime at);
  /// What is told of its pairs.
  RecordList& list() noexcept { return list_; }
  /// Syncs and closes.
  Result<void> close();
  /// Says what the helper thread found, a sync that failed, and each second whether the files still are where they were
  /// made: else what comes goes nowhere, and a new pair is begun. To be called again and again.
  Result<void> look();
  /// Nothing can be written now; every call above fails without trying.
  bool is_down() const noexcept { return down_; }
  /// While it is down: a line that the next pair begins with.
  void owe(const std::string& json, FeedTime at) { owed_.push_back({0, at, json}); }
  /// Begins a new pair with what is owed; at most every few seconds, unless `now`; an empty error when it was not
  /// tried.
  Result<void> try_again(FeedTime at, bool now = false);
  /// Closes the pair in good order and takes the record down: the disk is full.
  Result<void> pause();
  void resume() { paused_ = false; }

  const RecordClock& clock() const noexcept { return clock_; }
  /// See `RecordClock::was_set`; nothing while the record is down.
  std::optional<UtcTime> clock_was_set(FeedTime at) { return down_ ? std::nullopt : clock_.was_set(at); }

  /// The pair being written, without the ending; empty before the first byte.
  const std::string& current() const noexcept { return stem_; }

 private:
  Result<void> open_pair(FeedTime at);
  /// Ends the pair, if there is one, and begins the next.
  Result<void> next_pair(FeedTime at);
  Result<void> write(std::string_view bytes, const record::JournalLine& line);
  Result<void> failed(const std::string& why);
  Result<void> finish_pair();
  std::string head_text(FeedTime first);
  Result<void> look_for_files();

  std::string folder_;
  RecordClock clock_;
  RecordList list_;
  std::string stem_;
  FeedTime latest_;  ///< of the newest line
  pointbook::Disk& disk_;
  std::shared_ptr<RecordPair> pair_;
  MachineTime tried_;   ///< when writing failed last
  MachineTime looked_;  ///< for the files
  bool down_ = false;
  bool paused_ = false;
  std::vector<record::JournalLine> owed_;
  std::vector<PairSums> broken_off_;  ///< pairs that want a checksum file once another is written
  RecordSyncer syncer_;
};

}  // namespace stillpoint::daemon
