#include "keeping/disk_watch.hpp"

#include <sys/stat.h>
#include <sys/statvfs.h>

#include <utility>

#include "base/number.hpp"
#include "keeping/sentences.hpp"

namespace stillpoint::daemon {
namespace {

constexpr double kMib = 1024.0 * 1024.0;
// Kept free for points: with less than this the day stops while all of them can still be written.
constexpr double kReserveMib = 16.0;

}  // namespace

std::optional<DiskRoom> disk_room(const std::string& folder) {
  struct stat about {};
  struct statvfs info {};
  if (::stat(folder.c_str(), &about) != 0 || ::statvfs(folder.c_str(), &info) != 0) return std::nullopt;
  return DiskRoom{about.st_dev, static_cast<double>(info.f_bavail) * static_cast<double>(info.f_frsize) / kMib};
}

DiskWatch::DiskWatch(std::string record, std::string book, double low_mib, Ask ask)
    : record_{std::move(record), kSayOfRecord.the_record()},
      book_{std::move(book), kSayOfRecord.the_book()},
      low_mib_(low_mib),
      ask_(std::move(ask)) {}

void DiskWatch::look() {
  look(record_);
  look(book_);
}

void DiskWatch::look(Disk& disk) const {
  const auto room = ask_(disk.folder);
  if (!room) return;
  disk.room = room;
  disk.full = room->free_mib < kReserveMib * (disk.full ? 1.5 : 1.0);
  disk.low = room->free_mib < low_mib_ * (disk.low ? 1.1 : 1.0);
}

bool DiskWatch::is_one_disk() const {
  return record_.room && book_.room && record_.room->device == book_.room->device;
}

std::string DiskWatch::full_text() const {
  return text(&Disk::full);
}

std::string DiskWatch::low_text() const {
  const std::string which = text(&Disk::low);
  return which.empty() ? which : kSayOfRecord.low(which, fixed(low_mib_, 0));
}

std::string DiskWatch::text(bool Disk::*state) const {
  const auto told = [](const Disk& disk, const std::string& whose) {
    return kSayOfRecord.free_on(fixed(disk.room->free_mib, 0), whose);
  };
  if (is_one_disk()) return record_.*state || book_.*state ? told(record_, kSayOfRecord.the_both()) : "";
  std::string out;
  if (record_.*state) out = told(record_, record_.whose);
  if (book_.*state) out += (out.empty() ? "" : ", ") + told(book_, book_.whose);
  return out;
}

}  // namespace stillpoint::daemon
