#pragma once
/// What was told to the session besides bytes, as it stands in the journal: a command of a person, or an event of the
/// feed or the daemon.
///
/// Lines:   one JSON object each, its first member `command` or `event`. The words and the order of members stay for
///          ever: journals already written are read by them. A word that is not known reads as `Unknown` and does
///          nothing; members that are not known are passed over.
/// Units:   metres. Time: `utc` is that of the newest epoch when the command was given. Threads: pure.
/// Errors:  a line that is no JSON, or lacks what it cannot do without, gives one sentence.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <variant>

#include "base/offset_measures.hpp"
#include "base/result.hpp"
#include "base/time.hpp"

namespace stillpoint::record {

struct Occupy {
  std::string name, code, note;
  bool again = false;
  std::optional<int> visit;  ///< the number it got; empty until it is carried out, never in a line that was read
  bool is_new = false;       ///< asked whether a name that reads like a known one is meant, they said that it is new
  bool operator==(const Occupy&) const = default;
};
struct Keep {
  std::string made{};  ///< the uuid of the point or check that came of it; empty: nothing did, or nobody said so yet
  bool operator==(const Keep&) const = default;
};
struct Drop {
  bool operator==(const Drop&) const = default;
};
struct Check {
  std::string mark;
  bool closing = false;
  std::string turn;  ///< `N` `E` `S` `W`, or empty
  bool operator==(const Check&) const = default;
};
struct SetAntenna {
  double height_m = 0;
  std::string reason;
  std::optional<UtcTime> since{};  ///< it stood so since then already, while another height was subtracted
  bool operator==(const SetAntenna&) const = default;
};
/// A hand accepts or rejects a visit: later visits are weighed against what is left.
struct Resolve {
  std::string name;
  int visit = 1;
  bool accept = false;
  bool sure = false;  ///< told that the wanted error is missed, they said so again
  bool operator==(const Resolve&) const = default;
};
/// What a point is called and what is said of it, put right: of the open one, or as a new version of a kept one.
struct Amend {
  std::string name;
  int visit = 1;
  std::string to;                         ///< the new name; empty: the same
  std::optional<int> to_visit{};          ///< the number it got under it; empty until it is carried out
  std::optional<std::string> code, note;  ///< empty: as before
  bool again = false;                     ///< another visit of a name that is there
  bool is_new = false;                    ///< as of `Occupy`
  std::string reason;
  std::string made{};  ///< the uuid of the new version; empty: the open one was amended
  const std::string& called() const noexcept { return to.empty() ? name : to; }
  int called_visit() const noexcept { return to_visit.value_or(visit); }
  bool operator==(const Amend&) const = default;
};
/// A point that nobody can stand on, from what a hand measured to it from kept stays.
struct Offset {
  std::string name, code, note;
  OffsetMeasures measures;
  std::optional<UtcTime> measured{};  ///< when the hand measured it, by the day's time
  std::optional<int> visit{};  ///< the number it got; empty until it is carried out, never in a line that was read
  bool is_new = false;         ///< as of `Occupy`
  std::string made{};          ///< the uuid of the point
  bool operator==(const Offset&) const = default;
};
struct CloseDay {
  UtcTime closed_utc;
  bool operator==(const CloseDay&) const = default;
};
/// A run of the daemon begins, or ends in good order.
struct Started {
  bool operator==(const Started&) const = default;
};
struct Stopped {
  bool operator==(const Stopped&) const = default;
};
struct Cut {
  std::string why;  ///< empty: the link broke off and comes back by itself
  bool operator==(const Cut&) const = default;
};
struct FeedNews {
  std::string state;  ///< the word of a `session::FeedState`
  std::string what;
  bool operator==(const FeedNews&) const = default;
};
/// An answer takes a moment, on a slow disk some seconds: a `keep` this shortly before a run broke off had perhaps none.
inline constexpr std::int64_t kLongestAnswerMs = 10'000;

/// What a `keep` made is on the disk, in the spool at least. Without it nobody was told that it is safe.
struct Safe {
  std::string made;
  bool operator==(const Safe&) const = default;
};
/// Arrival times are a clock's, and what it says of UTC now: where the head of the journal does not tell it. The
/// recomputation needs no clock of its own.
struct Clock {
  std::optional<UtcTime> said{};  ///< empty: it judges how late the stream is, and no dates
  bool operator==(const Clock&) const = default;
};
/// How the receiver's dates were taken from here on, for who reads the journal.
struct Dates {
  std::string text;
  bool operator==(const Dates&) const = default;
};
/// Bytes on their way to the receiver: the file of corrections beside the log has them up to here.
struct Corrections {
  std::uint64_t to = 0;  ///< offset in that file
  bool lost = false;     ///< the receiver's link did not take them
  bool operator==(const Corrections&) const = default;
};
/// How the connection to the caster stands.
struct Delivery {
  std::string state;   ///< the word of a `corrections::LinkState`
  std::string reason;  ///< the word of a `corrections::Stop`
  std::string detail;  ///< what the caster or the system says; empty: nothing
  bool operator==(const Delivery&) const = default;
};
struct Unknown {
  bool operator==(const Unknown&) const = default;
};

using Command = std::variant<Occupy, Keep, Drop, Check, SetAntenna, Resolve, Amend, Offset, CloseDay, Started, Stopped,
                             Cut, FeedNews, Safe, Clock, Dates, Corrections, Delivery, Unknown>;

struct Entry {
  Command what;
  std::optional<UtcTime> utc{};
  std::string by{};  ///< who gave it; empty: nobody
  bool operator==(const Entry&) const = default;
};

/// Without a line end; bytes that are not UTF-8 become U+FFFD. `Unknown` gives an empty object.
std::string to_line(const Entry& entry);
Result<Entry> from_line(std::string_view line);

}  // namespace stillpoint::record
