#pragma once
/// Correction frames for tests: fields written bit by bit, heads and checksums by Boost.CRC, and a framer without
/// speed.

#include <boost/crc.hpp>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "rtcm/framer.hpp"

namespace stillpoint::test {

/// CRC-24Q by a general-purpose library.
inline std::uint32_t crc_by_boost(std::string_view bytes) {
  boost::crc_optimal<24, 0x864CFB, 0, 0, false, false> sum;
  sum.process_bytes(bytes.data(), bytes.size());
  return sum.checksum();
}

/// A message, field after field.
class Fields {
 public:
  Fields& number(std::int64_t value, int bits) {
    for (int bit = bits - 1; bit >= 0; --bit) add((static_cast<std::uint64_t>(value) >> bit) & 1U);
    return *this;
  }
  Fields& text(std::string_view bytes) {
    for (const char c : bytes) number(static_cast<unsigned char>(c), 8);
    return *this;
  }
  Fields& counted(std::string_view bytes) { return number(static_cast<std::int64_t>(bytes.size()), 8).text(bytes); }
  const std::string& body() const { return body_; }

 private:
  void add(std::uint64_t bit) {
    if (used_ % 8 == 0) body_ += '\0';
    body_.back() = static_cast<char>(static_cast<unsigned char>(body_.back()) | bit << (7 - used_ % 8));
    ++used_;
  }

  std::string body_;
  std::size_t used_ = 0;
};

inline std::string rtcm_frame(std::string_view body) {
  std::string out{'\xD3', static_cast<char>(body.size() >> 8), static_cast<char>(body.size() & 0xFF)};
  out += body;
  const std::uint32_t sum = crc_by_boost(out);
  for (const int shift : {16, 8, 0}) out += static_cast<char>(sum >> shift & 0xFF);
  return out;
}

inline std::string bytes_of_hex(std::string_view hex) {
  std::string out;
  for (std::size_t i = 0; i + 1 < hex.size(); i += 2) {
    out += static_cast<char>(std::stoi(std::string(hex.substr(i, 2)), nullptr, 16));
  }
  return out;
}

struct RtcmFramed {
  std::vector<std::string> bodies;
  std::vector<std::uint64_t> begins, ends;
  rtcm::Counters counters;
  bool operator==(const RtcmFramed&) const = default;

  void take(const rtcm::Frame& frame) {
    bodies.emplace_back(frame.body);
    begins.push_back(frame.begin);
    ends.push_back(frame.end);
  }
};

/// Framed by the framer, in these chunks.
inline RtcmFramed rtcm_framed(const std::vector<std::string_view>& chunks) {
  RtcmFramed out;
  rtcm::Framer framer;
  const auto take = [&](const rtcm::Frame& frame) { out.take(frame); };
  for (const std::string_view chunk : chunks) framer.push(chunk, take);
  framer.finish(take);
  out.counters = framer.counters();
  return out;
}

/// The same rule over the whole stream at once: at each byte, is this a frame?
inline RtcmFramed rtcm_framed_plainly(std::string_view stream) {
  RtcmFramed out;
  out.counters.bytes = stream.size();
  const auto at = [&](std::size_t i) { return static_cast<std::size_t>(static_cast<unsigned char>(stream[i])); };
  for (std::size_t i = 0; i < stream.size();) {
    const bool is_start = at(i) == 0xD3 && (i + 1 == stream.size() || (at(i + 1) & 0xFC) == 0);
    const std::size_t left = stream.size() - i;
    const std::size_t length = left < 3 ? 6 : 6 + at(i + 1) % 4 * 256 + at(i + 2);
    if (is_start && length <= left) {
      const std::string_view whole = stream.substr(i, length);
      if (crc_by_boost(whole) == 0) {  // a checksum behind its own bytes leaves no rest
        out.take({whole.substr(3, length - 6), i, i + length});
        ++out.counters.frames;
        out.counters.frame_bytes += length;
        i += length;
        continue;
      }
      ++out.counters.damage.bad_checksum;
    } else if (is_start) {
      ++out.counters.damage.cut_short;
    }
    ++out.counters.damage.garbage_bytes;
    ++i;
  }
  return out;
}

}  // namespace stillpoint::test
