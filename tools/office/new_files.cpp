#include "new_files.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <filesystem>
#include <system_error>

#include "delivery_sentences.hpp"

namespace stillpoint::office {
namespace {

namespace fs = std::filesystem;

std::string words_of(int code) {
  return std::generic_category().message(code);
}

bool is_there(const std::string& path) {
  struct stat info {};
  return ::lstat(path.c_str(), &info) == 0;
}

/// Zero, or the error. Disks of cameras and sticks cannot do it in one step: there a name is looked for first.
int rename_to_free_name(const std::string& from, const std::string& to) {
  if (::renameat2(AT_FDCWD, from.c_str(), AT_FDCWD, to.c_str(), RENAME_NOREPLACE) == 0) return 0;
  if (errno != EINVAL && errno != ENOSYS) return errno;
  if (is_there(to)) return EEXIST;
  return ::rename(from.c_str(), to.c_str()) == 0 ? 0 : errno;
}

}  // namespace

int write_all(int fd, std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t n = ::write(fd, bytes.data(), bytes.size());
    if (n < 0 && errno != EINTR) return errno;
    if (n > 0) bytes.remove_prefix(static_cast<std::size_t>(n));
  }
  return 0;
}

std::string write_new_file(const std::string& path, std::string_view bytes) {
  const int fd = ::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0644);
  if (fd < 0) return words_of(errno);
  int failed = write_all(fd, bytes);
  if (failed == 0 && ::fsync(fd) != 0) failed = errno;
  if (::close(fd) != 0 && failed == 0) failed = errno;
  return failed == 0 ? std::string() : words_of(failed);
}

bool sync_path(const std::string& path) {
  const int fd = ::open(path.c_str(), O_RDONLY | O_NOFOLLOW | O_CLOEXEC);
  if (fd < 0) return false;
  const bool done = ::fsync(fd) == 0;
  ::close(fd);
  return done;
}

Result<NewFiles> NewFiles::open(const std::string& folder) {
  std::error_code error;
  const fs::path whole = fs::absolute(folder, error);
  const bool made = !fs::exists(whole, error);
  fs::create_directories(whole, error);
  if (!fs::is_directory(whole)) {
    return fail(kSayOfDelivery.cannot_make_folder(folder, error ? error.message() : words_of(ENOTDIR)));
  }
  std::string workshop = (whole / ".stillpoint-XXXXXX").string();
  if (::mkdtemp(workshop.data()) == nullptr) return fail(kSayOfDelivery.cannot_write(folder, words_of(errno)));
  return NewFiles(whole.string(), std::move(workshop), made);
}

NewFiles::NewFiles(NewFiles&& other) noexcept
    : folder_(std::move(other.folder_)),
      workshop_(std::exchange(other.workshop_, {})),
      made_folder_(std::exchange(other.made_folder_, false)) {}

NewFiles::~NewFiles() {
  std::error_code none;
  if (!workshop_.empty()) fs::remove_all(workshop_, none);
  if (made_folder_) fs::remove(folder_, none);  // only where nothing was put into it
}

Result<void> NewFiles::write(const std::string& name, std::string_view bytes) const {
  const std::string why = write_new_file(path(name), bytes);
  if (!why.empty()) return fail(kSayOfDelivery.cannot_write(name, why));
  return {};
}

std::string NewFiles::taken(const std::vector<std::string>& names) const {
  for (const std::string& name : names) {
    if (is_there(folder_ + '/' + name)) return name;
  }
  return {};
}

Result<void> NewFiles::publish(const std::vector<std::string>& names) {
  for (const std::string& name : names) {
    if (!sync_path(path(name))) return fail(kSayOfDelivery.cannot_write(name, words_of(errno)));
  }
  for (std::size_t i = 0; i < names.size(); ++i) {
    const int failed = rename_to_free_name(path(names[i]), folder_ + '/' + names[i]);
    if (failed == 0) continue;
    for (std::size_t back = 0; back < i; ++back)
      ::rename((folder_ + '/' + names[back]).c_str(), path(names[back]).c_str());
    if (failed == EEXIST) return fail(kSayOfDelivery.exists_already(folder_ + '/' + names[i], names[i]));
    return fail(kSayOfDelivery.cannot_write(names[i], words_of(failed)));
  }
  sync_path(folder_);
  return {};
}

Result<void> NewFiles::publish_as(const std::string& made, const std::string& name) {
  if (!sync_path(path(made))) return fail(kSayOfDelivery.cannot_write(name, words_of(errno)));
  const int failed = rename_to_free_name(path(made), folder_ + '/' + name);
  if (failed == EEXIST) return fail(kSayOfDelivery.exists_already(folder_ + '/' + name, name));
  if (failed != 0) return fail(kSayOfDelivery.cannot_write(name, words_of(failed)));
  sync_path(folder_);
  return {};
}

Result<void> NewFiles::publish_whole(const std::string& name) {
  // Others may look into it: the workshop was for its maker alone.
  if (::chmod(workshop_.c_str(), 0755) != 0) return fail(kSayOfDelivery.cannot_write(name, words_of(errno)));
  const int failed = rename_to_free_name(workshop_, folder_ + '/' + name);
  if (failed == EEXIST || failed == ENOTEMPTY) return fail(kSayOfDelivery.exists_already(folder_ + '/' + name, name));
  if (failed != 0) return fail(kSayOfDelivery.cannot_write(name, words_of(failed)));
  workshop_.clear();
  sync_path(folder_);
  return {};
}

}  // namespace stillpoint::office
