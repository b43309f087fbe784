#include "base/plain_file.hpp"
#include "base/sentences.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <system_error>
#include <utility>

namespace stillpoint {
namespace {

constexpr std::size_t kPieceBytes = 1U << 16U;

tl::unexpected<FileFault> fault(FileTrouble what, std::string words) {
  return tl::unexpected<FileFault>(FileFault{what, std::move(words)});
}

tl::unexpected<FileFault> fault_of(int code) {
  if (code == ENOENT || code == ENOTDIR) return fault(FileTrouble::missing, kSayOfBase.missing());
  // A socket, or a device without anything behind it.
  if (code == ENXIO || code == ENODEV) return fault(FileTrouble::no_file, kSayOfBase.is_device());
  return fault(FileTrouble::unreadable, kSayOfBase.not_opened(std::generic_category().message(code)));
}

class Closing {
 public:
  explicit Closing(int fd) noexcept : fd_(fd) {}
  Closing(const Closing&) = delete;
  Closing& operator=(const Closing&) = delete;
  ~Closing() { ::close(fd_); }

 private:
  int fd_;
};

std::string in_mebibytes(std::uint64_t bytes) {
  return std::to_string(bytes >> 20U) + " MiB";
}

}  // namespace

tl::expected<int, FileFault> open_plain_file(const std::string& path) {
  // Opening a terminal or a modem may hang, or make it this process's terminal; opening a pipe waits for a writer.
  const int fd = ::open(path.c_str(), O_RDONLY | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);
  if (fd < 0) return fault_of(errno);
  struct stat about {};
  const int code = ::fstat(fd, &about) != 0 ? errno : 0;
  if (code == 0 && S_ISREG(about.st_mode)) return fd;
  ::close(fd);
  if (code != 0) return fault_of(code);
  if (S_ISDIR(about.st_mode)) return fault(FileTrouble::folder, "is a folder");
  return fault(FileTrouble::no_file, kSayOfBase.is_pipe());
}

std::optional<FileFault> plain_file_fault(const std::string& path) {
  const auto fd = open_plain_file(path);
  if (!fd) return fd.error();
  ::close(*fd);
  return std::nullopt;
}

tl::expected<std::string, FileFault> read_plain_file(const std::string& path, std::uint64_t most_bytes) {
  const auto fd = open_plain_file(path);
  if (!fd) return tl::unexpected(fd.error());
  const Closing closing(*fd);
  std::string text;
  for (;;) {
    const std::size_t before = text.size();
    // One byte more than is allowed tells that there is more.
    const auto room = static_cast<std::size_t>(std::min<std::uint64_t>(kPieceBytes, most_bytes + 1 - before));
    text.resize(before + room);
    const ssize_t got = ::read(*fd, text.data() + before, room);
    if (got < 0 && errno != EINTR) {
      return fault(FileTrouble::unreadable, kSayOfBase.not_read(std::generic_category().message(errno)));
    }
    text.resize(before + static_cast<std::size_t>(std::max<ssize_t>(got, 0)));
    if (got == 0) return text;
    if (text.size() > most_bytes) return fault(FileTrouble::too_large, kSayOfBase.too_large(in_mebibytes(most_bytes)));
  }
}

Result<std::string> read_named_file(std::string_view what, const std::string& path, std::uint64_t most_bytes) {
  auto text = read_plain_file(path, most_bytes);
  if (text) return std::move(*text);
  return fail(kSayOfBase.cannot_read_file(what, path, text.error().words));
}

std::string zone_of_machine() {
  constexpr std::string_view kFolder = "/zoneinfo/";
  std::array<char, 256> link{};
  const ssize_t size = ::readlink("/etc/localtime", link.data(), link.size());
  const std::string_view path(link.data(), size > 0 ? static_cast<std::size_t>(size) : 0);
  const std::size_t at = path.find(kFolder);
  return at == std::string_view::npos ? std::string() : std::string(path.substr(at + kFolder.size()));
}

}  // namespace stillpoint
