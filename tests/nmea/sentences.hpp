#pragma once
/// Helps tests to write sentences and to collect what a framer finds.

#include <array>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "nmea/framer.hpp"

namespace stillpoint::test {

inline std::string checksum_of(std::string_view body) {
  unsigned parity = 0;
  for (const char c : body) parity ^= static_cast<unsigned char>(c);
  constexpr std::string_view kHex = "0123456789ABCDEF";
  return {kHex[parity >> 4U], kHex[parity & 15U]};
}

/// `start`, the body, '*' and its checksum.
inline std::string wrapped(char start, std::string_view body) {
  std::string text(1, start);
  text += body;
  text += '*';
  text += checksum_of(body);
  return text;
}

/// "$body*hh" without a line end.
inline std::string framed(std::string_view body) {
  return wrapped('$', body);
}
inline std::string line(std::string_view body) {
  return wrapped('$', body) + "\r\n";
}
inline std::string tag(std::string_view parameters) {
  return wrapped('\\', parameters) + "\\";
}

/// A sentence with a body of its own.
struct Found {
  std::string body;
  std::uint64_t begin = 0;
  std::uint64_t end = 0;
  std::optional<std::int64_t> tag_time;
  bool operator==(const Found&) const = default;
};

struct Framed {
  std::vector<Found> sentences;
  nmea::Counters counters;
  bool operator==(const Framed&) const = default;
};

/// Frames chunks and ends the stream.
inline Framed frame(const std::vector<std::string_view>& chunks) {
  Framed result;
  nmea::Framer framer;
  for (const std::string_view chunk : chunks) {
    framer.push(chunk, [&](const nmea::Sentence& s) {
      result.sentences.push_back({std::string(s.body), s.begin, s.end, s.tag_time});
    });
  }
  framer.finish();
  result.counters = framer.counters();
  return result;
}
inline Framed frame(std::string_view bytes) {
  return frame(std::vector<std::string_view>{bytes});
}

/// Every byte has one place in the account once the stream has ended.
inline bool account_closes(const nmea::Counters& c) {
  return c.bytes == c.sentence_bytes + c.tag_bytes + c.line_end_bytes + c.damage.garbage_bytes;
}

/// A small generator of its own, so that a failing case can be repeated anywhere.
class Dice {
 public:
  explicit Dice(std::uint64_t seed) : state_(seed * 2 + 1) {}
  std::uint32_t roll(std::uint32_t sides) {
    state_ = state_ * 6364136223846793005U + 1442695040888963407U;
    return static_cast<std::uint32_t>(state_ >> 33U) % sides;
  }

 private:
  std::uint64_t state_;
};

}  // namespace stillpoint::test
