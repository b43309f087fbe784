#pragma once
/// Everything the receiver said about one instant.
///
/// Units:   in the names; errors are 1 sigma as claimed by the receiver, unscaled.
/// Slow kinds: DOPs, error and speed that come less often than positions are those of the last sentence of their kind
///          until the next one is due (`Period`).
/// Time:    `utc` is the receiver's date and time; `stream_ms` grows with the receiver's time of day and needs no date.
/// Threads: plain value.

#include <array>
#include <cstdint>
#include <optional>

#include "base/quality.hpp"
#include "base/time.hpp"
#include "nmea/decode.hpp"

namespace stillpoint::epoch {

/// How this epoch's time stands to that of the epoch before it.
enum class TimeStep : std::uint8_t { first, forward, repeated, backward };

struct Epoch {
  std::optional<UtcTime> utc;             ///< empty: no date known yet, or no time printed
  std::optional<std::int64_t> stream_ms;  ///< unwrapped time of day; empty: no time printed
  TimeStep step = TimeStep::first;
  SteadyTime first_arrival;  ///< arrival of the bytes that held its first sentence
  SteadyTime last_arrival;

  Quality quality = Quality::none;
  std::optional<nmea::Position> position;
  std::optional<double> altitude_m;
  std::optional<double> geoid_separation_m;   ///< always from the same sentence as the altitude
  int height_decimals = nmea::kMostDecimals;  ///< of altitude and separation the smaller
  std::optional<int> satellites;              ///< the larger of GGA (caps at 12) and GNS
  std::optional<double> hdop;                 ///< GGA or GNS, else GSA; 0 counts as missing
  std::optional<double> pdop;                 ///< the worst of the epoch's GSA sentences
  std::optional<double> vdop;
  std::optional<double> gsa_hdop;
  std::optional<nmea::Age> age;
  std::optional<int> station;
  std::optional<nmea::Gst> error;   ///< the GST of the same instant, or the last one while it is not due again
  std::optional<double> speed_mps;  ///< RMC, else VTG
  std::int64_t interval_ms = 0;     ///< how often positions usually come in this stream; 0: not known yet
  std::optional<bool> rmc_valid;
  char rmc_mode = ' ';
  std::array<char, 8> gns_modes{};
  std::optional<nmea::Dtm> datum;  ///< the last DTM heard, kept until another says otherwise

  std::int32_t lifted_days = 0;            ///< what the printed date was put right by: 1024 weeks, or a multiple
  std::optional<std::int32_t> clock_days;  ///< by which the date stands after the computer's clock; 0: less than one
  std::int32_t jumped_days = 0;            ///< by which it stands away from the stream before it (`TimeWatch`)
  bool date_contradicted = false;          ///< by the clock, or by the stream (`TimeWatch`)
  double late_s = 0;                       ///< how late it came, more than allowed (`TimeWatch`); 0: it is not late
  bool clock_dated = false;                ///< the date came from the caller's clock, not from the receiver
  bool conflicting = false;                ///< two position sentences of this instant disagree
  bool repeats = false;   ///< everything but the time has repeated for longer than usual (`Repetition`)
  bool from_gns = false;  ///< no GGA: position and quality are those of GNS

  std::optional<double> ellipsoid_height_m() const noexcept {
    if (!altitude_m || !geoid_separation_m) return std::nullopt;
    return *altitude_m + *geoid_separation_m;
  }
};

/// The longest step between two epochs that is no gap: positions that come every five seconds are a rate, and one of
/// them may be missing no more than half of the next one's time.
constexpr std::int64_t gap_limit_ms(std::int64_t silence_ms, std::int64_t interval_ms) noexcept {
  const std::int64_t slow_ms = interval_ms + interval_ms / 2;
  return silence_ms > slow_ms ? silence_ms : slow_ms;
}

}  // namespace stillpoint::epoch
