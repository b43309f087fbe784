#pragma once
/// What the events of a pointbook tell, as fields: their kinds, and the details that programs read back.
///
/// Rule:    an event's sentence is made from fields here and is for people only. Whoever wants to know something of an
///          event asks here; no program looks for words in a sentence. The one exception are books of before: what they
///          said in words alone is read in happened.cpp, and tests hold it with their very sentences.
/// Units:   metres. Time: UTC of the event. Threads: pure.
/// Errors:  details that cannot be read tell nothing.

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "pointbook/book.hpp"
#include "pointbook/sentences.hpp"

namespace stillpoint::pointbook {

/// Alerts are events too: their kind is the alert's key, which is no member of this list.
enum class EventKind : std::uint8_t {
  started,
  stopped,
  recovered,
  resolved,
  day_closed,
  day_reopened,
  day_left_open,
  redo,
  merged,
  merge_conflict,
  abandoned,
  outage,
};
std::string_view to_word(EventKind kind) noexcept;
/// Empty: an alert, or a kind that only people read.
std::optional<EventKind> kind_of(const Event& event) noexcept;
inline bool is(const Event& event, EventKind kind) noexcept {
  return kind_of(event) == kind;
}

/// Who gave the command that led to the event; empty: nobody, or not known.
std::string by_of(const Event& event);
/// Makes an event whose details say only `by`, or nothing when `by` is empty.
Event event_of(UtcTime utc, std::string_view kind, std::string text, const std::string& by);

/// An alert that came or went.
struct Occurrence {
  std::optional<std::uint64_t> number;  ///< from 1 for each alert and start; empty: no alert, or a book of before
  bool over = false;
};
Event alert_event(UtcTime utc, std::string key, const std::string& text, Occurrence occurrence);
Occurrence occurrence_of(const Event& event);

/// A stay that was open when the program ended without a word.
struct Recovered {
  std::string name;
  int visit = 1;
  std::uint64_t seconds = 0;  ///< that had counted; 0 in what is read from books of before
};
Event event_of(UtcTime utc, const Recovered& recovered);
std::optional<Recovered> recovered_of(const Event& event);

/// A stay that ended otherwise than by hand and left nothing.
struct LostStay {
  std::string name;  ///< of the point, or of the mark
  int visit = 1;
  bool on_mark = false;
  std::string why;
};
/// "CUL-9 ended: the receiver fell silent, nothing stored"
Event event_of(UtcTime utc, const LostStay& lost);
std::optional<LostStay> lost_stay_of(const Event& event);

struct RedonePoint {
  std::string name;
  int visit = 1, version = 1;
  std::string uuid;
  std::optional<std::array<double, 3>> moved_m;  ///< east, north, up
};
struct RedoneCheck {
  std::string mark;
  int version = 1;
  std::string uuid;
  std::size_t opening = 0;       ///< its stay in the record; 0: it was made from a point
  std::optional<bool> compared;  ///< false: it can no longer be; empty in books of before
};
/// A redo, with its whole file.
struct Redone {
  std::string by, reason;
  std::vector<RedonePoint> changed;
  std::vector<RedoneCheck> checks;
  std::string sha256, toml;
  std::string zone{};  ///< of the local times in it; empty: it has none
};
Event event_of(UtcTime utc, const Redone& redone);
std::optional<Redone> redone_of(const Event& event);

struct MergedBook {
  std::string file, sha256, project;
  std::size_t versions = 0;
  bool closed = false;
};
Event event_of(UtcTime utc, const std::vector<MergedBook>& from);
/// Whether closings from before the merge still count: every book of it was closed.
bool merged_closed_books(const Event& event);

/// A file of the record as it was when the day was closed.
struct ClosedFile {
  std::string file, sha256;
};
/// Those a closing names; none for any other event.
std::vector<ClosedFile> closed_files_of(const Event& event);

/// Whether a shot's sentence says that it can no longer be compared, as redos wrote it that kept it nowhere else.
bool says_no_longer_compared(const CheckShot& shot);
/// The end of that sentence.
inline constexpr std::string_view kOldNumbers = kSay.old_numbers.words();

}  // namespace stillpoint::pointbook
