#pragma once
/// The small files that the program keeps beside a pointbook: lock, spool, open stay.
///
/// A folder that others may write to can hold a symbolic link or a pipe under such a name, put there to have another
/// file overwritten or to make the program wait. Neither is opened.
///
/// Mode:    new files 0640, as those of the record; the umask may take away more.
/// Threads: plain functions.
/// Errors:  a negative answer is minus errno, as in `disk.hpp`; `-ELOOP` for a link, `-EINVAL` for what is no file.

#include <string>

namespace stillpoint::pointbook {

inline constexpr unsigned kOwnFileMode = 0640;

/// For reading and writing; creates the file when it is not there.
int open_own_file(const std::string& path) noexcept;
/// For reading.
int open_own_file_to_read(const std::string& path) noexcept;
/// A new one, for reading and writing; `-EEXIST` when something has that name.
int create_new_file(const std::string& path) noexcept;

}  // namespace stillpoint::pointbook
