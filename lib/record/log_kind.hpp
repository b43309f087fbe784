#pragma once
/// What a file is that cannot be read as a log, so that people hear that and not only that nothing was found in it.
///
/// Threads: plain functions. Errors: none.
/// Source:  first bytes of gzip from RFC 1952, zip from the PKWARE application note, xz and Zstandard from their format
///          descriptions (RFC 8878), bzip2 and the byte order marks (Unicode, chapter 23.8) from memory.

#include <optional>
#include <string>
#include <string_view>

#include "nmea/framer.hpp"

namespace stillpoint::record {

/// So many first bytes are enough for `why_no_log`.
inline constexpr std::size_t kLogHead = 8;

/// What the file is, by its first bytes, and what to do: "is compressed (gzip); unpack it first". Nothing: it may be a
/// log.
std::optional<std::string> why_no_log(std::string_view head);

/// Why not one sentence came out of bytes that were read to their end; for counters without a valid sentence.
std::string why_no_sentence(const nmea::Counters& counters);

}  // namespace stillpoint::record
