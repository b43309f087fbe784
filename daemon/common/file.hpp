#pragma once
/// A file descriptor that closes itself, and the few folder and writing steps the daemon needs.
///
/// Errors:  sentences that name the path and say what to do.
/// Threads: plain values.

#include <string>
#include <string_view>
#include <utility>

#include "base/result.hpp"

namespace stillpoint::daemon {

class Fd {
 public:
  Fd() = default;
  explicit Fd(int fd) noexcept : fd_(fd) {}
  Fd(Fd&& other) noexcept : fd_(std::exchange(other.fd_, -1)) {}
  Fd& operator=(Fd&& other) noexcept {
    if (this != &other) {
      reset();
      fd_ = std::exchange(other.fd_, -1);
    }
    return *this;
  }
  ~Fd() { reset(); }
  int get() const noexcept { return fd_; }
  int release() noexcept { return std::exchange(fd_, -1); }
  explicit operator bool() const noexcept { return fd_ >= 0; }
  void reset() noexcept;

 private:
  int fd_ = -1;
};

/// The system's words for an errno value, in lower case, e.g. "permission denied".
std::string errno_text(int code);

/// Makes the folder (0750) when only its last part is missing; checks that files can be made in it.
Result<void> ensure_folder(const std::string& path, std::string_view what);

std::string folder_of(const std::string& path);

/// Writes all bytes, or says why not and what helps.
Result<void> write_all(int fd, std::string_view bytes);

/// From where the descriptor stands to the end; the path is for the sentence.
Result<std::string> read_all(int fd, const std::string& path);
Result<std::string> read_file(const std::string& path);

}  // namespace stillpoint::daemon
