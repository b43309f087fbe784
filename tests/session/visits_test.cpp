#include "session/visits.hpp"

#include <doctest/doctest.h>

namespace {

using namespace stillpoint;

const std::string kHeader = "name,start_utc,end_utc,code\n";

TEST_CASE("visits are read with repeats numbered and quotes undone") {
  const auto visits = session::parse_visits(kHeader +
                                                "CUL-14,2026-06-03T14:05:10Z,2026-06-03T14:06:10Z,CUL-U\r\n"
                                                "\"Pump, old\",2026-06-03T14:07:00.5Z,2026-06-03T14:08:00Z,\n"
                                                "\n"
                                                "CUL-14,2026-06-03T15:05:10Z,2026-06-03T15:06:10Z,CUL-U",
                                            "v.csv");
  REQUIRE(visits.has_value());
  REQUIRE(visits->size() == 3);
  CHECK((*visits)[0].visit == 1);
  CHECK((*visits)[1].name == "Pump, old");
  CHECK((*visits)[1].start->ms % 1000 == 500);
  CHECK((*visits)[2].visit == 2);
}

TEST_CASE("a wrong visits file is one sentence with its line") {
  struct Row {
    const char* name;
    std::string csv;
    const char* part;
  };
  const Row rows[] = {
      {"another header", "name,start,end,code\n", "line 1: the header must be name,start_utc,end_utc,code"},
      {"empty", "", "line 1"},
      {"no visit", kHeader, "no visit in it"},
      {"three fields", kHeader + "A,2026-06-03T14:05:10Z,2026-06-03T14:06:10Z\n", "line 2: 3 fields, 4 wanted"},
      {"a wrong time", kHeader + "A,2026-06-03 14:05,2026-06-03T14:06:10Z,\n", "line 2: start \"2026-06-03 14:05\""},
      {"the end before the start", kHeader + "A,2026-06-03T14:05:10Z,2026-06-03T14:05:10Z,\n",
       "A ends before it starts"},
      {"no name", kHeader + ",2026-06-03T14:05:10Z,2026-06-03T14:06:10Z,\n", "the name is empty"},
      {"a time that would steer a terminal", kHeader + "A,\x1b[31m2026,2026-06-03T14:06:10Z,\n",
       "line 2: start \"?[31m2026\" is not a time"},
      {"a name that would steer a terminal", kHeader + "A\x1b[2J,2026-06-03T14:05:10Z,2026-06-03T14:06:10Z,\n",
       "line 2: the name holds a character that cannot be seen (U+001b)"},
      {"a name that turns the writing", kHeader + "A\u202E11,2026-06-03T14:05:10Z,2026-06-03T14:06:10Z,\n",
       "line 2: the name holds a character that cannot be seen (U+202e)"},
      {"a code beyond all measure",
       kHeader + "A,2026-06-03T14:05:10Z,2026-06-03T14:06:10Z," + std::string(65, 'c') + "\n",
       "line 2: the code is longer than 64 bytes"},
      {"a name of another character set", kHeader + "caf\xE9,2026-06-03T14:05:10Z,2026-06-03T14:06:10Z,\n",
       "line 2: \"caf?,2026-06-03T14:05:10Z,2026-06-03T14:06:10Z,\" is no UTF-8"},
      {"an open quote", kHeader + "\"A,2026-06-03T14:05:10Z,2026-06-03T14:06:10Z,\n", "a quote is left open"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const auto visits = session::parse_visits(row.csv, "v.csv");
    REQUIRE_FALSE(visits.has_value());
    CAPTURE(visits.error().text);
    CHECK(visits.error().text.find(row.part) != std::string::npos);
    CHECK(visits.error().text.find("v.csv") == 0);
  }
}

}  // namespace
