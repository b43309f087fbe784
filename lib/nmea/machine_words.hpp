#pragma once
/// Several characters at a time: eight in a 64-bit word, the first one in the lowest byte, or sixteen in a vector where
/// the processor always has them (SSE2 on every x86-64). The vector functions have a twin in words that is used
/// elsewhere; the tests compare both with looking at one character after the other.
///
/// Units:   characters.
/// Threads: pure functions.
/// Errors:  none.

#include <array>
#include <bit>
#include <cstddef>
#include <cstdint>
#include <cstring>
#if defined(__SSE2__)
#include <emmintrin.h>
#endif

/// Reading one field takes a few instructions. A call would double them, and would force the walk out of the registers
/// into memory.
#define STILLPOINT_INLINE [[gnu::always_inline]] inline

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

/// The high bit of each byte that is 0. The lowest mark is exact, the others are not.
constexpr std::uint64_t zero_bytes(std::uint64_t word) noexcept {
  return (word - kOnes) & ~word & kHighs;
}

/// The place of the lowest byte marked in `marks`, which are not all 0.
constexpr unsigned first_marked(std::uint64_t marks) noexcept {
  return static_cast<unsigned>(std::countr_zero(marks)) / 8U;
}

/// Eight characters as what they would stand for as digits.
constexpr std::uint64_t digit_values(std::uint64_t word) noexcept {
  return word ^ (kOnes * static_cast<unsigned char>('0'));
}

/// 0 when all eight are values of digits.
constexpr std::uint64_t no_digits(std::uint64_t values) noexcept {
  return (values | (values + kOnes * 0x76U)) & kHighs;
}

/// The number written by the values of eight digits: pairs, then fours, then all eight are put together.
constexpr std::uint64_t number_of(std::uint64_t values) noexcept {
  values = (values * (10 * 256 + 1)) >> 8U;
  values = ((values & 0x00FF00FF00FF00FFU) * (100 * 65'536 + 1)) >> 16U;
  return ((values & 0x0000FFFF0000FFFFU) * ((10'000ULL << 32U) + 1)) >> 32U;
}

/// The values of the last `length` (1 to 8) of the eight characters that end at `end`, with zeros in front.
inline std::uint64_t last_digits(const char* end, std::size_t length) noexcept {
  const unsigned unused = static_cast<unsigned>(8 - length) * 8U;
  return digit_values(load_word(end - 8)) >> unused << unused;
}

/// The high bit of a byte is set where it is '$', '*', or no printable ASCII. The lowest mark is exact; borrows and
/// carries can spoil only the bytes behind a true one.
constexpr std::uint64_t stops_in(std::uint64_t word) noexcept {
  const std::uint64_t no_text = (word - kOnes * 0x20U) | (word + kOnes) | word;
  const std::uint64_t is_dollar = (word ^ (kOnes * std::uint64_t{'$'})) - kOnes;
  const std::uint64_t is_star = (word ^ (kOnes * std::uint64_t{'*'})) - kOnes;
  return (no_text | is_dollar | is_star) & kHighs;
}

/// The XOR of all eight bytes.
constexpr std::uint8_t fold(std::uint64_t word) noexcept {
  word ^= word >> 32U;
  word ^= word >> 16U;
  word ^= word >> 8U;
  return static_cast<std::uint8_t>(word);
}

/// Characters in front of the first '$', '*' or byte that is no text, and their XOR.
struct Run {
  std::size_t length = 0;
  std::uint8_t parity = 0;
  bool operator==(const Run&) const = default;
};

/// Not inlined: with vectors it only reads the end of what has come so far.
[[gnu::noinline]] inline Run run_by_words(const char* at, std::size_t size) noexcept {
  std::uint64_t parity = 0;
  std::size_t length = 0;
  for (; length + 8 <= size; length += 8) {
    const std::uint64_t word = load_word(at + length);
    if (const std::uint64_t stops = stops_in(word); stops != 0) {
      const unsigned kept = first_marked(stops);
      parity ^= word & ((std::uint64_t{1} << (8 * kept)) - 1U);
      return {length + kept, fold(parity)};
    }
    parity ^= word;
  }
  std::uint8_t folded = fold(parity);
  for (; length < size; ++length) {
    const char c = at[length];
    if (c == '$' || c == '*' || c < 0x20 || c > 0x7E) break;
    folded = static_cast<std::uint8_t>(folded ^ static_cast<std::uint8_t>(c));
  }
  return {length, folded};
}

/// Bit i is set where character i of up to 64 is `c`.
inline std::uint64_t marks_by_words(const char* at, std::size_t size, char c) noexcept {
  std::uint64_t marks = 0;
  std::size_t i = 0;
  for (; i + 8 <= size; i += 8) {
    // One bit of each byte, gathered by a multiplication that adds them up without carries.
    const std::uint64_t bits = (equal_bytes(load_word(at + i), c) >> 7U) * 0x0102040810204080U >> 56U;
    marks |= bits << i;
  }
  for (; i < size; ++i) marks |= std::uint64_t{at[i] == c ? 1U : 0U} << i;
  return marks;
}

#if defined(__SSE2__)

inline __m128i load_vector(const char* at) noexcept {
  return _mm_loadu_si128(reinterpret_cast<const __m128i*>(at));
}

inline std::uint8_t fold(__m128i parity) noexcept {
  parity = _mm_xor_si128(parity, _mm_unpackhi_epi64(parity, parity));
  return fold(static_cast<std::uint64_t>(_mm_cvtsi128_si64(parity)));
}

/// The first `kept` characters of sixteen; the others are 0.
inline __m128i first_of_vector(__m128i chars, unsigned kept) noexcept {
  alignas(16) static constexpr std::array<std::int8_t, 32> kMasks{-1, -1, -1, -1, -1, -1, -1, -1,
                                                                  -1, -1, -1, -1, -1, -1, -1, -1};
  return _mm_and_si128(chars, _mm_loadu_si128(reinterpret_cast<const __m128i*>(kMasks.data() + 16 - kept)));
}

/// Bit i is set where character i of sixteen ends a run.
inline unsigned stops_of(__m128i chars) noexcept {
  const __m128i no_text = _mm_or_si128(_mm_cmplt_epi8(chars, _mm_set1_epi8(0x20)),  // signed: bytes past ASCII too
                                       _mm_cmpeq_epi8(chars, _mm_set1_epi8(0x7F)));
  const __m128i marker =
      _mm_or_si128(_mm_cmpeq_epi8(chars, _mm_set1_epi8('$')), _mm_cmpeq_epi8(chars, _mm_set1_epi8('*')));
  return static_cast<unsigned>(_mm_movemask_epi8(_mm_or_si128(no_text, marker)));
}

/// False: none of sixteen characters ends a run, for all lie between ',' and '~', as nearly all in a sentence do.
inline bool may_stop(__m128i chars) noexcept {
  constexpr auto kLast = static_cast<char>('~' - ',');
  const __m128i from_comma = _mm_sub_epi8(chars, _mm_set1_epi8(','));
  // What lies outside is greater, and gets its high bit set.
  return _mm_movemask_epi8(_mm_adds_epu8(from_comma, _mm_set1_epi8(static_cast<char>(0x7F - kLast)))) != 0;
}

inline Run run_by_vectors(const char* at, std::size_t size) noexcept {
  __m128i parity = _mm_setzero_si128();
  const char* from = at;
  for (const char* const end = at + size; end - from >= 16; from += 16) {
    const __m128i chars = load_vector(from);
    if (may_stop(chars)) {
      if (const unsigned stops = stops_of(chars); stops != 0) {
        const auto kept = static_cast<unsigned>(std::countr_zero(stops));
        return {static_cast<std::size_t>(from - at) + kept, fold(_mm_xor_si128(parity, first_of_vector(chars, kept)))};
      }
    }
    parity = _mm_xor_si128(parity, chars);
  }
  const auto length = static_cast<std::size_t>(from - at);
  const Run rest = run_by_words(from, size - length);
  return {length + rest.length, static_cast<std::uint8_t>(fold(parity) ^ rest.parity)};
}

inline std::uint64_t marks_by_vectors(const char* at, std::size_t size, char c) noexcept {
  if (size < 16) return marks_by_words(at, size, c);
  const __m128i wanted = _mm_set1_epi8(c);
  const auto marks_at = [&](std::size_t i) {
    return static_cast<std::uint64_t>(_mm_movemask_epi8(_mm_cmpeq_epi8(load_vector(at + i), wanted)));
  };
  std::uint64_t marks = 0;
  std::size_t i = 0;
  for (; i + 16 <= size; i += 16) marks |= marks_at(i) << i;
  // The last sixteen overlap what was looked at before.
  return i == size ? marks : marks | marks_at(size - 16) << (size - 16);
}

#endif

inline Run plain_run(const char* at, std::size_t size) noexcept {
#if defined(__SSE2__)
  return run_by_vectors(at, size);
#else
  return run_by_words(at, size);
#endif
}

inline std::uint64_t marks_of(const char* at, std::size_t size, char c) noexcept {
#if defined(__SSE2__)
  return marks_by_vectors(at, size, c);
#else
  return marks_by_words(at, size, c);
#endif
}

}  // namespace stillpoint::nmea
