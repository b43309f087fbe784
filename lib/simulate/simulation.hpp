#pragma once
/// Runs a scenario: epoch by epoch, the bytes that a receiver would send, and what was true while it sent them.
///
/// Units:   in the names.
/// Time:    scenario time from 0; arrivals are milliseconds from the scenario's start.
/// Threads: one simulation, one thread.
/// Errors:  `open` says what cannot be simulated: a frame that cannot be reached from the truth's.
///
/// The same scenario and seed give the same bytes with every compiler: nothing is drawn from the library's generators,
/// numbers are rounded once when they are printed, and no product is contracted with a sum.

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/result.hpp"
#include "simulate/path.hpp"
#include "simulate/sentences.hpp"

namespace stillpoint::simulate {

/// How wrong one printed position was: against the phase centre plumb above the mark, in the frame of the corrections.
struct TrueEpoch {
  std::int64_t epoch_ms = 0;  ///< from the scenario's start
  UtcTime printed_utc;
  std::optional<std::size_t> source;  ///< empty: no position was printed
  Axes error_m;
};

class Simulation {
 public:
  static Result<Simulation> open(Scenario scenario);
  Simulation(Simulation&&) noexcept;
  Simulation& operator=(Simulation&&) noexcept;
  ~Simulation();

  /// The next epoch into `out` (what it held is dropped), or false at the scenario's end.
  bool next(Burst& out);
  /// Of the epoch that `next` gave last.
  const TrueEpoch& truth() const noexcept;

  const Scenario& scenario() const noexcept;
  /// The marks in the frame of source `index`; true places, disturbed marks where they stand.
  const std::vector<FramedMark>& marks_of(std::size_t index) const noexcept;
  const std::vector<FramedMark>& marks() const noexcept;  ///< in the scenario's own frame

 private:
  struct State;
  explicit Simulation(std::unique_ptr<State> state) noexcept;
  std::unique_ptr<State> state_;
};

/// `burst` as a log: each sentence behind a TAG block with its arrival, `start` being the scenario's.
void append_log(const Burst& burst, UtcTime start, std::string& out);

}  // namespace stillpoint::simulate
