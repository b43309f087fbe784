#include <doctest/doctest.h>

#include <array>
#include <cstdint>
#include <fstream>
#include <iterator>
#include <string>
#include <string_view>
#include <variant>

#include "nmea/decode.hpp"
#include "nmea/framer.hpp"

using namespace stillpoint;

namespace {

std::string demo_log() {
  std::ifstream in(std::string(STILLPOINT_REPLAY_LOGS) + "/harrowfen-culverts.nmea", std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

/// Framed and decoded as the session does it: what the decoder cannot read is counted as damage too.
nmea::Counters counters_of(std::string_view bytes) {
  nmea::Framer framer;
  std::uint64_t malformed = 0;
  framer.push(bytes, [&](const nmea::Sentence& sentence) {
    if (std::holds_alternative<nmea::Malformed>(nmea::decode(sentence.body).content)) ++malformed;
  });
  framer.finish();
  framer.damage().malformed += malformed;
  return framer.counters();
}

/// The one change that changes nothing: a checksum digit A to F written small is the same digit.
bool is_same_checksum_digit(const std::string& text, std::size_t at, char now) {
  const bool digit = text[at - 1] == '*' || text[at - 2] == '*';
  return digit && text[at] >= 'A' && text[at] <= 'F' && now == text[at] + ('a' - 'A');
}

}  // namespace

TEST_CASE("one changed byte anywhere inside a sentence of the demo log shows in the damage counters") {
  const std::string log = demo_log();
  REQUIRE(log.size() > 400000);
  REQUIRE(counters_of(log).damage == nmea::Damage{});

  // Neighbours stand on both sides, so that two sentences run together are seen too.
  constexpr std::array<char, 8> kNew{'$', '*', '!', '\r', '\n', '0', ',', '\0'};
  std::uint64_t changed = 0, unnoticed = 0;
  for (std::size_t begin = 0; begin < log.size();) {
    const std::size_t end = log.find('\n', begin) + 1;
    const std::size_t from = begin < 200 ? 0 : log.rfind('\n', begin - 100) + 1;
    std::string around = log.substr(from, end + 100 - from);
    around.resize(around.rfind('\n') + 1);
    REQUIRE(counters_of(around).damage == nmea::Damage{});
    for (std::size_t at = begin - from; at + 2 < end - from; ++at) {
      const char old = around[at];
      const std::size_t turn = begin + at;
      for (const char now : {kNew[turn % kNew.size()], static_cast<char>(old ^ (1 << (turn / 3 % 8)))}) {
        around[at] = old;
        if (now == old || is_same_checksum_digit(around, at, now)) continue;
        around[at] = now;
        ++changed;
        if (counters_of(around).damage == nmea::Damage{} && ++unnoticed <= 10) {
          CAPTURE(around);
          FAIL_CHECK("changed unnoticed");  // the first ten are enough to read
        }
      }
      around[at] = old;
    }
    begin = end;
  }
  CHECK(changed > 700000);
  CHECK(unnoticed == 0);
}
