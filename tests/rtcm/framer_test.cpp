#include "rtcm/framer.hpp"

#include <doctest/doctest.h>

#include <random>

#include "rtcm/frames.hpp"

namespace stillpoint {
namespace {

using test::bytes_of_hex;
using test::rtcm_frame;
using test::rtcm_framed;
using test::rtcm_framed_plainly;

// The example of RTCM 10403 for message 1005, from memory; its own checksum agrees.
const std::string kStation2003 = bytes_of_hex("D300133ED7D30202980EDEEF34B4BD62AC0941986F33360B98");

std::vector<std::string_view> cut(std::string_view stream, std::size_t length) {
  std::vector<std::string_view> out;
  for (; !stream.empty(); stream.remove_prefix(out.back().size())) out.push_back(stream.substr(0, length));
  return out;
}

std::string random_bytes(std::mt19937& dice, std::size_t count) {
  std::string out;
  while (out.size() < count) out += static_cast<char>(dice() & 0xFF);
  return out;
}

TEST_CASE("the checksum is CRC-24Q") {
  // Check value of CRC-24Q with initial value 0 for the nine digits, from memory of published CRC catalogues.
  CHECK(rtcm::crc24q("123456789") == 0xCDE703);
  CHECK(rtcm::crc24q("") == 0);
  std::mt19937 dice(7);
  for (std::size_t length = 1; length < 300; length += 7) {
    const std::string bytes = random_bytes(dice, length);
    CHECK(rtcm::crc24q(bytes) == test::crc_by_boost(bytes));
  }
}

TEST_CASE("what the stream holds decides what is counted") {
  struct Row {
    const char* name;
    std::string bytes;
    std::uint64_t frames, bad_checksum, cut_short, garbage;
  };
  std::string flipped = kStation2003;
  flipped[10] = static_cast<char>(flipped[10] ^ 1);
  const std::vector<Row> rows{
      {"nothing", "", 0, 0, 0, 0},
      {"the published frame", kStation2003, 1, 0, 0, 0},
      {"two frames", kStation2003 + kStation2003, 2, 0, 0, 0},
      {"an empty frame is a filler", rtcm_frame(""), 1, 0, 0, 0},
      {"the longest frame", rtcm_frame(std::string(1023, 'x')), 1, 0, 0, 0},
      {"noise around it", "noise" + kStation2003 + "!", 1, 0, 0, 6},
      {"one bit turned, in a frame with a preamble inside", flipped, 0, 1, 1, 25},
      {"a lone preamble in front", "\xD3" + kStation2003, 1, 0, 0, 1},
      {"a preamble whose reserved bits are set", "\xD3\x04" + kStation2003, 1, 0, 0, 2},
      {"a false head that hides a frame", std::string("\xD3\x00\x05", 3) + kStation2003, 1, 1, 0, 3},
      {"a false head at the end", kStation2003 + std::string("\xD3\x03\xFF", 3), 1, 0, 1, 3},
      {"a false head that waits for more than comes", std::string("\xD3\x03\xFF", 3) + kStation2003, 1, 0, 1, 3},
      {"cut inside the body", kStation2003.substr(0, 12), 0, 0, 2, 12},
      {"cut behind the preamble", kStation2003.substr(0, 1), 0, 0, 1, 1},
      {"sentences of a receiver", "$GNGGA,1*00\r\n", 0, 0, 0, 13},
  };
  for (const Row& row : rows) {
    CAPTURE(std::string(row.name));
    const auto seen = rtcm_framed({row.bytes});
    CHECK(seen.counters.bytes == row.bytes.size());
    CHECK(seen.counters.frames == row.frames);
    CHECK(seen.counters.damage.bad_checksum == row.bad_checksum);
    CHECK(seen.counters.damage.cut_short == row.cut_short);
    CHECK(seen.counters.damage.garbage_bytes == row.garbage);
    CHECK(seen.counters.bytes == seen.counters.frame_bytes + seen.counters.damage.garbage_bytes);
    CHECK(seen == rtcm_framed_plainly(row.bytes));
  }
}

TEST_CASE("how a stream is cut into chunks changes nothing") {
  std::mt19937 dice(11);
  for (int round = 0; round < 20; ++round) {
    std::string stream;
    for (int part = 0; part < 12; ++part) {
      stream += random_bytes(dice, dice() % 40);
      if (dice() % 2 == 0) stream += std::string("\xD3\x00", 2);
      stream += rtcm_frame(random_bytes(dice, dice() % 900));
    }
    const auto plain = rtcm_framed_plainly(stream);
    CHECK(plain.counters.frames >= 12);
    for (const std::size_t length : {std::size_t{1}, std::size_t{2}, std::size_t{3}, std::size_t{7}, std::size_t{1000},
                                     std::size_t{1029}, std::size_t{1030}, stream.size()}) {
      CAPTURE(length);
      CHECK(rtcm_framed(cut(stream, length)) == plain);
    }
  }
}

TEST_CASE("no single turned bit leaves a frame that was not sent") {
  const std::string stream = kStation2003 + rtcm_frame("abcdefgh") + kStation2003;
  const auto sent = rtcm_framed_plainly(stream).bodies;
  for (std::size_t bit = 0; bit < stream.size() * 8; ++bit) {
    CAPTURE(bit);
    std::string turned = stream;
    turned[bit / 8] = static_cast<char>(turned[bit / 8] ^ 1 << bit % 8);
    const auto seen = rtcm_framed({turned}).bodies;
    CHECK(seen.size() == 2);
    for (const std::string& body : seen) CHECK((body == sent[0] || body == sent[1]));
  }
}

TEST_CASE("a whole frame is handed on as soon as its last byte is there") {
  rtcm::Framer framer;
  int seen = 0;
  const auto count = [&](const rtcm::Frame&) { ++seen; };
  framer.push(std::string_view(kStation2003).substr(0, kStation2003.size() - 1), count);
  CHECK(seen == 0);
  framer.push(std::string_view(kStation2003).substr(kStation2003.size() - 1), count);
  CHECK(seen == 1);
}

}  // namespace
}  // namespace stillpoint
