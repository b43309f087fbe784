#pragma once
/// Joins sentences that carry the same UTC into epochs, whatever their order and rate, and dates them.
///
/// An epoch is an instant with a position report (GGA, or GNS in streams without GGA), even an empty one. An instant
/// with none is a fragment: it may bring a date, it is counted, it is no epoch.
/// It closes when the time changes, when the learnt last sentence of the burst has come, or when a tick finds the line
/// idle. A GST, GSA, RMC or VTG is never paired with another second's position.
///
/// Time:    arrival times and ticks are handed in and never go backwards. Dates come from RMC or ZDA, run on over
///          midnight, survive :60, and are lifted by multiples of 1024 weeks (7168 days) when they lie before 2020; a
///          year before 2000 (a cold start) is no date.
/// Threads: one assembler, one thread.
/// Errors:  none; oddities are counted. Does not allocate after construction.

#include <cstdint>
#include <optional>

#include "epoch/epoch.hpp"
#include "nmea/decode.hpp"

namespace stillpoint::epoch {

struct AssemblerCounters {
  std::uint64_t epochs = 0;
  std::uint64_t fragments = 0;           ///< instants without a position report
  std::uint64_t late_sentences = 0;      ///< came after their epoch had closed; not used
  std::uint64_t duplicate_sentences = 0; ///< the same kind twice for one instant; the first one counts
  std::uint64_t backward_times = 0;
};

class Assembler {
 public:
  /// Takes one decoded sentence; returns the epoch it closes, if any. At most one closes at a time: either the one
  /// before (this sentence carries a new time) or its own (this sentence is the learnt last one).
  std::optional<Epoch> push(const nmea::Decoded& sentence, SteadyTime arrived) noexcept;

  /// Time passed without bytes; closes an epoch whose burst has gone idle.
  std::optional<Epoch> tick(SteadyTime now) noexcept;

  /// The stream ended: closes what is open.
  std::optional<Epoch> finish() noexcept;

  /// Lets undated epochs take their date from the caller's clock; they are marked `clock_dated`.
  void set_clock(SteadyTime at, UtcTime utc) noexcept;

  const AssemblerCounters& counters() const noexcept { return counters_; }

 private:
  AssemblerCounters counters_;
};

}  // namespace stillpoint::epoch
