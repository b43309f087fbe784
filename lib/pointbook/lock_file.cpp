#include "pointbook/lock_file.hpp"

#include <sys/file.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>
#include <utility>

#include "pointbook/disk.hpp"
#include "pointbook/own_file.hpp"

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

}  // namespace

Result<LockFile> LockFile::take(const std::string& path, const std::string& guarded) {
  const int fd = open_own_file(path);
  if (fd == -ELOOP || fd == -EINVAL) return fail("cannot lock " + path + ": " + disk_words(fd));
  if (fd < 0) {
    return fail("cannot create " + path + " (" + std::strerror(-fd) +
                "); give this user the right to write in that folder, or choose another file");
  }
  LockFile lock(fd);
  while (::flock(fd, LOCK_EX | LOCK_NB) != 0) {
    if (errno == EINTR) continue;
    if (errno != EWOULDBLOCK) return fail("cannot lock " + path + " (" + std::strerror(errno) + "); use a local disk");
    return fail("another program" + holder_of(fd) + " already writes to " + guarded +
                "; stop it first, or choose another file");
  }
  write_holder(fd);
  return lock;
}

LockFile::LockFile(LockFile&& other) noexcept : fd_(std::exchange(other.fd_, -1)) {}
LockFile& LockFile::operator=(LockFile&& other) noexcept {
  std::swap(fd_, other.fd_);
  return *this;
}
LockFile::~LockFile() {
  if (fd_ >= 0) ::close(fd_);
}

}  // namespace stillpoint::pointbook
