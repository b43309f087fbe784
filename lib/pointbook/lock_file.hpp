#pragma once
/// A lock beside a file: one writer among all programs of this machine. The kernel drops it when the program ends.
///
/// Errors: a sentence that names the other program's process.

#include <string>

#include "base/result.hpp"

namespace stillpoint::pointbook {

class LockFile {
 public:
  /// Creates `path` when it is not there and locks it; the file stays when the lock is dropped. `guarded` is the file
  /// that people know.
  static Result<LockFile> take(const std::string& path, const std::string& guarded);
  LockFile(LockFile&& other) noexcept;
  LockFile& operator=(LockFile&& other) noexcept;
  ~LockFile();

 private:
  explicit LockFile(int fd) noexcept : fd_(fd) {}
  int fd_ = -1;
};

}  // namespace stillpoint::pointbook
