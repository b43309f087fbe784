#pragma once
/// The two files of the record that are being written: the bytes and their journal. A third one, for corrections on
/// their way to the receiver, is made with the first of them.
///
/// Order:   bytes, then their line. Synced are first the names, then the journal, then the bytes: a burst that comes
///          between the two is then in the bytes and not in the journal, which never says more than the bytes have.
/// Threads: one writes; `sync` may be called from another at the same time.
/// Errors:  zero or minus errno. After a failed write `take_back` leaves in the files what was written whole.

#include <atomic>
#include <memory>
#include <string>
#include <string_view>

#include "base/identity.hpp"
#include "base/result.hpp"
#include "keeping/checksum_file.hpp"
#include "pointbook/disk.hpp"

namespace stillpoint::daemon {

class RecordPair {
 public:
  /// New files with the next free number behind `start`, the journal with its head; when it fails there is no file.
  static Result<std::shared_ptr<RecordPair>> create(pointbook::Disk& disk, const std::string& start,
                                                    std::string_view head);
  ~RecordPair();
  RecordPair(const RecordPair&) = delete;
  RecordPair& operator=(const RecordPair&) = delete;

  /// Both or neither: the bytes, and the line that says when they came.
  int write(std::string_view bytes, std::string_view line);
  /// The same for corrections. `line` is made with where they end in their file.
  template <class Line>
  int write_corrections(std::string_view bytes, const Line& line) {
    if (const int code = create_rtcm(); code != 0) return code;
    return write(rtcm_, bytes, line(rtcm_.size + bytes.size()));
  }
  int take_back();
  int sync();
  /// Zero when both files still have their names; see `pointbook::look_for`.
  int look() const;

  const std::string& stem() const noexcept { return stem_; }
  std::uint64_t offset() const noexcept { return nmea_.size; }
  PairSums sums() const {
    return {stem_, nmea_.sum.hex(), journal_.sum.hex(), rtcm_.fd >= 0 ? rtcm_.sum.hex() : std::string()};
  }

 private:
  struct File {
    int fd = -1;
    std::uint64_t size = 0;  ///< written whole, and entered
    Sha256 sum{};
  };
  RecordPair(pointbook::Disk& disk, std::string stem) : disk_(disk), stem_(std::move(stem)) {}
  int create_files();
  int remove_files();
  int create_rtcm();
  int write(File& file, std::string_view bytes, std::string_view line);
  static void enter(File& file, std::string_view bytes);

  pointbook::Disk& disk_;
  std::string stem_;
  File nmea_, journal_, rtcm_;
  std::atomic<int> rtcm_to_sync_ = -1;             ///< its descriptor, for the thread that syncs
  std::atomic<int> names_ = 1, names_synced_ = 0;  ///< how often files were made
};

}  // namespace stillpoint::daemon
