#pragma once
/// Decodes one framed sentence into a plain struct. What the receiver left blank stays empty; nothing is guessed.
///
/// Units:   degrees, metres, metres a second, seconds; as in the names. Coordinates keep every decimal printed.
/// Time:    time of day in milliseconds, 0 to 86,400,999 (a leap second is 86,400,000 and up).
/// Threads: pure functions.
/// Errors:  `noexcept`; a field that cannot be read makes the whole sentence `Malformed`, never a default value.
/// Source:  field meanings as in published receiver manuals and open recordings.

#include <array>
#include <cstdint>
#include <optional>
#include <string_view>
#include <variant>

#include "base/quality.hpp"
#include "base/time.hpp"

namespace stillpoint::nmea {

/// A position as printed: the double nearest to the decimal minutes, plus how finely they were printed and the digits
/// themselves.
struct Position {
  double latitude_deg = 0;        ///< -90 to 90, north positive
  double longitude_deg = 0;       ///< -180 to 180, east positive
  int minute_decimals = 0;        ///< the smaller of both fields
  std::uint64_t digits_hash = 0;  ///< equal exactly when the printed fields were equal
};

/// The age of corrections as printed. "0" and "00" without a decimal point mean none in many receivers: `integer_zero`.
struct Age {
  double seconds = 0;
  bool integer_zero = false;
  bool operator==(const Age&) const = default;
};

inline constexpr int kMostDecimals = 9;  ///< more of them are not told apart

using TimeOfDay = std::optional<std::int32_t>;  ///< milliseconds; empty: the field was blank

// The larger ones have a constructor of their own, so that a new one is not first filled with zeros as a whole.
struct Gga {
  Gga() noexcept {}
  TimeOfDay time_of_day_ms;
  std::optional<Position> position;
  Quality quality = Quality::none;  ///< a blank field is `none`
  std::optional<int> satellites;
  std::optional<double> hdop;
  std::optional<double> altitude_m;  ///< above the receiver's own mean sea level
  std::optional<double> geoid_separation_m;
  int height_decimals = kMostDecimals;  ///< of altitude and separation the smaller
  std::optional<Age> age;
  std::optional<int> station;  ///< reference station id, leading zeros dropped
};

struct Gst {
  Gst() noexcept {}
  TimeOfDay time_of_day_ms;
  std::optional<double> range_rms_m;  ///< not a position error
  std::optional<double> semi_major_m;
  std::optional<double> semi_minor_m;
  std::optional<double> orientation_deg;  ///< of the major axis from true north
  std::optional<double> sigma_latitude_m;
  std::optional<double> sigma_longitude_m;
  std::optional<double> sigma_altitude_m;
};

struct Gsa {
  char mode = ' ';     ///< 'A' or 'M'
  int fix = 1;         ///< 1 none, 2 two-dimensional, 3 three-dimensional
  int satellites = 0;  ///< ids listed in this sentence
  std::optional<double> pdop;
  std::optional<double> hdop;
  std::optional<double> vdop;
  std::optional<int> system;
};

struct Gsv {
  int parts = 1;
  int part = 1;
  std::optional<int> in_view;
};

struct Rmc {
  Rmc() noexcept {}
  TimeOfDay time_of_day_ms;
  bool valid = false;  ///< status A
  std::optional<Position> position;
  std::optional<double> speed_mps;
  std::optional<double> course_deg;
  std::optional<int> day, month, year_two_digits;
  char mode = ' ';               ///< ' ' when not printed
  char navigation_status = ' ';  ///< may be 'V' beside perfect fixes: never a reason to refuse
};

struct Zda {
  TimeOfDay time_of_day_ms;
  std::optional<Date> date;
};

struct Gns {
  Gns() noexcept {}
  TimeOfDay time_of_day_ms;
  std::optional<Position> position;
  std::array<char, 8> modes{};  ///< one letter a system, 0-terminated, the first seven
  std::optional<int> satellites;
  std::optional<double> hdop;
  std::optional<double> altitude_m;
  std::optional<double> geoid_separation_m;
  int height_decimals = kMostDecimals;  ///< as in `Gga`
  std::optional<Age> age;
  std::optional<int> station;
};

struct Vtg {
  std::optional<double> speed_mps;
  char mode = ' ';
};

struct Dtm {
  std::array<char, 8> local{};  ///< local datum code as printed, e.g. "W84", "999"
  std::optional<double> latitude_offset_min;
  std::optional<double> longitude_offset_min;
  std::optional<double> altitude_offset_m;
  std::array<char, 8> reference{};
};

/// A well-framed sentence of a kind nobody here reads (GLL, proprietary ones …).
struct Other {};
/// A kind we read, with fields that cannot be right.
struct Malformed {};

struct Decoded {
  std::array<char, 3> talker{};     ///< e.g. "GN"; empty for proprietary sentences
  std::array<char, 4> formatter{};  ///< e.g. "GGA"
  std::variant<Other, Malformed, Gga, Gst, Gsa, Gsv, Rmc, Zda, Gns, Vtg, Dtm> content;
};

/// `body` is what stands between '$' and '*'. Looks at one character after the other.
Decoded decode(std::string_view body) noexcept;

/// `decode` for a stream, several characters at a time and with the same answers. Receivers repeat their GSA sentences,
/// byte for byte, for seconds and minutes, so the newest of each system is remembered.
///
/// Threads: one decoder, one thread. What is returned lives until the next call.
class Decoder {
 public:
  const Decoded& decode(std::string_view body) noexcept;

 private:
  static constexpr std::size_t kLongest = 96;
  struct Remembered {
    std::size_t size = 0;
    std::array<char, kLongest> body{};
    Decoded decoded;
  };
  std::array<Remembered, 16> remembered_;
  Decoded decoded_;
};

}  // namespace stillpoint::nmea
