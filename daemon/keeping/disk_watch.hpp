#pragma once
/// How much room is left where the day writes: on the disk of the record and on that of the pointbook, often the same.
///
/// Rule:    full below a reserve of 16 MiB, so that what is open can still be written, until half as much again is
///          free; low below the configured limit, until a tenth more is free. A disk that cannot be asked is as it was.
/// Units:   MiB. Time: none. Threads: one. Errors: none.

#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace stillpoint::daemon {

/// What the system says of the disk of a folder.
struct DiskRoom {
  std::uint64_t device = 0;
  double free_mib = 0.0;
};
std::optional<DiskRoom> disk_room(const std::string& folder);

class DiskWatch {
 public:
  using Ask = std::function<std::optional<DiskRoom>(const std::string& folder)>;
  DiskWatch(std::string record, std::string book, double low_mib, Ask ask = disk_room);

  void look();
  bool record_is_full() const noexcept { return record_.full; }
  bool book_is_full() const noexcept { return book_.full; }
  /// "8 MiB free on the disk of the pointbook"; empty: neither is.
  std::string full_text() const;
  std::string low_text() const;

 private:
  struct Disk {
    std::string folder, whose;
    std::optional<DiskRoom> room{};
    bool full = false, low = false;
  };
  void look(Disk& disk) const;
  std::string text(bool Disk::*state) const;
  bool is_one_disk() const;

  Disk record_, book_;
  double low_mib_;
  Ask ask_;
};

}  // namespace stillpoint::daemon
