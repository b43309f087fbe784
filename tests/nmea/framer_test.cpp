#include "nmea/framer.hpp"

#include <doctest/doctest.h>

#include "nmea/plain_framer.hpp"
#include "nmea/sentences.hpp"

namespace stillpoint {
namespace {

using test::frame;
using test::framed;
using test::line;
using test::tag;

const std::string kGga = "GNGGA,140000.00,4736.00000,N,08724.00000,W,2,11,0.80,183.20,M,-33.90,M,4.0,0133";
const std::string kGst = "GNGST,140000.00,0.52,0.31,0.22,41.5,0.27,0.26,0.48";
const std::string kBinary{"\xB5\x62\x01\x07$\x00\x5C\x2A\x34\x31\r\xFF", 12};

/// A little of everything that lines have been seen to carry.
std::string rich_stream() {
  return line(kGga) + line(kGst) + tag("c:1780495200,s:rover") + line(kGga) + kBinary + framed(kGst) + "\n" +
         "GNGGA,14" + framed(kGga) + framed(kGst) + "\r" + "$GNRMC,1400" + line(kGga) + "!AIVDM,1,1,,A,15M,0*5C\r\n" +
         "$GNVTG,,T,,M,0.1,N,0.2,K,A\r\n" + "$GNGSA,A,3*00\r\n" + tag("g:1-2-7,c:1780495200123") + framed(kGst) +
         "\\s:torn" + line("PXYZ,a!b*q") + "$GNGGA,1400";
}

TEST_CASE("what a line holds decides what is counted") {
  struct Row {
    const char* name;
    std::string bytes;
    std::uint64_t sentences, bad_checksum, no_checksum, oversize, cut_short, garbage;
  };
  const std::string good = framed(kGst);
  const std::uint64_t n = good.size();
  const std::string long_body = "GNTXT," + std::string(502, 'x');
  const std::vector<Row> rows{
      {"nothing", "", 0, 0, 0, 0, 0, 0},
      {"a sentence and CRLF", good + "\r\n", 1, 0, 0, 0, 0, 0},
      {"a sentence and LF", good + "\n", 1, 0, 0, 0, 0, 0},
      {"a sentence and CR", good + "\r", 1, 0, 0, 0, 0, 0},
      {"a sentence and the end", good, 1, 0, 0, 0, 0, 0},
      {"two sentences without a line end", good + good, 2, 0, 0, 0, 0, 0},
      {"a checksum that disagrees", "$GNGST,1*00\r\n", 0, 1, 0, 0, 0, 11},
      {"a sentence without a checksum", "$GNGST,1\r\n", 0, 0, 1, 0, 0, 8},
      {"a star without hex digits is text", "$GNGST,1*3)\r\n", 0, 0, 1, 0, 0, 11},
      {"a star in the body", framed("PXYZ,5*x"), 1, 0, 0, 0, 0, 0},
      {"an exclamation mark in the body", framed("PXYZ,5!x"), 1, 0, 0, 0, 0, 0},
      {"half a sentence, then a whole one", "$GNGST,14" + good, 1, 0, 0, 0, 1, 9},
      {"half a checksum, then a whole sentence", "$GNGST,1*5" + good, 1, 0, 0, 0, 1, 10},
      {"garbage of eight bytes in front", "8 bytes:" + good, 1, 0, 0, 0, 0, 8},
      {"a byte that is no text breaks the sentence", "$GNGST,\x07" + good, 1, 0, 0, 0, 1, 8},
      {"a byte past ASCII breaks the sentence", "$GNGST,\xE9" + good, 1, 0, 0, 0, 1, 8},
      {"DEL breaks the sentence", "$GNGST,\x7F" + good, 1, 0, 0, 0, 1, 8},
      {"another kind of sentence is not ours", "!AIVDM,1,1,,A,15M,0*5C\r\n", 0, 0, 0, 0, 0, 22},
      {"the stream ends inside a sentence", "$GNGST,1*5", 0, 0, 0, 0, 1, 10},
      {"the longest sentence allowed", framed(long_body), 1, 0, 0, 0, 0, 0},
      {"one byte longer", framed(long_body + "x"), 0, 0, 0, 1, 0, 513},
      {"a TAG block is no garbage", tag("c:1") + good, 1, 0, 0, 0, 0, 0},
      {"a TAG block that disagrees costs itself only", "\\c:1*00\\" + good, 1, 1, 0, 0, 0, 8},
      {"a TAG block cut by its sentence", "\\c:1" + good, 1, 0, 0, 0, 0, 4},
  };
  for (const Row& row : rows) {
    CAPTURE(std::string(row.name));
    const test::Framed result = frame(row.bytes);
    const nmea::Damage& damage = result.counters.damage;
    CHECK(result.counters.bytes == row.bytes.size());
    CHECK(result.counters.sentences == row.sentences);
    CHECK(result.sentences.size() == row.sentences);
    CHECK(damage.bad_checksum == row.bad_checksum);
    CHECK(damage.no_checksum == row.no_checksum);
    CHECK(damage.oversize == row.oversize);
    CHECK(damage.cut_short == row.cut_short);
    CHECK(damage.garbage_bytes == row.garbage);
    CHECK(test::account_closes(result.counters));
  }
  CHECK(n == framed(kGst).size());
}

TEST_CASE("the body and its offsets are those of the stream") {
  const std::string before = "noise\r\n";
  const test::Framed result = frame(before + line(kGga) + line(kGst));
  REQUIRE(result.sentences.size() == 2);
  CHECK(result.sentences[0].body == kGga);
  CHECK(result.sentences[0].begin == before.size());
  CHECK(result.sentences[0].end == before.size() + framed(kGga).size());
  CHECK(result.sentences[1].body == kGst);
  CHECK(result.sentences[1].begin == before.size() + line(kGga).size());
}

TEST_CASE("published sentences keep their published checksums") {
  // From the open manuals and recordings that everybody quotes; the checksums are theirs.
  for (const std::string text :
       {"$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47",
        "$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A",
        "$GPGSA,A,3,04,05,,09,12,,,24,,,,,2.5,1.3,2.1*39", "$GPVTG,054.7,T,034.4,M,005.5,N,010.2,K*48"}) {
    CAPTURE(text);
    CHECK(frame(text).counters.sentences == 1);
  }
}

TEST_CASE("a lower-case checksum is used and counted") {
  const std::string upper = "$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A";
  std::string lower = upper;
  lower.back() = 'a';
  CHECK(frame(upper).counters.lower_case == 0);
  CHECK(frame(lower).counters.lower_case == 1);
  CHECK(frame(lower).counters.sentences == 1);
}

TEST_CASE("the time of a TAG block reaches only the sentence directly behind it") {
  struct Row {
    const char* name;
    std::string between;
    std::optional<std::int64_t> time;
  };
  const std::vector<Row> rows{
      {"seconds", tag("c:1780495200"), 1780495200},
      {"milliseconds", tag("c:1780495200123"), 1780495200123},
      {"among other parameters", tag("s:rover,c:1780495200,g:1-2-9"), 1780495200},
      {"a second block without a time", tag("c:5") + tag("s:rover"), 5},
      {"a block without a time", tag("s:rover"), std::nullopt},
      {"a time that is no number", tag("c:noon"), std::nullopt},
      {"a wrong checksum", "\\c:1780495200*00\\", std::nullopt},
      {"a line end between", tag("c:1780495200") + "\r\n", std::nullopt},
      {"a byte between", tag("c:1780495200") + " ", std::nullopt},
      {"another sentence between", tag("c:1780495200") + framed(kGst), std::nullopt},
      {"a broken sentence between", tag("c:1780495200") + "$GNGST", std::nullopt},
  };
  for (const Row& row : rows) {
    CAPTURE(std::string(row.name));
    const test::Framed result = frame(row.between + framed(kGga));
    REQUIRE(!result.sentences.empty());
    CHECK(result.sentences.back().tag_time == row.time);
  }
}

TEST_CASE("a stream cut in two anywhere gives the same answer") {
  const std::string stream = rich_stream();
  const test::Framed whole = frame(stream);
  CHECK(whole.counters.sentences == 9);
  CHECK(test::account_closes(whole.counters));
  const std::string_view view = stream;
  for (std::size_t cut = 0; cut <= stream.size(); ++cut) {
    CAPTURE(cut);
    REQUIRE(frame({view.substr(0, cut), view.substr(cut)}) == whole);
  }
}

TEST_CASE("a stream fed byte by byte gives the same answer") {
  const std::string stream = rich_stream();
  std::vector<std::string_view> bytes;
  for (std::size_t i = 0; i < stream.size(); ++i) bytes.push_back(std::string_view(stream).substr(i, 1));
  CHECK(frame(bytes) == frame(stream));
}

/// Words out of which streams are thrown together, good and bad ones.
std::string random_stream(test::Dice& dice) {
  const std::vector<std::string> words{line(kGga),
                                       framed(kGst),
                                       tag("c:17,s:a"),
                                       tag("s:b"),
                                       kBinary,
                                       "$",
                                       "*",
                                       "\\",
                                       "\r\n",
                                       "*4",
                                       "$GN",
                                       "c:1*00\\",
                                       "x",
                                       "!",
                                       "*4a",
                                       "\x80",
                                       std::string(500, 'y'),
                                       "$GNTXT," + std::string(505, 'z')};
  std::string stream;
  for (std::uint32_t i = 0, n = 1 + dice.roll(14); i < n; ++i) stream += words[dice.roll(std::uint32_t(words.size()))];
  if (!stream.empty() && dice.roll(2) == 0) stream[dice.roll(std::uint32_t(stream.size()))] = char(dice.roll(256));
  return stream;
}

TEST_CASE("the fast framer agrees with the plain one on thrown-together streams in any chunks") {
  for (std::uint64_t seed = 0; seed < 4000; ++seed) {
    test::Dice dice(seed);
    const std::string stream = random_stream(dice);
    std::vector<std::string_view> chunks;
    for (std::string_view rest = stream; !rest.empty();) {
      const std::size_t size = std::min<std::size_t>(rest.size(), 1 + dice.roll(90));
      chunks.push_back(rest.substr(0, size));
      rest.remove_prefix(size);
    }
    CAPTURE(seed);
    CAPTURE(stream);
    const test::Framed plain = test::frame_plainly(stream);
    REQUIRE(test::account_closes(plain.counters));
    REQUIRE(frame(stream) == plain);
    REQUIRE(frame(chunks) == plain);
  }
}

TEST_CASE("no byte of a sentence can change without a counter changing") {
  const std::string stream = line(kGga) + line(kGst) + tag("c:1780495200") +
                             line("GNGSA,A,3,4,,,9,,,,,,,,,1.9,1.1,1.5") + "noise" + line(kGga) + framed(kGst);
  const test::Framed good = frame(stream);
  std::uint64_t changes = 0;
  for (const test::Found& sentence : good.sentences) {
    for (std::uint64_t at = sentence.begin; at < sentence.end; ++at) {
      std::string changed = stream;
      for (int step = 1; step < 256; ++step) {
        changed[at] = static_cast<char>(static_cast<unsigned char>(stream[at]) + step);
        ++changes;
        if (frame(changed).counters == good.counters) FAIL("byte ", at, " changed by ", step, " unnoticed");
      }
    }
  }
  CHECK(good.sentences.size() == 5);
  CHECK(changes == good.counters.sentence_bytes * 255);
}

TEST_CASE("after the end of one stream part the framer takes the next") {
  nmea::Framer framer;
  int count = 0;
  const auto counted = [&](const nmea::Sentence&) { ++count; };
  framer.push("$GNGST,14", counted);
  framer.finish();
  framer.push(framed(kGst), counted);
  framer.finish();
  CHECK(count == 1);
  CHECK(framer.counters().damage.cut_short == 1);
  CHECK(test::account_closes(framer.counters()));
}

}  // namespace
}  // namespace stillpoint
