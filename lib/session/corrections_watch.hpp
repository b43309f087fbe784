#pragma once
/// The corrections through the day: what is to be told of them now, which source is in use, and every stretch without
/// usable ones. Not for other rooms.
///
/// Units:   seconds, milliseconds in the names. Time: the session's. Threads: the session's.
/// Errors:  none. What was never there cannot be lost.

#include <optional>
#include <string>
#include <vector>

#include "corrections/freshness.hpp"
#include "gate/judge.hpp"
#include "session/alert_board.hpp"
#include "session/basis.hpp"
#include "session/delivery.hpp"
#include "session/link.hpp"

namespace stillpoint::session {

/// "12 s old", "of unknown age". Our own clock tells no age: only for how long nothing has proved that corrections
/// come.
std::string age_text(const corrections::Freshness& fresh, int decimals);

class CorrectionsWatch {
 public:
  /// One look at the day; there is an epoch.
  struct Look {
    Moment moment;
    const gate::Judged& last;
    corrections::Freshness fresh;  ///< now
    Hearing hearing;
    const Delivery& delivery;  ///< of the corrections to the receiver
  };
  /// What an outage is told with.
  struct Scene {
    const Link& link;
    const std::string& point;  ///< occupied now; empty: none
  };

  /// `sources` must outlive the watch.
  explicit CorrectionsWatch(const std::vector<config::Source>& sources) noexcept : sources_(&sources) {}

  /// Notes which source is in use. The sentence of a change; empty: none, or the first of the day.
  std::string note_source(const Look& look);
  /// Reports the alerts about corrections.
  void look(const Look& look, AlertBoard& board) const;
  /// Begins and ends outages.
  void note_outage(const Look& look, const Scene& scene, Outputs& out);
  /// A tick without a look: corrections that were usable at the last look still are.
  void pass(SteadyTime now) noexcept {
    if (is_usable_) *usable_ = now;
  }
  /// The end of the day: the last outage ends, and one line sums them up.
  void sum_up(const Moment& moment, Outputs& out);

  /// The source in use, or used last.
  std::optional<std::size_t> source() const noexcept { return source_; }
  /// Oldest first; one that goes on is last, without an end.
  std::vector<Outage> outages(SteadyTime now) const;

 private:
  struct Going {
    SteadyTime since;
    Outage outage;
    std::optional<std::int64_t> first_ms{}, newest_ms{};  ///< of the receiver's clock, at its beginning and by now
    double lasted_s(SteadyTime now) const noexcept;
    Outage until(SteadyTime now) const;
    bool counts(SteadyTime now) const noexcept;
  };
  bool is_lost(const Look& look) const;
  Condition stale(const Look& look) const;
  Condition coasting(const Look& look, const AlertBoard& board) const;
  AlertText stale_alert(const Look& look) const;
  /// When the state of the corrections next changes by time alone.
  std::int64_t may_change_ms(const Look& look) const;
  const config::Gate* limits(const Look& look) const;
  void end_outage(const Moment& moment, Outputs& out);

  const std::vector<config::Source>* sources_;
  std::optional<std::size_t> source_;
  bool is_usable_ = false;            ///< fresh or coasting at the last look
  std::optional<SteadyTime> usable_;  ///< when they last were
  std::vector<Outage> over_;
  std::optional<Going> going_;
};

}  // namespace stillpoint::session
