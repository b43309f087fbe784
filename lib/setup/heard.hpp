#pragma once
/// What a receiver says when one listens to it for a while: what a configuration can be written from.
///
/// Units:   seconds, metres, degrees.
/// Time:    arrival times are the caller's; dates are the receiver's.
/// Threads: one.
/// Errors:  none: what cannot be read is counted.

#include <cstdint>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "base/quality.hpp"
#include "base/time.hpp"
#include "epoch/assembler.hpp"
#include "geodesy/local.hpp"
#include "nmea/framer.hpp"

namespace stillpoint::setup {

/// Of all seconds with one quality.
struct HeardQuality {
  std::uint64_t epochs = 0;
  std::uint64_t ages = 0;   ///< with a correction age
  std::uint64_t blank = 0;  ///< without a station
  std::set<int> stations;
};

struct Heard {
  double seconds = 0;  ///< between the first and the last bytes
  std::uint64_t bytes = 0, sentences = 0, damaged = 0, without_checksum = 0;
  std::uint64_t epochs = 0, errors = 0, dates = 0, heights = 0, dops = 0;
  std::map<std::string, std::uint64_t> kinds;  ///< formatter, as `GGA`, to how many
  std::map<Quality, HeardQuality> qualities;
  std::optional<int> minute_decimals, height_decimals;  ///< the fewest that were printed
  std::optional<geodesy::Geographic> place;             ///< the newest
  std::optional<UtcTime> utc;                           ///< the newest date and time

  bool has(std::string_view kind) const { return kinds.contains(std::string(kind)); }
  const HeardQuality* of(Quality quality) const;
  /// With corrections of satellites, or of a network.
  bool has_satellites() const { return of(Quality::sbas) != nullptr || of(Quality::differential) != nullptr; }
  bool has_network() const { return of(Quality::rtk_fixed) != nullptr || of(Quality::rtk_float) != nullptr; }
};

class Listening {
 public:
  void push(std::string_view bytes, SteadyTime arrived);
  void finish();
  const Heard& heard() const noexcept { return heard_; }

 private:
  void take(const epoch::Epoch& epoch);

  nmea::Framer framer_;
  epoch::Assembler assembler_;
  std::optional<SteadyTime> first_;
  Heard heard_;
};

/// A line for each kind of sentence and each quality, and for what is missing.
std::vector<std::string> lines_of(const Heard& heard);

}  // namespace stillpoint::setup
