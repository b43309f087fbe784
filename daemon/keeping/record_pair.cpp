#include "keeping/record_pair.hpp"

#include <cerrno>

#include "common/file.hpp"
#include "keeping/sentences.hpp"

namespace stillpoint::daemon {
namespace {

constexpr int kMostPairsASecond = 99;

}  // namespace

Result<std::shared_ptr<RecordPair>> RecordPair::create(pointbook::Disk& disk, const std::string& start,
                                                       std::string_view head) {
  for (int n = 1; n <= kMostPairsASecond; ++n) {
    const std::shared_ptr<RecordPair> pair(
        new RecordPair(disk, start + (n < 10 ? "-0" : "-") + std::to_string(n)));  // the constructor is private
    const int code = pair->create_files();
    if (code == -EEXIST) continue;
    // A pair without its head would spoil the reading of the whole day: it is taken away again.
    const int written = code == 0 ? pair->write("", head) : code;
    if (written == 0) return pair;
    const int left = pair->remove_files();
    const std::string why = pointbook::disk_words(written);
    return fail(left == 0 ? why : kSayOfRecord.left_over(why, pair->stem_));
  }
  return fail(errno_text(EEXIST));
}

RecordPair::~RecordPair() {
  for (const File* file : {&nmea_, &journal_, &rtcm_}) {
    if (file->fd >= 0) disk_.close(file->fd);
  }
}

int RecordPair::create_files() {
  nmea_.fd = disk_.create(stem_ + ".nmea");
  if (nmea_.fd < 0) return nmea_.fd;
  journal_.fd = disk_.create(stem_ + ".journal");
  if (journal_.fd == -EEXIST) (void)disk_.remove(stem_ + ".nmea");  // a journal without bytes keeps its number
  return journal_.fd < 0 ? journal_.fd : 0;
}

/// Only what was made here.
int RecordPair::remove_files() {
  const int nmea = nmea_.fd >= 0 ? pointbook::remove_if_there(disk_, stem_ + ".nmea") : 0;
  const int journal = journal_.fd >= 0 ? pointbook::remove_if_there(disk_, stem_ + ".journal") : 0;
  return nmea != 0 ? nmea : journal;
}

void RecordPair::enter(File& file, std::string_view bytes) {
  file.sum.add(bytes);
  file.size += bytes.size();
}

int RecordPair::create_rtcm() {
  if (rtcm_.fd >= 0) return 0;
  rtcm_.fd = disk_.create(stem_ + ".rtcm");
  if (rtcm_.fd < 0) return rtcm_.fd;
  rtcm_to_sync_ = rtcm_.fd;
  ++names_;
  return 0;
}

int RecordPair::write(std::string_view bytes, std::string_view line) {
  return write(nmea_, bytes, line);
}

int RecordPair::write(File& file, std::string_view bytes, std::string_view line) {
  int code = bytes.empty() ? 0 : pointbook::write_all(disk_, file.fd, bytes, file.size);
  if (code == 0) code = pointbook::write_all(disk_, journal_.fd, line, journal_.size);
  if (code != 0) return code;
  enter(file, bytes);
  enter(journal_, line);
  return 0;
}

int RecordPair::take_back() {
  const int nmea = pointbook::truncate(disk_, nmea_.fd, nmea_.size);
  const int journal = pointbook::truncate(disk_, journal_.fd, journal_.size);
  const int rtcm = rtcm_.fd >= 0 ? pointbook::truncate(disk_, rtcm_.fd, rtcm_.size) : 0;
  return nmea != 0 ? nmea : journal != 0 ? journal : rtcm;
}

int RecordPair::look() const {
  int code = pointbook::look_for(disk_, nmea_.fd, stem_ + ".nmea");
  if (code == 0) code = pointbook::look_for(disk_, journal_.fd, stem_ + ".journal");
  return code == 0 && rtcm_.fd >= 0 ? pointbook::look_for(disk_, rtcm_.fd, stem_ + ".rtcm") : code;
}

int RecordPair::sync() {
  const int names = names_;  // a file that is made meanwhile waits for the next sync
  int code = names_synced_ == names ? 0 : disk_.sync_folder(folder_of(stem_));
  if (code == 0) names_synced_ = names;
  if (code == 0) code = pointbook::sync_data(disk_, journal_.fd);
  if (code == 0) code = pointbook::sync_data(disk_, nmea_.fd);
  if (const int rtcm = rtcm_to_sync_; code == 0 && rtcm >= 0) code = pointbook::sync_data(disk_, rtcm);
  return code;
}

}  // namespace stillpoint::daemon
