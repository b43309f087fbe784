#include "rtcm/encode.hpp"

#include <cmath>
#include <cstddef>

#include "rtcm/framer.hpp"

namespace stillpoint::rtcm {
namespace {

/// Numbers of any width, the most significant bit first.
class Bits {
 public:
  Bits& add(std::int64_t value, int width) {
    for (int bit = width - 1; bit >= 0; --bit) {
      if (used_ % 8 == 0) bytes_ += '\0';
      const auto one = static_cast<unsigned>(static_cast<std::uint64_t>(value) >> bit & 1U);
      bytes_.back() = static_cast<char>(static_cast<unsigned char>(bytes_.back()) | one << (7 - used_ % 8));
      ++used_;
    }
    return *this;
  }
  const std::string& bytes() const noexcept { return bytes_; }

 private:
  std::string bytes_;
  std::size_t used_ = 0;
};

std::int64_t steps_of(double metres) noexcept {
  return std::llround(metres * 10'000);
}

}  // namespace

std::string frame_of(std::string_view body) {
  std::string out{'\xD3', static_cast<char>(body.size() >> 8U & 3U), static_cast<char>(body.size() & 0xFFU)};
  out += body;
  const std::uint32_t sum = crc24q(out);
  for (const unsigned shift : {16U, 8U, 0U}) out += static_cast<char>(sum >> shift & 0xFFU);
  return out;
}

std::string base_position_frame(int station, const std::array<double, 3>& ecef_m) {
  Bits out;
  out.add(1005, 12).add(station, 12).add(0, 6);  // realization year: not told
  out.add(1, 1).add(1, 1).add(1, 1).add(0, 1);   // GPS, GLONASS, Galileo; a station that exists
  out.add(steps_of(ecef_m[0]), 38).add(1, 1).add(0, 1);
  out.add(steps_of(ecef_m[1]), 38).add(0, 2);
  out.add(steps_of(ecef_m[2]), 38);
  return frame_of(out.bytes());
}

std::string observations_frame(int station, std::int64_t ms_of_week) {
  constexpr int kSatellites = 8;
  Bits out;
  out.add(1074, 12).add(station, 12).add(ms_of_week, 30);
  out.add(0, 1).add(0, 3).add(0, 7).add(0, 2).add(0, 2).add(0, 1).add(0, 3);
  out.add((1 << kSatellites) - 1, 32).add(0, 32);  // satellites 25 to 32 of 64
  out.add(1, 2).add(0, 30);                        // the second of 32 signals
  out.add(0, kSatellites);                         // no cell: no observation
  for (int i = 0; i < kSatellites; ++i) out.add(0, 8);
  for (int i = 0; i < kSatellites; ++i) out.add(0, 10);
  return frame_of(out.bytes());
}

}  // namespace stillpoint::rtcm
