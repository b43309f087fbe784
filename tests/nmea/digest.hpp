#pragma once
/// One number for everything a decoded sentence says, to the last bit: two decoders agree when their digests do.

#include <bit>
#include <cstdint>
#include <type_traits>
#include <variant>

#include "nmea/decode.hpp"

namespace stillpoint::test {

class Digest {
 public:
  std::uint64_t value() const noexcept { return value_; }

  void add(const nmea::Decoded& decoded) noexcept {
    for (const char c : decoded.talker) add(c);
    for (const char c : decoded.formatter) add(c);
    add(static_cast<std::uint64_t>(decoded.content.index()));
    std::visit([this](const auto& content) { say(content); }, decoded.content);
  }

 private:
  void add(std::uint64_t bits) noexcept {
    value_ = (value_ ^ bits) * 0x9E3779B97F4A7C15U;
    value_ ^= value_ >> 31U;
  }
  void add(char c) noexcept { add(std::uint64_t{static_cast<unsigned char>(c)}); }
  void add(bool b) noexcept { add(std::uint64_t{b ? 1U : 0U}); }
  void add(int n) noexcept { add(static_cast<std::uint64_t>(static_cast<std::int64_t>(n))); }
  void add(double d) noexcept { add(std::bit_cast<std::uint64_t>(d)); }
  void add(Quality q) noexcept { add(static_cast<int>(q)); }
  void add(const nmea::Age& age) noexcept { add_all(age.seconds, age.integer_zero); }
  void add(const Date& d) noexcept { add_all(d.year, d.month, d.day); }
  void add(const nmea::Position& p) noexcept {
    add_all(p.latitude_deg, p.longitude_deg, p.minute_decimals, p.digits_hash);
  }
  void add(const std::array<char, 8>& text) noexcept {
    for (const char c : text) add(c);
  }
  template <class T>
  void add(const std::optional<T>& value) noexcept {
    add(value.has_value());
    if (value) add(*value);
  }
  template <class... Values>
  void add_all(const Values&... values) noexcept {
    (add(values), ...);
  }

  void say(const nmea::Other&) noexcept {}
  void say(const nmea::Malformed&) noexcept {}
  void say(const nmea::Gga& s) noexcept {
    add_all(s.time_of_day_ms, s.position, s.quality, s.satellites, s.hdop, s.altitude_m, s.geoid_separation_m, s.age,
            s.station);
  }
  void say(const nmea::Gst& s) noexcept {
    add_all(s.time_of_day_ms, s.range_rms_m, s.semi_major_m, s.semi_minor_m, s.orientation_deg, s.sigma_latitude_m,
            s.sigma_longitude_m, s.sigma_altitude_m);
  }
  void say(const nmea::Gsa& s) noexcept { add_all(s.mode, s.fix, s.satellites, s.pdop, s.hdop, s.vdop, s.system); }
  void say(const nmea::Gsv& s) noexcept { add_all(s.parts, s.part, s.in_view); }
  void say(const nmea::Rmc& s) noexcept {
    add_all(s.time_of_day_ms, s.valid, s.position, s.speed_mps, s.course_deg, s.day, s.month, s.year_two_digits, s.mode,
            s.navigation_status);
  }
  void say(const nmea::Zda& s) noexcept { add_all(s.time_of_day_ms, s.date); }
  void say(const nmea::Gns& s) noexcept {
    add_all(s.time_of_day_ms, s.position, s.modes, s.satellites, s.hdop, s.altitude_m, s.geoid_separation_m, s.age,
            s.station);
  }
  void say(const nmea::Vtg& s) noexcept { add_all(s.speed_mps, s.mode); }
  void say(const nmea::Dtm& s) noexcept {
    add_all(s.local, s.latitude_offset_min, s.longitude_offset_min, s.altitude_offset_m, s.reference);
  }

  std::uint64_t value_ = 0;
};

inline std::uint64_t digest_of(const nmea::Decoded& decoded) noexcept {
  Digest digest;
  digest.add(decoded);
  return digest.value();
}

}  // namespace stillpoint::test
