#pragma once
// A disk on which one kind of call fails, once or from then on, with the errno that is asked for.

#include <atomic>
#include <cerrno>
#include <string>

#include "pointbook/passing_disk.hpp"

namespace stillpoint::samples {

enum class Call { open, create, rename, remove, write, truncate, sync_data, sync_folder };

struct Fault {
  const char* name;
  Call call;
  int error;
};

// Each call with what the system may answer; EINTR is tried again and never seen.
inline constexpr Fault kFaults[] = {
    {"open: no rights", Call::open, EACCES},
    {"open: too many files", Call::open, EMFILE},
    {"create: no rights", Call::create, EACCES},
    {"create: read-only", Call::create, EROFS},
    {"create: no space", Call::create, ENOSPC},
    {"create: no quota", Call::create, EDQUOT},
    {"create: too many files", Call::create, EMFILE},
    {"rename: broken disk", Call::rename, EIO},
    {"rename: no space", Call::rename, ENOSPC},
    {"rename: read-only", Call::rename, EROFS},
    {"remove: broken disk", Call::remove, EIO},
    {"remove: read-only", Call::remove, EROFS},
    {"write: broken disk", Call::write, EIO},
    {"write: no space", Call::write, ENOSPC},
    {"write: no quota", Call::write, EDQUOT},
    {"write: file too large", Call::write, EFBIG},
    {"write: interrupted", Call::write, EINTR},
    {"truncate: broken disk", Call::truncate, EIO},
    {"truncate: read-only", Call::truncate, EROFS},
    {"truncate: interrupted", Call::truncate, EINTR},
    {"sync: broken disk", Call::sync_data, EIO},
    {"sync: no space", Call::sync_data, ENOSPC},
    {"sync: no quota", Call::sync_data, EDQUOT},
    {"sync: interrupted", Call::sync_data, EINTR},
    {"names not synced: broken disk", Call::sync_folder, EIO},
    {"names not synced: no space", Call::sync_folder, ENOSPC},
};

class FaultyDisk final : public PassingDisk {
 public:
  using PassingDisk::PassingDisk;

  /// From the call of this kind with this number on, counted from 1; 0: never.
  void fail(const Fault& fault, std::uint64_t from, bool once) {
    fault_ = fault;
    from_ = from;
    once_ = once || fault.error == EINTR;
    calls_ = hits_ = 0;
  }
  void heal() { from_ = 0; }
  /// How often it failed.
  std::uint64_t hits() const { return hits_; }

  int open(const std::string& path) override { return fails(Call::open) ? error() : PassingDisk::open(path); }
  int create(const std::string& path) override { return fails(Call::create) ? error() : PassingDisk::create(path); }
  int rename(const std::string& from, const std::string& to) override {
    return fails(Call::rename) ? error() : PassingDisk::rename(from, to);
  }
  int remove(const std::string& path) override { return fails(Call::remove) ? error() : PassingDisk::remove(path); }
  /// What fails writes a part first, as a full disk does.
  std::int64_t write_at(int fd, const char* from, std::size_t size, std::uint64_t at) override {
    if (!fails(Call::write)) return PassingDisk::write_at(fd, from, size, at);
    if (size > 1 && error() != -EINTR) (void)PassingDisk::write_at(fd, from, size / 2, at);
    return error();
  }
  int truncate(int fd, std::uint64_t size) override {
    return fails(Call::truncate) ? error() : PassingDisk::truncate(fd, size);
  }
  int sync_data(int fd) override { return fails(Call::sync_data) ? error() : PassingDisk::sync_data(fd); }
  int sync_folder(const std::string& folder) override {
    return fails(Call::sync_folder) ? error() : PassingDisk::sync_folder(folder);
  }

 private:
  bool fails(Call call) {
    if (call != fault_.call || from_ == 0) return false;
    const std::uint64_t number = ++calls_;
    const bool does = once_ ? number == from_ : number >= from_;
    if (does) ++hits_;
    return does;
  }
  int error() const { return -fault_.error; }

  Fault fault_{};
  std::atomic<std::uint64_t> from_ = 0, calls_ = 0, hits_ = 0;
  bool once_ = false;
};

}  // namespace stillpoint::samples
