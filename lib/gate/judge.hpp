#pragma once
/// The judge: an epoch is accepted, or refused with every reason.
///
/// Units:   limits as in the source's gate; an equal value passes, a missing value never passes a limit that needs it.
/// Time:    epochs in the order received (speed may come from positions). Threads: one judge, one thread.
/// Errors:  none.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "config/settings.hpp"
#include "corrections/freshness.hpp"
#include "epoch/epoch.hpp"
#include "gate/error.hpp"
#include "gate/sources.hpp"
#include "gate/verdict.hpp"
#include "geodesy/local.hpp"

namespace stillpoint::gate {

/// An epoch with everything that is known about it.
struct Judged {
  epoch::Epoch epoch;
  Match match;
  corrections::Freshness freshness;
  std::optional<EpochError> error;
  std::optional<double> speed_mps;       ///< RMC or VTG, else from positions
  std::optional<int> satellites_before;  ///< set while many were lost at once: how many there were
  std::string frame_fault;               ///< sentence; empty: the frame is right for this place
  ReasonSet reasons;
  bool accepted() const noexcept { return reasons.none(); }
  void refuse(Reason reason) noexcept { reasons.set(static_cast<std::size_t>(reason)); }
};

struct Limit;

/// What a limit lets through; never what is not a number.
struct Allowed {
  double least, most;
  constexpr bool holds(double value) const noexcept { return value >= least && value <= most; }
};

/// A limit as one gate sets it.
struct Bound {
  const Limit* limit;
  Allowed allowed;
};

class Judge {
 public:
  /// `sources` must outlive the judge, and stay as they are.
  explicit Judge(const std::vector<config::Source>& sources);

  /// `judged` comes with epoch, match, freshness and frame fault; the rest is filled in, whatever it held.
  void judge(Judged& judged) noexcept;

 private:
  std::optional<double> speed_of(const epoch::Epoch& epoch) noexcept;
  std::optional<int> lost_at_once(const epoch::Epoch& epoch, double settle_s) noexcept;
  void check_limits(Judged& judged) const noexcept;
  struct Fix {
    geodesy::Geographic place;
    std::int64_t stream_ms = 0;
  };
  const std::vector<config::Source>* sources_;
  std::vector<std::vector<Bound>> bounds_;  ///< of each source: the limits that its gate sets
  struct Count {
    std::int64_t stream_ms = 0;
    int satellites = 0;
  };
  std::optional<Count> counted_;      ///< satellites of the epoch before
  std::optional<Count> lost_;         ///< when many went at once, and how many there were before
  std::optional<Fix> older_, newer_;  ///< a base line of at least a second for the speed
};

/// One plain sentence for each reason, in the order of the contract, with the value and its limit.
std::vector<ReasonText> explain(const Judged& judged, const std::vector<config::Source>& sources);

/// Since when our own clock runs, and why: "since listening began at 14:00:05". Empty: it does not run.
std::string since_text(const corrections::Freshness& freshness);

/// True when a DTM sentence says that the receiver shifts its output into a datum other than the source's frame.
bool contradicts(const nmea::Dtm& datum, const config::Source& source) noexcept;

}  // namespace stillpoint::gate
