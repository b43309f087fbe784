#include "common/file.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cctype>
#include <cerrno>
#include <system_error>

#include "base/plain_file.hpp"
#include "common/sentences.hpp"
#include "pointbook/disk.hpp"

namespace stillpoint::daemon {

void Fd::reset() noexcept {
  if (fd_ >= 0) ::close(fd_);
  fd_ = -1;
}

std::string errno_text(int code) {
  std::string text = std::generic_category().message(code);
  if (!text.empty()) text[0] = static_cast<char>(std::tolower(static_cast<unsigned char>(text[0])));
  return text;
}

std::string folder_of(const std::string& path) {
  const auto slash = path.rfind('/');
  if (slash == std::string::npos) return ".";
  return slash == 0 ? "/" : path.substr(0, slash);
}

Result<void> ensure_folder(const std::string& path, std::string_view what) {
  struct stat info {};
  if (::stat(path.c_str(), &info) != 0) {
    if (errno != ENOENT) return fail(kSay.folder_unreached(what, path, errno_text(errno)));
    if (::mkdir(path.c_str(), 0750) != 0 && errno != EEXIST) {
      return fail(kSay.folder_unmade(what, path, errno_text(errno), folder_of(path)));
    }
    if (::stat(path.c_str(), &info) != 0) return fail(kSay.folder_unreached(what, path, errno_text(errno)));
  }
  if (!S_ISDIR(info.st_mode)) return fail(kSay.no_folder(what, path));
  if (::access(path.c_str(), W_OK | X_OK) != 0) {
    return fail(kSay.folder_unwritable(what, path, errno_text(errno)));
  }
  return {};
}

Result<void> write_all(int fd, std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t n = ::write(fd, bytes.data(), bytes.size());
    if (n < 0 && errno == EINTR) continue;
    if (n < 0) return fail(pointbook::disk_words(-errno));
    bytes.remove_prefix(static_cast<std::size_t>(n));
  }
  return {};
}

Result<std::string> read_file(const std::string& path) {
  auto text = read_plain_file(path, kMostJournalBytes);
  if (text) return std::move(*text);
  return fail(path + " " + text.error().words + ".");
}

Result<std::string> read_all(int fd, const std::string& path) {
  std::string text;
  char buffer[65536];
  for (;;) {
    const ssize_t n = ::read(fd, buffer, sizeof buffer);
    if (n < 0 && errno == EINTR) continue;
    if (n < 0) return fail(kSay.unreadable(path, errno_text(errno)));
    if (n == 0) return text;
    text.append(buffer, static_cast<std::size_t>(n));
  }
}

}  // namespace stillpoint::daemon
