#pragma once
/// Stays known beforehand, from a list with their times: each takes the epochs that fall into it. Not for other rooms.
///
/// Time:    of the receiver: start inclusive, end exclusive. Threads: the session's.
/// Errors:  none; a stay whose data broke off is held for it.

#include <optional>
#include <vector>

#include "gate/judge.hpp"
#include "occupation/occupation.hpp"
#include "session/base_watch.hpp"
#include "session/basis.hpp"
#include "session/repeats.hpp"

namespace stillpoint::session {

class PlannedVisits {
 public:
  /// `basis`, `base` and `repeats` must outlive the visits.
  PlannedVisits(const Basis& basis, const BaseWatch& base, Repeats& repeats)
      : basis_(&basis), base_(&base), repeats_(&repeats) {}

  void plan(std::vector<PlannedVisit> visits);
  /// The name of a visit that people take for this one; empty: there is none, or one has this very name.
  std::string near(const std::string& name) const;
  /// `antenna_height_m`: of the stays that begin. `initialized`: since when the receiver works as it does.
  void observe(const gate::Judged& judged, double antenna_height_m, std::optional<UtcTime> initialized, Outputs& out);
  /// Nothing is joined over a gap: what goes on after it goes on in a new stretch and is held for it.
  void interrupt(occupation::CutOff how) noexcept;
  /// One mean has one height: the stays that go on end here.
  void end_open(double antenna_height_m, Outputs& out);
  /// Visits that lie days away from all that the stream dated: a sentence; empty: none does.
  std::string missed() const;
  /// The stream is over.
  void finish(double antenna_height_m, Outputs& out);

 private:
  struct Planned {
    PlannedVisit visit;
    std::optional<occupation::Occupation> stay{};
    bool done = false;
    std::optional<UtcTime> initialized{};                ///< when the receiver of its first counted epoch had begun
    std::optional<UtcTime> last_utc{};                   ///< of the last epoch that fell into it
    std::int64_t interval_ms = 0;                        ///< how often positions came then
    occupation::CutOff broken = occupation::CutOff::no;  ///< by what since then
    int past_end = 0;                                    ///< epochs in a row dated at or after its end
  };
  struct Seen {
    const gate::Judged& judged;
    double antenna_height_m = 0;
    std::optional<UtcTime> initialized;
  };
  void observe(Planned& planned, const Seen& seen, Outputs& out);
  void open(Planned& planned, double antenna_height_m);
  void close(Planned& planned, double antenna_height_m, Outputs& out);

  const Basis* basis_;
  const BaseWatch* base_;
  Repeats* repeats_;
  std::optional<std::pair<UtcTime, UtcTime>> dated_;  ///< the first and the last date of the stream
  std::vector<Planned> planned_;
  std::vector<std::size_t> by_start_;  ///< of `planned_`, those without a start first
  std::size_t closed_first_ = 0;       ///< of `by_start_`: all in front are done
  std::size_t begun_first_ = 0;        ///< of `by_start_`: some epoch lay behind the start of those in front
};

}  // namespace stillpoint::session
