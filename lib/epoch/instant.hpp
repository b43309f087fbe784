#pragma once
/// What has been heard so far of one instant, before it becomes an epoch.
///
/// Units:   as in the decoded sentences.
/// Threads: plain values.
/// Errors:  none.

#include <array>
#include <cstdint>
#include <optional>

#include "base/time.hpp"
#include "nmea/decode.hpp"

namespace stillpoint::epoch {

enum class Kind : std::uint8_t { gga, gns, gst, rmc, zda, gsa, vtg, dtm };
inline constexpr std::size_t kKinds = 8;

/// A sentence's place in its burst: the second GSA is another one than the first.
struct Place {
  Kind kind = Kind::gga;
  std::uint8_t occurrence = 0;  ///< 0: no place
  bool operator==(const Place&) const = default;
};

/// How many sentences of each kind an instant has.
struct Seen {
  std::array<std::uint8_t, kKinds> counts{};
  bool has(Kind kind) const noexcept { return counts[static_cast<std::size_t>(kind)] > 0; }
  Place add(Kind kind) noexcept {
    auto& count = counts[static_cast<std::size_t>(kind)];
    if (count < 255) ++count;
    return {kind, count};
  }
};

/// The worst DOPs of several GSA sentences; 0 is no value.
struct Dops {
  int count = 0;
  std::optional<double> pdop, hdop, vdop;
  SteadyTime first_arrival;
  void add(const nmea::Gsa& gsa, SteadyTime arrived) noexcept;
  void add(const Dops& other) noexcept;
};

struct Instant {
  explicit Instant(std::optional<std::int32_t> time) noexcept : time_of_day_ms(time) {}

  std::optional<std::int32_t> time_of_day_ms;
  Seen seen;
  Place last;
  bool complete = false;  ///< its learnt last sentence has come, but another epoch was handed out instead
  std::optional<nmea::Gga> gga;
  std::optional<nmea::Gns> gns;
  std::optional<nmea::Gst> gst;
  std::optional<nmea::Rmc> rmc;
  std::optional<nmea::Vtg> vtg;
  Dops dops;
  std::optional<double> lead_hdop;  ///< of the GSA between the instant before and this one
  bool conflicting = false;
  SteadyTime first_arrival;
  SteadyTime last_arrival;
};

}  // namespace stillpoint::epoch
