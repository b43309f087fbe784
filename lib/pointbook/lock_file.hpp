#pragma once
/// A lock beside a file: one writer among all programs of this machine. The kernel drops it when the program ends.
///
/// A file can have several names (hard links), and each has a lock of its own beside it: so there is one more lock for
/// the file itself, by its device and inode. It lies apart, for SQLite loses its locks when any descriptor of the
/// pointbook is closed.
///
/// Errors: a sentence that names the other program's process.

#include <optional>
#include <string>

#include "base/result.hpp"

namespace stillpoint::pointbook {

class LockFile {
 public:
  /// Creates `path` when it is not there and locks it; the file stays when the lock is dropped. `guarded` is the file
  /// that people know.
  static Result<LockFile> take(const std::string& path, const std::string& guarded);
  /// For the file behind the name, which must be there. Nothing where this machine has no place for such locks.
  static Result<std::optional<LockFile>> take_for_inode(const std::string& guarded);
  LockFile(LockFile&& other) noexcept;
  LockFile& operator=(LockFile&& other) noexcept;
  ~LockFile();

 private:
  explicit LockFile(int fd) noexcept : fd_(fd) {}
  int fd_ = -1;
  std::string passing_;  ///< the lock's own file, when it is removed with the lock
};

}  // namespace stillpoint::pointbook
