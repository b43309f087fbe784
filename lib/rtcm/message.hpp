#pragma once
/// Decodes the messages of a correction stream that tell where it comes from: the base, its position, its equipment,
/// its texts. Of observations it reads whose they are, of which instant and of how many satellites, and nothing else.
///
/// Units:   metres, earth-centred earth-fixed; milliseconds of the system's own day or week; as in the names.
/// Time:    as the message says it; no message carries a whole date but 1029.
/// Threads: pure functions.
/// Errors:  `noexcept`; a message shorter than its type is `Malformed`, never a default value.
/// Trust:   texts are bytes from outside: whoever shows or stores them cleans them first (`base/typed`).
/// Source:  RTCM 10403 (messages 1001-1012, 1005-1008, 1029, 1033, 1071-1137, 1230), field layouts from memory.

#include <array>
#include <cstdint>
#include <optional>
#include <string_view>
#include <variant>

namespace stillpoint::rtcm {

/// 1005 and 1006: where the base says that its antenna's reference point stands.
struct BasePosition {
  int station = 0;           ///< 0 to 4095
  int realization_year = 0;  ///< of the ITRF, 0 to 63; often 0, and never to be trusted alone
  bool has_gps = false, has_glonass = false, has_galileo = false;
  bool is_computed = false;              ///< a station that does not exist, such as one worked out near the rover
  std::array<double, 3> ecef_m{};        ///< x, y, z, in steps of 0.0001 m
  std::optional<double> antenna_up_m{};  ///< of the antenna above the mark: 1006 only
};

/// 1007, 1008 and 1033: what stands on the base. What a type does not have stays empty.
struct BaseEquipment {
  int station = 0;
  int antenna_setup = 0;  ///< 0: the standard calibration; else a change of the antenna there raises it
  std::string_view antenna, antenna_serial, receiver, firmware, receiver_serial;
};

/// 1029: a text to whoever listens.
struct Text {
  int station = 0;
  int modified_julian_day = 0;
  int second_of_day = 0;
  std::string_view utf8;  ///< as sent: nothing says that it is UTF-8
};

/// 1230: the biases of the base's GLONASS signals, for those that it prints.
struct GlonassBiases {
  int station = 0;
  bool is_corrected = false;                      ///< the observations have been corrected for them
  std::array<std::optional<double>, 4> bias_m{};  ///< L1 C/A, L1 P, L2 C/A, L2 P, in steps of 0.02 m
};

enum class System : std::uint8_t { gps, glonass, galileo, sbas, qzss, beidou, navic };

/// 1001-1004, 1009-1012 and 1071-1137.
struct Observations {
  int station = 0;
  System system = System::gps;
  std::uint32_t time_ms = 0;  ///< GPS and most others: of the week; GLONASS: of its day, Moscow time
  int satellites = 0;
  bool more_follow = false;  ///< of the same instant
};

/// A message of a type that nobody here reads; or an empty frame, whose type is 0.
struct Other {};
/// A type we read, with fewer bytes than it must have.
struct Malformed {};

struct Message {
  int type = 0;  ///< 0 to 4095
  std::variant<Other, Malformed, BasePosition, BaseEquipment, Text, GlonassBiases, Observations> content{};
};

/// `body` is what stands between head and checksum of a frame; what is returned points into it.
Message decode(std::string_view body) noexcept;

}  // namespace stillpoint::rtcm
