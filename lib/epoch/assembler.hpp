#pragma once
/// Joins sentences that carry the same UTC into epochs, whatever their order and rate, and dates them.
///
/// An epoch is an instant with a position report (GGA, or GNS where no GGA comes or the one before is missing too),
/// even an empty one. An instant with none is a fragment: it may bring a date, it is counted, it is no epoch. It closes
/// when the time changes, when the learnt last sentence of the burst has come, or when a tick finds the line idle. A
/// GST, GSA, RMC or VTG is never paired with another second's position, but where a kind comes more slowly than the
/// positions its values hold until the next one is due.
///
/// A GGA without a time (a receiver starting up) is an epoch of its own, joined with nothing. ZDA only dates: some
/// receivers print it with a time of its own, so it neither opens nor closes an instant.
///
/// Time:    arrival times and ticks are handed in and never go backwards. Dates come from RMC or ZDA, run on over
///          midnight, survive :60, and are lifted by 1024 weeks only as `Calendar` says; a year before 2000 (a cold
///          start) is no date.
/// Threads: one assembler, one thread.
/// Errors:  none; oddities are counted. Does not allocate after construction.

#include <array>
#include <cstdint>
#include <optional>

#include "epoch/calendar.hpp"
#include "epoch/epoch.hpp"
#include "epoch/instant.hpp"
#include "epoch/interval.hpp"
#include "epoch/lead.hpp"
#include "epoch/period.hpp"
#include "nmea/decode.hpp"

namespace stillpoint::epoch {

struct AssemblerCounters {
  std::uint64_t epochs = 0;
  std::uint64_t fragments = 0;            ///< instants without a position report
  std::uint64_t late_sentences = 0;       ///< came after their epoch had closed; not used
  std::uint64_t duplicate_sentences = 0;  ///< the same kind twice for one instant; the first one counts
  std::uint64_t backward_times = 0;       ///< epochs and fragments whose time lay before that of the one before
};

class Assembler {
 public:
  /// Takes one decoded sentence; returns the epoch it closes, or null. At most one closes at a time: either the one
  /// before (this sentence carries a new time) or its own (this sentence is the learnt last one). The epoch lives until
  /// the next call.
  const Epoch* push(const nmea::Decoded& sentence, SteadyTime arrived) noexcept;

  /// Time passed without bytes; closes an epoch whose burst has gone idle.
  const Epoch* tick(SteadyTime now) noexcept;

  /// The stream ended: closes what is open.
  const Epoch* finish() noexcept;

  /// Lets undated epochs take their date from the caller's clock; they are marked `clock_dated`.
  void set_clock(SteadyTime at, UtcTime utc) noexcept { calendar_.set_clock(at, utc); }

  /// What the dates of the stream are judged by.
  Calendar& calendar() noexcept { return calendar_; }

  const AssemblerCounters& counters() const noexcept { return counters_; }

 private:
  enum class Why : std::uint8_t { time_changed, last_came, idle };
  struct Closed {
    std::optional<std::int32_t> time_of_day_ms;
    Seen seen;
  };

  template <class Sentence>
  void on_timed(Kind kind, const Sentence& sentence, SteadyTime arrived) noexcept;
  void on_gsa(const nmea::Gsa& gsa, SteadyTime arrived) noexcept;
  void on_vtg(const nmea::Vtg& vtg, SteadyTime arrived) noexcept;
  void on_zda(const nmea::Zda& zda, SteadyTime arrived) noexcept;
  void on_dtm(const nmea::Dtm& dtm, SteadyTime arrived) noexcept;

  void take(const nmea::Gga& gga) noexcept;
  void take(const nmea::Gns& gns) noexcept;
  void take(const nmea::Gst& gst) noexcept;
  void take(const nmea::Rmc& rmc) noexcept;

  void begin(std::optional<std::int32_t> time_of_day_ms, SteadyTime arrived) noexcept;
  void end_group() noexcept;
  void mark(Kind kind, SteadyTime arrived) noexcept;
  bool too_late(Kind kind, std::int32_t time_of_day_ms) const noexcept;
  void count_late() noexcept;
  void count_untimed_late() noexcept;
  bool has_report(const Instant& instant) const noexcept;
  bool is_gga_overdue(const Instant& instant) const noexcept;
  void note_gga(const Instant& instant) noexcept;
  void close(Why why) noexcept;
  void learn(const Instant& instant, Why why) noexcept;
  void place_in_time(const Instant& instant) noexcept;
  TimeStep step_to(std::int64_t stream_ms) noexcept;
  template <class Report>
  void copy_report(const Report& report) noexcept;
  void copy_position(const Instant& instant) noexcept;
  void copy_rest(const Instant& instant) noexcept;
  void hold_slow_kinds() noexcept;
  void fill_epoch(const Instant& instant) noexcept;
  const Epoch* handed_out() const noexcept { return closed_ ? &epoch_ : nullptr; }
  std::int64_t idle_limit_ms() const noexcept;

  AssemblerCounters counters_;
  Calendar calendar_;
  std::optional<Instant> open_;
  Epoch epoch_;          ///< the one closed last
  bool closed_ = false;  ///< by the call under way
  SteadyTime last_heard_;

  // What was closed lately, to tell a late sentence from a time that really steps back.
  std::array<Closed, 4> recent_{};
  std::size_t next_recent_ = 0;
  bool last_closed_by_learnt_ = false;
  std::optional<std::int64_t> last_instant_ms_;  ///< stream time of the last instant, fragments included
  std::optional<std::int64_t> last_epoch_ms_;
  std::optional<double> last_hdop_;  ///< printed beside the last position
  // GNS is not taken for the position report before GGA is overdue, or has been away for some instants.
  int gga_expected_ = 0;
  Period gga_period_;
  std::optional<std::int32_t> gga_time_of_day_ms_;

  // The learnt last sentence of the burst.
  Place learnt_last_;
  Place candidate_;
  int run_ = 0;
  int run_needed_ = 5;

  Interval interval_;

  // Kinds that come more slowly than the positions: the newest value of each, and when it is due again.
  Period gst_period_, dops_period_, speed_period_;
  std::optional<nmea::Gst> held_gst_;
  Quality held_gst_quality_ = Quality::none;
  Dops held_dops_;
  std::optional<double> held_speed_mps_;

  // Untimed sentences at the border between two instants.
  Lead gsa_lead_;
  Lead vtg_lead_;
  int group_count_ = 0;  ///< GSA since the last timed sentence
  std::optional<double> group_hdop_;
  Dops pending_;  ///< GSA kept for the instant to come
  bool group_after_silence_ = false;
  bool vtg_in_group_ = false;
  std::optional<nmea::Vtg> pending_vtg_;

  std::optional<nmea::Dtm> datum_;
  std::optional<nmea::Dtm> datum_before_;  ///< in force when the open instant began
};

}  // namespace stillpoint::epoch
