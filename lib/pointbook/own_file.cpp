#include "pointbook/own_file.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>

namespace stillpoint::pointbook {
namespace {

// A pipe without a writer would keep an ordinary open waiting.
int open_file(const std::string& path, int flags) noexcept {
  const int fd = ::open(path.c_str(), flags | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC, kOwnFileMode);
  if (fd < 0) return -errno;
  struct stat about {};
  const int fault = ::fstat(fd, &about) != 0 ? errno : S_ISREG(about.st_mode) ? 0 : EINVAL;
  if (fault == 0) return fd;
  ::close(fd);
  return -fault;
}

}  // namespace

int open_own_file(const std::string& path) noexcept {
  return open_file(path, O_RDWR | O_CREAT);
}

int open_own_file_to_read(const std::string& path) noexcept {
  return open_file(path, O_RDONLY);
}

int create_new_file(const std::string& path) noexcept {
  return open_file(path, O_RDWR | O_CREAT | O_EXCL);
}

}  // namespace stillpoint::pointbook
