#pragma once
/// Reading files that people name: configuration, marks, visits, logs.
///
/// Anybody can name, or put in a file's place, a pipe that nobody writes to or a device that never ends. Only regular
/// files are read, they are opened without waiting, and never more than a bound is taken.
///
/// Threads: plain functions.
/// Errors:  `FileFault`, whose words follow the path in a sentence.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <tl/expected.hpp>

#include "base/result.hpp"

namespace stillpoint {

enum class FileTrouble : std::uint8_t { missing, folder, no_file, too_large, unreadable };

struct FileFault {
  FileTrouble what = FileTrouble::unreadable;
  std::string words;  ///< e.g. "is a folder"; a predicate of the path
};

inline constexpr std::uint64_t kMostTableBytes = std::uint64_t{64} << 20U;   ///< marks, visits, shots
inline constexpr std::uint64_t kMostJournalBytes = std::uint64_t{1} << 30U;  ///< an hour has some megabytes

/// A descriptor for reading, which the caller closes.
tl::expected<int, FileFault> open_plain_file(const std::string& path);

/// Why the file cannot be read; nothing when it can.
std::optional<FileFault> plain_file_fault(const std::string& path);

tl::expected<std::string, FileFault> read_plain_file(const std::string& path, std::uint64_t most_bytes);

/// The same with a whole sentence: "cannot read the visits file day.csv: it is a folder".
Result<std::string> read_named_file(std::string_view what, const std::string& path, std::uint64_t most_bytes);

/// The machine's time zone, as `America/Detroit`; empty: not known.
std::string zone_of_machine();

}  // namespace stillpoint
