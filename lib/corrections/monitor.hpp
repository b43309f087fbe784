#pragma once
/// Decides, epoch by epoch, how fresh the corrections are that the position rests on.
///
/// Three clocks are used: the receiver's UTC (`Epoch::stream_ms`), arrival time (for the countdown while nothing
/// arrives), and the age field. Where the age is blank and the source allows it, our own clock runs from the last proof
/// of fresh corrections: a fresh age, or the moment the quality class was gained. Where the source trusts the quality
/// instead, a blank age is unknown and no clock runs: what a second counts for does not hang on when listening began.
/// Where the source allows a blank age and frames of a base have been seen on their way to the receiver, the newest of
/// them tells the age of a position that rests on a base: that is a proof, which our own clock never is.
///
/// Frozen is a receiver that repeats all it says (`Epoch::repeats`), or a late age that stands still.
///
/// Units:   seconds; limits come from the source, this room has none of its own.
/// Time:    epochs in the order received; `at` takes the caller's steady time.
/// Threads: one monitor, one thread.
/// Errors:  none. A missing value never counts as fresh.

#include <cstdint>
#include <optional>

#include "base/quality.hpp"
#include "base/time.hpp"
#include "config/settings.hpp"
#include "corrections/freshness.hpp"
#include "epoch/epoch.hpp"

namespace stillpoint::corrections {

/// Which source an epoch belongs to, as the source table found it.
struct Belongs {
  std::optional<std::size_t> source;     ///< empty: none
  const config::Gate* limits = nullptr;  ///< of that source
  std::optional<int> station;            ///< the one that counts, a kept one included
};

class Monitor {
 public:
  /// `gap_s`: stream seconds without an epoch that break every run.
  explicit Monitor(double gap_s) noexcept;

  Freshness observe(const epoch::Epoch& epoch, const Belongs& belongs) noexcept;

  /// The state at `now`, when no epoch has come since the last one: ages have grown and windows may have closed.
  Freshness at(SteadyTime now) const noexcept;

  /// A frame with corrections reached the receiver.
  void hear_frame(SteadyTime arrived) noexcept { frame_ = arrived; }

  /// The link was cut: what comes next is a new stretch.
  void cut() noexcept;

  /// The last epoch came after a gap (or was the first of all).
  bool after_gap() const noexcept { return after_gap_; }

 private:
  /// What must stay the same for a run to go on.
  struct Identity {
    Quality quality = Quality::none;
    std::optional<std::size_t> source;
    std::optional<int> station;
    bool operator==(const Identity&) const = default;
  };
  struct Run {
    std::int64_t since_ms = 0;
    int epochs = 0;
  };

  void note_time(const epoch::Epoch& epoch) noexcept;
  Freshness age_of(const epoch::Epoch& epoch, const config::Gate& limits, std::int64_t now_ms) noexcept;
  bool is_frozen(const epoch::Epoch& epoch, const config::Gate& limits, const Freshness& freshness,
                 std::int64_t now_ms) noexcept;
  void settle(Freshness& freshness, const config::Gate& limits, std::int64_t now_ms) noexcept;

  std::int64_t gap_ms_;
  bool after_gap_ = true;
  std::optional<std::int64_t> last_ms_;
  SteadyTime last_arrival_;
  std::optional<Identity> identity_;
  std::optional<Quality> quality_;             ///< of the last epoch, whatever its source
  std::optional<std::int64_t> good_since_ms_;  ///< start of the run of usable corrections
  std::optional<std::int64_t> proof_ms_;       ///< last proof of fresh corrections
  Proof proof_ = Proof::listening_began;
  std::optional<SteadyTime> frame_;              ///< the newest one that reached the receiver
  std::optional<std::optional<nmea::Age>> age_;  ///< of the epoch before, as printed; outer: none before
  Run same_age_;
  std::optional<std::int64_t> frozen_since_ms_;
  const config::Gate* limits_ = nullptr;  ///< of the last epoch's source
  Freshness last_;
};

/// The state that an age means under the limits of a source: equal values still count.
State state_of(double age_s, const config::Gate& limits) noexcept;

}  // namespace stillpoint::corrections
