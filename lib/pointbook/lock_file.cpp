#include "pointbook/lock_file.hpp"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <system_error>
#include <utility>

#include "pointbook/disk.hpp"
#include "pointbook/own_file.hpp"
#include "pointbook/sentences.hpp"

namespace stillpoint::pointbook {
namespace {

std::string holder_of(int fd) {
  std::array<char, 32> text{};
  const ssize_t size = ::pread(fd, text.data(), text.size() - 1, 0);
  std::string digits;
  for (ssize_t i = 0; i < size && text[static_cast<std::size_t>(i)] >= '0' && text[static_cast<std::size_t>(i)] <= '9';
       ++i) {
    digits.push_back(text[static_cast<std::size_t>(i)]);
  }
  return digits.empty() ? std::string() : " (process " + digits + ")";
}

/// Only a help for people: when the disk is full, the lock counts without it.
void write_holder(int fd) {
  const std::string text = std::to_string(::getpid()) + "\n";
  if (::ftruncate(fd, 0) != 0 || ::pwrite(fd, text.data(), text.size(), 0) < 0) return;
}

std::string held_elsewhere(int fd, const std::string& guarded, std::string_view how) {
  return kSay.written_elsewhere(holder_of(fd), guarded, how);
}

/// 0, EWOULDBLOCK when another has it, or what else is wrong.
int lock_now(int fd) {
  while (::flock(fd, LOCK_EX | LOCK_NB) != 0) {
    if (errno != EINTR) return errno;
  }
  return 0;
}

// Folders in which every user of a machine may make files for locks; the second is used where the first does not exist.
constexpr std::array<const char*, 2> kSharedFolders{"/run/lock", "/tmp"};
constexpr int kMostTries = 20;

/// Anybody may make files there, so a lock file counts only when its owner may write the pointbook anyway: otherwise
/// any user could keep others from opening it.
bool is_trusted(int fd, uid_t owner) {
  struct stat about {};
  if (::fstat(fd, &about) != 0 || !S_ISREG(about.st_mode)) return false;
  return about.st_uid == 0 || about.st_uid == owner || about.st_uid == ::geteuid();
}

/// -1: there can be no lock there.
int open_shared(const std::string& path, uid_t owner) {
  // Without O_CREAT first: in a folder of everybody the kernel refuses it for a file of somebody else.
  int fd = ::open(path.c_str(), O_RDWR | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC);
  if (fd < 0 && errno == EACCES) fd = ::open(path.c_str(), O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC);
  if (fd < 0 && errno == ENOENT) {
    fd = ::open(path.c_str(), O_RDWR | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, kOwnFileMode);
  }
  if (fd < 0 || is_trusted(fd, owner)) return fd;
  ::close(fd);
  return -1;
}

/// False when the file was removed meanwhile: whoever drops such a lock removes its file, and a lock on a removed file
/// locks nothing.
bool is_still_there(int fd, const std::string& path) {
  struct stat here {
  }, named{};
  return ::fstat(fd, &here) == 0 && ::lstat(path.c_str(), &named) == 0 && here.st_ino == named.st_ino &&
         here.st_dev == named.st_dev;
}

}  // namespace

Result<LockFile> LockFile::take(const std::string& path, const std::string& guarded) {
  const int fd = open_own_file(path);
  if (fd == -ELOOP || fd == -EINVAL) return fail(kSay.cannot_lock(path, disk_words(fd)));
  if (fd < 0) {
    return fail(kSay.cannot_create(path, std::generic_category().message(-fd)));
  }
  LockFile lock(fd);
  const int code = lock_now(fd);
  if (code == EWOULDBLOCK) return fail(held_elsewhere(fd, guarded, ""));
  if (code != 0) return fail(kSay.no_local_disk(path, std::generic_category().message(code)));
  write_holder(fd);
  return lock;
}

Result<std::optional<LockFile>> LockFile::take_for_inode(const std::string& guarded) {
  struct stat about {};
  if (::stat(guarded.c_str(), &about) != 0) return std::optional<LockFile>();
  const std::string name = "/stillpoint-" + std::to_string(about.st_dev) + "-" + std::to_string(about.st_ino) + ".lock";
  for (const char* folder : kSharedFolders) {
    const std::string path = folder + name;
    for (int tries = 0; tries < kMostTries; ++tries) {
      const int fd = open_shared(path, about.st_uid);
      if (fd < 0) break;
      LockFile lock(fd);
      const int code = lock_now(fd);
      if (code == EWOULDBLOCK) return fail(held_elsewhere(fd, guarded, kSay.by_other_name()));
      if (code != 0) break;
      if (!is_still_there(fd, path)) continue;
      write_holder(fd);
      lock.passing_ = path;
      return std::optional<LockFile>(std::move(lock));
    }
  }
  return std::optional<LockFile>();
}

LockFile::LockFile(LockFile&& other) noexcept
    : fd_(std::exchange(other.fd_, -1)), passing_(std::exchange(other.passing_, {})) {}
LockFile& LockFile::operator=(LockFile&& other) noexcept {
  std::swap(fd_, other.fd_);
  std::swap(passing_, other.passing_);
  return *this;
}
LockFile::~LockFile() {
  if (!passing_.empty()) ::unlink(passing_.c_str());
  if (fd_ >= 0) ::close(fd_);
}

}  // namespace stillpoint::pointbook
