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
  /// A visit number that a stored point had at any time: it is not given again.
  void know_given(const std::string& name, int visit);
  bool knows(const std::string& name) const { return visits_until_.contains(name); }

  /// A known name other than `but` that people take for this one; empty: there is none.
  std::string near(const std::string& name, const std::string& but = {}) const;

  /// The visit that a stay of this name is, or why it cannot be. `told`: the number it got when it was recorded.
  Result<int> visit_for(const std::string& name, bool again, std::optional<int> told) const;
  void begin(const std::string& name, int visit) { visits_until_[name].try_emplace(visit); }
  /// As it is by now; null: it is not known, or has not ended.
  const occupation::Point* find(const std::string& name, int visit) const;
  /// An offset point that was made: its name and number are given, and it is weighed against no visit.
  void take_offset(const occupation::Point& point);
  /// A visit that left nothing: its number is free again.
  void forget(const std::string& name, int visit);
  /// A visit is called otherwise: those of the old name and of the new one are weighed anew. A visit that is not known
  /// changes nothing.
  void call(const std::pair<std::string, int>& which, const occupation::Called& called, Outputs& out);

  /// Flags a repeat visit in which the receiver still was what it was on the visit before.
  void flag(occupation::Point& point, std::optional<UtcTime> initialized) const;
  /// A visit ended: it is weighed against the others of its name, and they against it.
  void close(occupation::Point& point, std::optional<UtcTime> initialized, Outputs& out);
  /// A hand has decided about a visit. What a hand decided stays.
  void decide(const std::string& name, int visit, bool accept, Outputs& out);

  /// Holds the visits since then that had another antenna height, and what was measured from them; what a hand had
  /// decided about them is open again.
  void hold_for_antenna(double antenna_height_m, UtcTime since, Outputs& out);

  /// Tells when the open stay counts as a visit of its own, and when another one would. `initialized`: since when the
  /// receiver works as it does in it.
  void say(OccupationStatus& stay, std::optional<UtcTime> initialized, std::optional<UtcTime> utc) const;

 private:
  void weigh(const std::string& name, const std::string& because, occupation::Point* newest, Outputs& out);
  void weigh_of(const std::string& name, const std::string& because, occupation::Point* newest, Outputs& out);
  void follow_stays(Outputs& out);
  void call_stays(const std::pair<std::string, int>& which, const occupation::Called& called, Outputs& out);
  std::optional<UtcTime> visited_until(const std::string& name) const;
  void move_end(const std::pair<std::string, int>& which, const occupation::Called& called);

  /// Name to its visits, and when each ended; empty: it is open, or nobody knows.
  std::map<std::string, std::map<int, std::optional<UtcTime>>> visits_until_;
  std::map<std::string, int> given_;                              ///< name to the highest number of a stored visit
  std::set<std::pair<std::string, int>> decided_;                 ///< visits about which a hand has decided
  std::map<std::string, std::vector<occupation::Point>> visits_;  ///< by name, as they are by now
  std::set<std::pair<std::string, int>> unweighed_;               ///< of those: recovered stays, and offset points
};

}  // namespace stillpoint::session
