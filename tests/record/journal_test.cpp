#include "record/journal.hpp"

#include <doctest/doctest.h>

#include <algorithm>

namespace stillpoint {
namespace {

using record::Journal;
using record::JournalHead;
using record::JournalLine;
using record::parse_journal;

const std::string kHead = "stillpoint-journal 1 utc 2026-06-03T14:00:00.000Z steady 0 by clock\n";

TEST_CASE("a journal is written as its format says") {
  CHECK(to_text(JournalHead{*parse_utc("2026-06-03T14:00:00Z"), SteadyTime{0}, true}) == kHead);
  CHECK(to_text(JournalHead{*parse_utc("2026-06-03T14:00:00.250Z"), SteadyTime{98765}, false}) ==
        "stillpoint-journal 1 utc 2026-06-03T14:00:00.250Z steady 98765 by log\n");
  CHECK(to_text(JournalLine{812, SteadyTime{1043}, ""}) == "812 1043\n");
  CHECK(to_text(JournalLine{812, SteadyTime{1043}, R"({"method":"keep"})"}) == "812 1043 {\"method\":\"keep\"}\n");
}

TEST_CASE("a command stays on one line") {
  CHECK(to_text(JournalLine{1, SteadyTime{2}, "{\n\"a\":1\r\n}"}) == "1 2 { \"a\":1  }\n");
}

TEST_CASE("what is written is read back") {
  const JournalHead head{*parse_utc("2026-06-03T14:00:00.007Z"), SteadyTime{-5}, false};
  const std::vector<JournalLine> lines{{0, SteadyTime{-5}, R"({"method":"occupy","name":"VM 11 Sluice"})"},
                                       {812, SteadyTime{1043}, ""},
                                       {812, SteadyTime{1043}, R"({"method":"keep"})"},
                                       {18'446'744'073'709'551'615U, SteadyTime{9'000'000'000'000}, ""}};
  CHECK(to_text(JournalLine{18'446'744'073'709'551'615U, SteadyTime{INT64_MIN}, "{}"}) ==
        "18446744073709551615 -9223372036854775808 {}\n");
  std::string text = to_text(head);
  for (const JournalLine& line : lines) text += to_text(line);
  const auto journal = parse_journal(text);
  REQUIRE(journal);
  CHECK(journal->head.utc == head.utc);
  CHECK(journal->head.steady == head.steady);
  CHECK(!journal->head.by_clock);
  REQUIRE(journal->lines.size() == lines.size());
  for (std::size_t i = 0; i < lines.size(); ++i) {
    CHECK(journal->lines[i].offset == lines[i].offset);
    CHECK(journal->lines[i].arrived == lines[i].arrived);
    CHECK(journal->lines[i].command == lines[i].command);
  }
}

TEST_CASE("a journal cut anywhere gives the lines that were complete") {
  const std::string text = kHead + "100 10\n200 20 {\"method\":\"keep\"}\n300 30\n";
  for (std::size_t cut = kHead.size(); cut <= text.size(); ++cut) {
    CAPTURE(cut);
    const auto journal = parse_journal(std::string_view(text).substr(0, cut));
    REQUIRE(journal);
    const std::string whole = text.substr(kHead.size(), cut - kHead.size());
    CHECK(journal->lines.size() == static_cast<std::size_t>(std::count(whole.begin(), whole.end(), '\n')));
  }
}

TEST_CASE("a journal that power broke off is read to there and says so") {
  using std::string_literals::operator""s;
  struct Row {
    std::string text;
    std::size_t lines;
    const char* cut;
  };
  const std::vector<Row> rows{
      {kHead, 0, ""},
      {kHead + "100 10\n", 1, ""},
      {kHead + "100 10\n2", 1, "breaks off in line 3, as after a loss of power, and is read to there"},
      {kHead + "100 10\n200 20 {\"command\":\"ke", 1, "breaks off in line 3"},
      {kHead + "100 10\n\0\0\0"s, 1, "breaks off in line 3"},
      {kHead + "1\0\0\0\n200 20\n"s, 0, "breaks off in line 2"},
      {kHead + "100 10\n2\0\0 20\n300 30\n"s, 1, "breaks off in line 3"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.text);
    const auto journal = parse_journal(row.text);
    REQUIRE(journal);
    CHECK(journal->lines.size() == row.lines);
    CHECK(journal->cut.starts_with(row.cut));
    CHECK(journal->cut.empty() == std::string_view(row.cut).empty());
  }
}

TEST_CASE("a first line that never reached the disk is told from another file") {
  using std::string_literals::operator""s;
  CHECK(record::has_torn_head(""));
  for (std::size_t cut = 0; cut < kHead.size(); ++cut) CHECK(record::has_torn_head(kHead.substr(0, cut)));
  CHECK(record::has_torn_head("\0\0\0\0"s));
  CHECK(record::has_torn_head("stillpoint-jour\0\0\0\n100 10\n"s));
  CHECK_FALSE(record::has_torn_head(kHead));
  CHECK_FALSE(record::has_torn_head("hello\n"));
}

TEST_CASE("a damaged journal is refused with its line") {
  struct Row {
    const char* name;
    std::string text;
    const char* says;
  };
  const std::vector<Row> rows{
      {"empty", "", "no complete first line"},
      {"a head cut short", kHead.substr(0, kHead.size() - 1), "no complete first line"},
      {"another file", "hello\n", "line 1 "},
      {"another version", "stillpoint-journal 2 utc 2026-06-03T14:00:00.000Z steady 0 by clock\n", "line 1 "},
      {"a head without a date", "stillpoint-journal 1 utc noon steady 0 by clock\n", "line 1 "},
      {"a head stamped by nobody", "stillpoint-journal 1 utc 2026-06-03T14:00:00.000Z steady 0 by hand\n", "line 1 "},
      {"a line without a time", kHead + "100 10\n200\n", "line 3 "},
      {"letters in the offset", kHead + "1x0 10\n", "line 2 "},
      {"a negative offset", kHead + "-100 10\n", "line 2 "},
      {"an empty line", kHead + "100 10\n\n200 20\n", "line 3 "},
      {"bytes going back", kHead + "100 10\n99 20\n", "line 3 "},
      {"time going back", kHead + "100 10\n200 9\n", "line 3 "},
  };
  for (const Row& row : rows) {
    CAPTURE(std::string(row.name));
    const auto journal = parse_journal(row.text);
    REQUIRE(!journal);
    CHECK(journal.error().text.find(row.says) != std::string::npos);
  }
}

TEST_CASE("the journal stands beside its log") {
  CHECK(record::journal_path_of("a/2026-06-03T14.nmea") == "a/2026-06-03T14.journal");
  CHECK(record::journal_path_of("a.nmea/log") == "a.nmea/log.journal");
  CHECK(record::journal_path_of("morning.log") == "morning.log.journal");
  CHECK(record::corrections_path_of("a/2026-06-03T14.nmea") == "a/2026-06-03T14.rtcm");
}

}  // namespace
}  // namespace stillpoint
