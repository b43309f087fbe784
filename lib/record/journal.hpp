#pragma once
/// The journal beside a raw log: when which bytes arrived, and which commands were given between them.
///
/// Text lines, LF, UTF-8:
///   stillpoint-journal 1 utc 2026-06-03T14:00:00.000Z steady 0 by clock
///   <offset> <arrival_ms>                 bytes up to this offset of the .nmea file had arrived at this steady time
///   <offset> <arrival_ms> <one-line JSON> a command given at this time, after the bytes up to this offset
/// Corrections that came lie in the .rtcm file beside it; a line with their end there says when.
/// `by clock`: arrival was stamped by the machine; `by log`: a replay's own time. Offsets and times never go backwards.
///
/// Units: bytes, milliseconds. Threads: pure.
/// Errors:  a sentence with file line. What a loss of power leaves is none: a last line without its end, or zeros where
///          lines should be. The journal is then read to there, and `cut` says so.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"
#include "base/time.hpp"

namespace stillpoint::record {

struct JournalHead {
  UtcTime utc;  ///< what the clock said when `steady` was stamped
  SteadyTime steady;
  bool by_clock = true;
};

struct JournalLine {
  std::uint64_t offset = 0;
  SteadyTime arrived;
  std::string command;  ///< empty: an arrival
};

std::string to_text(const JournalHead& head);  ///< with LF
std::string to_text(const JournalLine& line);  ///< with LF

struct Journal {
  JournalHead head;
  std::vector<JournalLine> lines;
  std::string cut{};  ///< a sentence without a subject: where it broke off; empty: it is whole
};
Result<Journal> parse_journal(std::string_view text);
/// Power was lost before the first line was on the disk: nothing in the journal can be read, and nobody changed it.
bool has_torn_head(std::string_view text) noexcept;

/// `….nmea` → `….journal`; any other name gets `.journal` appended.
std::string journal_path_of(const std::string& log_path);
/// The same with `.rtcm`: the corrections that passed to the receiver meanwhile. Not every log has them.
std::string corrections_path_of(const std::string& log_path);

}  // namespace stillpoint::record
