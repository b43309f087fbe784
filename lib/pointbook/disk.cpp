#include "pointbook/disk.hpp"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <filesystem>
#include <system_error>

#include "pointbook/own_file.hpp"
#include "pointbook/sentences.hpp"

namespace stillpoint::pointbook {
namespace {

template <class Answer>
Answer or_errno(Answer answer) {
  return answer < 0 ? static_cast<Answer>(-errno) : answer;
}

int identity_of(const struct stat& about, FileIdentity& out) noexcept {
  out = {about.st_dev, about.st_ino, about.st_nlink};
  return 0;
}

class SystemDisk final : public Disk {
 public:
  int open(const std::string& path) override { return open_own_file(path); }
  int create(const std::string& path) override { return create_new_file(path); }
  void close(int fd) override { ::close(fd); }
  int rename(const std::string& from, const std::string& to) override {
    return or_errno(::rename(from.c_str(), to.c_str()));
  }
  int remove(const std::string& path) override { return or_errno(::unlink(path.c_str())); }
  int lock(int fd) override { return or_errno(::flock(fd, LOCK_EX | LOCK_NB)); }
  std::int64_t size(int fd) override {
    struct stat about {};
    return ::fstat(fd, &about) != 0 ? -errno : std::int64_t{about.st_size};
  }
  int identify(int fd, FileIdentity& out) override {
    struct stat about {};
    return ::fstat(fd, &about) != 0 ? -errno : identity_of(about, out);
  }
  int identify(const std::string& path, FileIdentity& out) override {
    struct stat about {};
    return ::lstat(path.c_str(), &about) != 0 ? -errno : identity_of(about, out);
  }
  std::int64_t read_at(int fd, char* into, std::size_t size, std::uint64_t at) override {
    return or_errno(::pread(fd, into, size, static_cast<off_t>(at)));
  }
  std::int64_t write_at(int fd, const char* from, std::size_t size, std::uint64_t at) override {
    return or_errno(::pwrite(fd, from, size, static_cast<off_t>(at)));
  }
  int truncate(int fd, std::uint64_t size) override { return or_errno(::ftruncate(fd, static_cast<off_t>(size))); }
  int sync_data(int fd) override { return or_errno(::fdatasync(fd)); }
  int sync_folder(const std::string& folder) override {
    const int fd = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd < 0) return -errno;
    const int code = or_errno(::fsync(fd));
    ::close(fd);
    return code == -EINVAL ? 0 : code;  // there are file systems whose folders cannot be synced
  }
};

template <class Call>
auto uninterrupted(Call call) {
  auto answer = call();
  while (answer == -EINTR) answer = call();
  return answer;
}

}  // namespace

Disk& system_disk() noexcept {
  static SystemDisk disk;
  return disk;
}

int write_all(Disk& disk, int fd, std::string_view bytes, std::uint64_t at) {
  while (!bytes.empty()) {
    const std::int64_t n = uninterrupted([&] { return disk.write_at(fd, bytes.data(), bytes.size(), at); });
    if (n < 0) return static_cast<int>(n);
    if (n == 0) return -ENOSPC;  // POSIX does not say so, but going on would turn for ever
    bytes.remove_prefix(static_cast<std::size_t>(n));
    at += static_cast<std::uint64_t>(n);
  }
  return 0;
}

int read_all(Disk& disk, int fd, std::string& bytes) {
  const std::int64_t size = disk.size(fd);
  if (size < 0) return static_cast<int>(size);
  bytes.resize(static_cast<std::size_t>(size));
  std::size_t have = 0;
  while (have < bytes.size()) {
    const std::int64_t n =
        uninterrupted([&] { return disk.read_at(fd, bytes.data() + have, bytes.size() - have, have); });
    if (n < 0) return static_cast<int>(n);
    if (n == 0) break;
    have += static_cast<std::size_t>(n);
  }
  bytes.resize(have);
  return 0;
}

int sync_data(Disk& disk, int fd) {
  return uninterrupted([&] { return disk.sync_data(fd); });
}

int truncate(Disk& disk, int fd, std::uint64_t size) {
  return uninterrupted([&] { return disk.truncate(fd, size); });
}

int look_for(Disk& disk, int fd, const std::string& path) {
  FileIdentity open, named;
  if (const int code = disk.identify(fd, open); code != 0) return code;
  if (open.names == 0) return -ENOENT;
  if (const int code = disk.identify(path, named); code != 0) return code;
  return open.device == named.device && open.file == named.file ? 0 : -ESTALE;
}

int create_anew(Disk& disk, const std::string& path) {
  const int code = remove_if_there(disk, path);
  return code == 0 ? uninterrupted([&] { return disk.create(path); }) : code;
}

int remove_if_there(Disk& disk, const std::string& path) {
  const int code = disk.remove(path);
  return code == -ENOENT ? 0 : code;
}

int replace_file(Disk& disk, const std::string& path, std::string_view bytes) {
  const std::string fresh = path + ".new";
  const int fd = create_anew(disk, fresh);
  if (fd < 0) return fd;
  int code = write_all(disk, fd, bytes, 0);
  if (code == 0) code = sync_data(disk, fd);
  disk.close(fd);
  if (code == 0) code = disk.rename(fresh, path);
  if (code != 0) (void)remove_if_there(disk, fresh);  // what failed is told; this is only in the way
  return code == 0 ? disk.sync_folder(folder_of(path)) : code;
}

std::string folder_of(const std::string& path) {
  const std::string folder = std::filesystem::path(path).parent_path().string();
  return folder.empty() ? "." : folder;
}

std::string real_path(const std::string& path) {
  namespace fs = std::filesystem;
  std::error_code error;
  const fs::path absolute = fs::absolute(path, error);
  if (error) return path;
  const fs::path real = fs::weakly_canonical(absolute, error);
  return error ? absolute.string() : real.string();
}

std::string disk_words(int code) {
  switch (-code) {
    case ENOSPC:
    case EDQUOT:
      return kSay.no_space();
    case EACCES:
    case EPERM:
      return kSay.no_right();
    case EROFS:
      return kSay.read_only();
    case ENOENT:
      return kSay.folder_missing();
    case ELOOP:
      return kSay.symbolic_link();
    case EINVAL:
      return kSay.no_ordinary_file();
    case EMFILE:
    case ENFILE:
      return kSay.too_many_files();
    case EFBIG:
      return kSay.file_too_large();
    case EIO:
      return kSay.disk_failed();
    default:
      return std::generic_category().message(-code);
  }
}

}  // namespace stillpoint::pointbook
