#pragma once
/// The table of streams that a caster offers.
///
/// Trust:   every text comes from outside: one of over 128 bytes, or with what cannot be seen, is left empty.
/// Units:   degrees, bits a second.
/// Threads: pure functions.
/// Errors:  none: a line that is no stream, or has no name, is counted and left out; a position that is none is empty.
/// Limits:  20,000 streams.
/// Source:  RTCM 10410.1, records STR of the source table, from memory.

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace stillpoint::ntrip {

struct Mount {
  std::string name;     ///< of the mount point
  std::string place;    ///< usually a town
  std::string format;   ///< as "RTCM 3.2"
  std::string details;  ///< messages with their periods, as "1005(10),1077(1)"
  std::string systems;  ///< as "GPS+GLO"
  std::string network, country;
  std::optional<double> latitude_deg{}, longitude_deg{};  ///< both or neither; of the base, or of the network's middle
  bool wants_position = false;                            ///< the stream is made for the place the client sends
  bool is_network = false;                                ///< made of several bases
  bool wants_login = false;
};

struct SourceTable {
  std::vector<Mount> mounts;
  std::size_t left_out = 0;  ///< streams without a name, or with one that cannot be read, and those above the limit
};

inline constexpr std::size_t kMostMounts = 20'000;

SourceTable source_table_of(std::string_view text);

}  // namespace stillpoint::ntrip
