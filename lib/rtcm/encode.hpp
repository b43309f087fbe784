#pragma once
/// Writes the frames of an invented base: where it says that it stands, and observations of which only the head is
/// meant to be read. For simulated days; nothing of it is fit for a receiver.
///
/// Units:   metres, earth-centred earth-fixed, rounded to 0.0001 m; milliseconds of the GPS week.
/// Threads: pure functions. Errors: none; `station` is 0 to 4095.
/// Source:  RTCM 10403 (messages 1005 and 1074), field layouts from memory.

#include <array>
#include <cstdint>
#include <string>
#include <string_view>

namespace stillpoint::rtcm {

/// Head and checksum around a message of at most 1023 bytes.
std::string frame_of(std::string_view body);

/// Message 1005.
std::string base_position_frame(int station, const std::array<double, 3>& ecef_m);

/// Message 1074 with eight satellites, one signal and no observation in it.
std::string observations_frame(int station, std::int64_t ms_of_week);

}  // namespace stillpoint::rtcm
