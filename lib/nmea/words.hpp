#pragma once
/// Eight characters at a time in one 64-bit word, the first one in the lowest byte.
///
/// Everything here has a plain twin that looks at one character after the other; the tests compare them.
///
/// Units:   characters.
/// Threads: pure functions.
/// Errors:  none.

#include <bit>
#include <cstddef>
#include <cstdint>
#include <cstring>

namespace stillpoint::nmea {

inline constexpr std::uint64_t kOnes = 0x0101010101010101U;
inline constexpr std::uint64_t kHighs = 0x8080808080808080U;

inline std::uint64_t load_word(const char* at) noexcept {
  std::uint64_t word = 0;
  std::memcpy(&word, at, sizeof word);
  if constexpr (std::endian::native == std::endian::big) word = __builtin_bswap64(word);
  return word;
}

/// The high bit of each byte that equals `c`, exactly.
constexpr std::uint64_t equal_bytes(std::uint64_t word, char c) noexcept {
  const std::uint64_t other = word ^ (kOnes * static_cast<unsigned char>(c));
  return ~(((other & ~kHighs) + ~kHighs) | other) & kHighs;
}

/// The place of the lowest byte marked in `marks`, which are not all 0.
constexpr unsigned first_marked(std::uint64_t marks) noexcept {
  return static_cast<unsigned>(std::countr_zero(marks)) / 8U;
}

constexpr bool all_digits(std::uint64_t word) noexcept {
  return (((word + kOnes * 0x46U) | (word - kOnes * 0x30U)) & kHighs) == 0;
}

/// The number written by eight digits: pairs, then fours, then all eight are put together.
constexpr std::uint64_t eight_digits(std::uint64_t word) noexcept {
  word = ((word & (kOnes * 0x0FU)) * (10 * 256 + 1)) >> 8U;
  word = ((word & 0x00FF00FF00FF00FFU) * (100 * 65'536 + 1)) >> 16U;
  return ((word & 0x0000FFFF0000FFFFU) * ((10'000ULL << 32U) + 1)) >> 32U;
}

/// The last `length` (1 to 8) of the eight characters that end at `end`, with zeros in front instead of the others.
inline std::uint64_t last_padded(const char* end, std::size_t length) noexcept {
  const unsigned unused = static_cast<unsigned>(8 - length) * 8U;
  const std::uint64_t zeros = kOnes * static_cast<unsigned char>('0');
  return (load_word(end - 8) >> unused << unused) | (zeros & ~(~std::uint64_t{0} << unused));
}

}  // namespace stillpoint::nmea
