#pragma once
/// The visits of every name: which number is next, whether the receiver was initialized anew between two, when the next
/// one counts, and which of them contradict each other. Not for other rooms.
///
/// Time: of the receiver. Threads: the session's.
/// Errors: a name or number that cannot be given is refused in one sentence.

#include <map>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "gate/judge.hpp"
#include "occupation/point.hpp"
#include "session/session.hpp"

namespace stillpoint::session {

/// Since when the receiver works as it does now.
class Initialization {
 public:
  /// A lost or changed quality class, another source or station, or data away for a minute: the receiver, or what it
  /// works with, began anew.
  void note(const gate::Judged& judged);
  std::optional<UtcTime> since() const noexcept { return since_; }

 private:
  std::optional<UtcTime> since_;
  Quality quality_ = Quality::none;
  std::optional<std::size_t> source_;
  std::optional<int> station_;
  std::optional<std::int64_t> stream_ms_;  ///< of the newest epoch
};

class Repeats {
 public:
  /// A point of earlier days.
  void know(const occupation::Point& point, Weighed weighed);
  bool knows(const std::string& name) const { return newest_.contains(name); }

  /// A known name that people take for this one; empty: there is none.
  std::string near(const std::string& name) const;

  /// The visit that `command` begins, or why it cannot.
  Result<int> visit_for(const OccupyCommand& command) const;
  void begin(const std::string& name, int visit) { newest_[name] = visit; }
  /// A visit that left nothing: its number is free again.
  void forget(const std::string& name, int visit);

  /// Flags a repeat visit in which the receiver still was what it was on the visit before.
  void flag(occupation::Point& point, std::optional<UtcTime> initialized) const;
  /// A visit ended: it is weighed against the others of its name, and they against it.
  void close(occupation::Point& point, std::optional<UtcTime> initialized, Outputs& out);
  /// A hand has decided about a visit. What a hand decided stays.
  void decide(const std::string& name, int visit, bool accept, Outputs& out);

  /// Tells when the open stay counts as a visit of its own, and when another one would. `initialized`: since when the
  /// receiver works as it does in it.
  void say(OccupationStatus& stay, std::optional<UtcTime> initialized, std::optional<UtcTime> utc) const;

 private:
  void weigh(const std::string& name, const std::string& because, occupation::Point* newest, Outputs& out);

  std::map<std::string, UtcTime> visited_until_;                  ///< name to the end of its newest visit
  std::map<std::string, int> newest_;                             ///< name to its newest visit
  std::set<std::pair<std::string, int>> decided_;                 ///< visits about which a hand has decided
  std::map<std::string, std::vector<occupation::Point>> visits_;  ///< by name, as they are by now
};

}  // namespace stillpoint::session
