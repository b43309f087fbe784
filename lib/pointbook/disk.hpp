#pragma once
/// The few file operations that durability rests on, behind one interface: tests stop them, cut them short and forget
/// what was not synced.
///
/// Errors: as the system has them: a negative answer is minus errno.

#include <cstdint>
#include <string>
#include <string_view>

#include "base/result.hpp"

namespace stillpoint::pointbook {

/// Which file it is, and how many names it has.
struct FileIdentity {
  std::uint64_t device = 0, file = 0, names = 0;
};

class Disk {
 public:
  virtual ~Disk() = default;
  /// For reading and writing; creates the file when it is not there.
  virtual int open(const std::string& path) = 0;
  /// A new file, for reading and writing; `-EEXIST` when there is one of that name.
  virtual int create(const std::string& path) = 0;
  virtual void close(int fd) = 0;
  virtual int rename(const std::string& from, const std::string& to) = 0;
  virtual int remove(const std::string& path) = 0;
  /// One writer only; never waits.
  virtual int lock(int fd) = 0;
  virtual std::int64_t size(int fd) = 0;
  /// Asks the system about the file without opening it: closing any descriptor of a file drops the locks that others
  /// hold on it.
  virtual int identify(int fd, FileIdentity& out) = 0;
  virtual int identify(const std::string& path, FileIdentity& out) = 0;
  /// Both may do less than asked, and may be interrupted.
  virtual std::int64_t read_at(int fd, char* into, std::size_t size, std::uint64_t at) = 0;
  virtual std::int64_t write_at(int fd, const char* from, std::size_t size, std::uint64_t at) = 0;
  virtual int truncate(int fd, std::uint64_t size) = 0;
  virtual int sync_data(int fd) = 0;
  /// Makes the names in a folder durable.
  virtual int sync_folder(const std::string& folder) = 0;
};

/// The machine's own.
Disk& system_disk() noexcept;

// The same, whole: interruptions are tried again and short reads and writes go on. Zero, or minus errno.
int write_all(Disk& disk, int fd, std::string_view bytes, std::uint64_t at);
int read_all(Disk& disk, int fd, std::string& bytes);
int sync_data(Disk& disk, int fd);
int truncate(Disk& disk, int fd, std::uint64_t size);
/// Zero when the open file still has this name; `-ENOENT` when it was deleted or the name is gone, `-ESTALE` when
/// another file has it.
int look_for(Disk& disk, int fd, const std::string& path);
/// An empty file in place of whatever has that name.
int create_anew(Disk& disk, const std::string& path);
/// As `remove`; what is not there is removed.
int remove_if_there(Disk& disk, const std::string& path);
/// The whole content of a file, made under another name and synced before it takes the name: what is there is the old
/// or the new one.
int replace_file(Disk& disk, const std::string& path, std::string_view bytes);

std::string folder_of(const std::string& path);
/// The file behind every link, so that two names of one pointbook have one lock and one spool. The file itself need not
/// exist. As given, when the system cannot tell.
std::string real_path(const std::string& path);

/// "no space is left on the disk" …: what minus errno means, without the end of the sentence.
std::string disk_words(int code);

}  // namespace stillpoint::pointbook
