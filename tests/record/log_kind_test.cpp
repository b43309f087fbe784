#include "record/log_kind.hpp"

#include <doctest/doctest.h>

using namespace stillpoint;
using namespace std::string_view_literals;

TEST_CASE("a file that is no log is called what it is") {
  struct Row {
    std::string_view head, said;
  };
  // First bytes: gzip and xz as made by the programs of that name, zip from its application note, Zstandard from
  // RFC 8878; UTF-16 as an editor saves it, with a byte order mark or without.
  const Row rows[] = {{"\x1F\x8B\x08\x00\x00\x00\x00\x00"sv, "is compressed (gzip); unpack it first"},
                      {"PK\x03\x04\x14\x00\x00\x00"sv, "is compressed (zip); unpack it first"},
                      {"\xFD\x37\x7A\x58\x5A\x00\x00\x04"sv, "is compressed (xz); unpack it first"},
                      {"\x28\xB5\x2F\xFD\x04\x00\x00\x00"sv, "is compressed (zstd); unpack it first"},
                      {"BZh91AY&"sv, "is compressed (bzip2); unpack it first"},
                      {"\xFF\xFE$\0G\0N\0"sv, "is text in UTF-16, two bytes a letter; save it as plain ASCII or UTF-8"},
                      {"\xFE\xFF\0$\0G\0N"sv, "is text in UTF-16"},
                      {"$\0G\0N\0R\0"sv, "is text in UTF-16"},
                      {"\0$\0G\0N\0R"sv, "is text in UTF-16"}};
  for (const Row& row : rows) {
    CAPTURE(row.said);
    const auto said = record::why_no_log(row.head);
    REQUIRE(said);
    CHECK(said->starts_with(row.said));
  }
}

TEST_CASE("what a log may begin with is taken for one") {
  for (const std::string_view head : {"$GNRMC,1"sv, "\\c:17171*"sv, "\r\n$GNRMC"sv, "\xEF\xBB\xBF$GNGG"sv,
                                      "\xD3\x00\x13\x3E"sv, "\xB5\x62\x01\x07"sv, "\x1F"sv, "$"sv, ""sv}) {
    CHECK_FALSE(record::why_no_log(head));
  }
}

TEST_CASE("bytes without one sentence are told by what they hold") {
  struct Row {
    std::string_view bytes, said;
  };
  const Row rows[] = {
      {"", "it is empty"},
      {"$GNGGA,130749.00,,,,\r\n$GNRMC,130749.00\r\n", "2 sentences without a checksum and none with one"},
      {"$GNGGA,130749.00,,,,*00\r\n", "not one of 1 sentence has a checksum that agrees with it"},
      {"a letter to a friend", "20 bytes of something else than NMEA sentences"}};
  for (const Row& row : rows) {
    CAPTURE(row.said);
    nmea::Framer framer;
    framer.push(row.bytes, [](const nmea::Sentence&) {});
    framer.finish();
    CHECK(record::why_no_sentence(framer.counters()).starts_with(row.said));
  }
}
