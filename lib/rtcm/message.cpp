#include "rtcm/message.hpp"

#include <bit>
#include <cstddef>

namespace stillpoint::rtcm {
namespace {

constexpr double kEcefStep_m = 0.0001;
constexpr double kHeightStep_m = 0.0001;
constexpr double kBiasStep_m = 0.02;

/// Fields one after the other, most significant bit first. A read past the end gives zeros and is remembered.
class Bits {
 public:
  explicit Bits(std::string_view bytes) noexcept : bytes_(bytes) {}

  std::uint64_t number(int bits) noexcept {
    std::uint64_t value = 0;
    for (int i = 0; i < bits; ++i) value = value << 1 | bit();
    return value;
  }
  int small(int bits) noexcept { return static_cast<int>(number(bits)); }
  bool flag() noexcept { return number(1) != 0; }

  /// Two's complement.
  std::int64_t signed_number(int bits) noexcept {
    const std::uint64_t value = number(bits);
    const std::uint64_t sign = std::uint64_t{1} << (bits - 1);
    return static_cast<std::int64_t>(value ^ sign) - static_cast<std::int64_t>(sign);
  }

  /// So many bytes as they are. Only between fields that end on a whole byte.
  std::string_view text(std::size_t length) noexcept {
    const std::size_t from = at_ / 8;
    at_ += length * 8;
    if (!is_whole()) return {};
    return bytes_.substr(from, length);
  }
  /// A text behind its length of eight bits.
  std::string_view counted_text() noexcept {
    const auto length = static_cast<std::size_t>(number(8));
    return text(length);
  }

  void skip(int bits) noexcept { at_ += static_cast<std::size_t>(bits); }
  /// Nothing was read past the end.
  bool is_whole() const noexcept { return at_ <= bytes_.size() * 8; }

 private:
  unsigned bit() noexcept {
    const std::size_t byte = at_ / 8;
    const unsigned shift = 7 - static_cast<unsigned>(at_ % 8);
    ++at_;
    return byte < bytes_.size() ? (static_cast<unsigned char>(bytes_[byte]) >> shift) & 1U : 0U;
  }

  std::string_view bytes_;
  std::size_t at_ = 0;
};

BasePosition base_position(Bits& bits, bool has_height) noexcept {
  BasePosition out;
  out.station = bits.small(12);
  out.realization_year = bits.small(6);
  out.has_gps = bits.flag();
  out.has_glonass = bits.flag();
  out.has_galileo = bits.flag();
  out.is_computed = bits.flag();
  out.ecef_m[0] = static_cast<double>(bits.signed_number(38)) * kEcefStep_m;
  bits.skip(2);  // oscillator, reserved
  out.ecef_m[1] = static_cast<double>(bits.signed_number(38)) * kEcefStep_m;
  bits.skip(2);  // quarter cycle
  out.ecef_m[2] = static_cast<double>(bits.signed_number(38)) * kEcefStep_m;
  if (has_height) out.antenna_up_m = static_cast<double>(bits.number(16)) * kHeightStep_m;
  return out;
}

BaseEquipment base_equipment(Bits& bits, int type) noexcept {
  BaseEquipment out;
  out.station = bits.small(12);
  out.antenna = bits.counted_text();
  out.antenna_setup = bits.small(8);
  if (type == 1007) return out;
  out.antenna_serial = bits.counted_text();
  if (type == 1008) return out;
  out.receiver = bits.counted_text();
  out.firmware = bits.counted_text();
  out.receiver_serial = bits.counted_text();
  return out;
}

Text text(Bits& bits) noexcept {
  Text out;
  out.station = bits.small(12);
  out.modified_julian_day = bits.small(16);
  out.second_of_day = bits.small(17);
  bits.skip(7);  // the number of characters follows from the text
  out.utf8 = bits.counted_text();
  return out;
}

GlonassBiases glonass_biases(Bits& bits) noexcept {
  GlonassBiases out;
  out.station = bits.small(12);
  out.is_corrected = bits.flag();
  bits.skip(3);
  std::array<bool, 4> is_there{};
  for (bool& one : is_there) one = bits.flag();
  for (std::size_t i = 0; i < is_there.size(); ++i) {
    if (is_there[i]) out.bias_m[i] = static_cast<double>(bits.signed_number(16)) * kBiasStep_m;
  }
  return out;
}

/// 1001-1004 of GPS and 1009-1012 of GLONASS, which counts in milliseconds of its day.
Observations older_observations(Bits& bits, System system) noexcept {
  Observations out;
  out.system = system;
  out.station = bits.small(12);
  out.time_ms = static_cast<std::uint32_t>(bits.number(system == System::glonass ? 27 : 30));
  out.more_follow = bits.flag();
  out.satellites = bits.small(5);
  bits.skip(4);  // smoothing
  return out;
}

/// 1071-1137: seven types a system.
Observations multiple_signals(Bits& bits, System system) noexcept {
  Observations out;
  out.system = system;
  out.station = bits.small(12);
  if (system == System::glonass) bits.skip(3);  // day of the week, of which 7 means that it is not known
  out.time_ms = static_cast<std::uint32_t>(bits.number(system == System::glonass ? 27 : 30));
  out.more_follow = bits.flag();
  bits.skip(3 + 7 + 2 + 2 + 1 + 3);  // issue, reserved, clock steering, external clock, smoothing and its interval
  out.satellites = std::popcount(bits.number(64));
  bits.skip(32);  // signals
  return out;
}

std::optional<System> system_of(int type) noexcept {
  if (type >= 1001 && type <= 1004) return System::gps;
  if (type >= 1009 && type <= 1012) return System::glonass;
  if (type < 1071 || type > 1137 || type % 10 < 1 || type % 10 > 7) return std::nullopt;
  return static_cast<System>((type - 1071) / 10);
}

template <class Content>
Message finished(int type, const Bits& bits, const Content& content) noexcept {
  Message out{type, {}};
  if (bits.is_whole()) {
    out.content = content;
  } else {
    out.content = Malformed{};
  }
  return out;
}

}  // namespace

Message decode(std::string_view body) noexcept {
  Bits bits(body);
  const int type = bits.small(12);
  if (!bits.is_whole()) return {0, body.empty() ? Message{}.content : Malformed{}};
  if (type == 1005 || type == 1006) return finished(type, bits, base_position(bits, type == 1006));
  if (type == 1007 || type == 1008 || type == 1033) return finished(type, bits, base_equipment(bits, type));
  if (type == 1029) return finished(type, bits, text(bits));
  if (type == 1230) return finished(type, bits, glonass_biases(bits));
  if (const auto system = system_of(type)) {
    return finished(type, bits, type < 1071 ? older_observations(bits, *system) : multiple_signals(bits, *system));
  }
  return {type, Other{}};
}

}  // namespace stillpoint::rtcm
