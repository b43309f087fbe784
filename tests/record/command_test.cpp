#include "record/command.hpp"

#include <doctest/doctest.h>

#include <vector>

namespace stillpoint {
namespace {

using namespace record;

UtcTime utc(const char* text) {
  return *parse_utc(text);
}

// The lines are those that daemons wrote before commands had a type: two working days and a standstill.
struct Row {
  const char* name;
  const char* line;
  Entry entry;
};

std::vector<Row> rows() {
  return {
      {"occupy",
       R"({"command":"occupy","utc":"2026-06-03T14:00:27Z","name":"BM7","visit":1,"code":"","note":"","again":false,"by":"ana"})",
       {Occupy{"BM7", "", "", false, 1}, utc("2026-06-03T14:00:27Z"), "ana"}},
      {"occupy for a repeat visit, with a fraction of a second",
       R"({"command":"occupy","utc":"2026-06-03T14:00:27.200Z","name":"é \"q\"","visit":2,"code":"HYD","note":"n","again":true,"by":"bo"})",
       {Occupy{"é \"q\"", "HYD", "n", true, 2}, utc("2026-06-03T14:00:27.2Z"), "bo"}},
      {"occupy under a name that reads like another, and is new",
       R"({"command":"occupy","name":"VM 11","visit":1,"code":"","note":"","again":false,"new":true,"by":"ana"})",
       {Occupy{"VM 11", "", "", false, 1, true}, {}, "ana"}},
      {"a command before the first dated epoch", R"({"command":"drop","by":"ana"})", {Drop{}, {}, "ana"}},
      {"keep",
       R"({"command":"keep","utc":"2026-06-03T14:01:27Z","by":"ana"})",
       {Keep{}, utc("2026-06-03T14:01:27Z"), "ana"}},
      {"keep, and what it made",
       R"({"command":"keep","utc":"2026-06-03T14:01:27Z","made":"0197-a","by":"ana"})",
       {Keep{"0197-a"}, utc("2026-06-03T14:01:27Z"), "ana"}},
      {"check", R"({"command":"check","mark":"M 1","by":"ana"})", {Check{"M 1", false, ""}, {}, "ana"}},
      {"closing check",
       R"({"command":"check","mark":"M 1","closing":true,"by":"ana"})",
       {Check{"M 1", true, ""}, {}, "ana"}},
      {"turn", R"({"command":"check","mark":"M 1","turn":"N","by":"ana"})", {Check{"M 1", false, "N"}, {}, "ana"}},
      {"antenna",
       R"({"command":"antenna","height_m":1.8205,"reason":"new pole","by":"ana"})",
       {SetAntenna{1.8205, "new pole"}, {}, "ana"}},
      {"antenna of whole metres",
       R"({"command":"antenna","height_m":2.0,"reason":"r","by":"ana"})",
       {SetAntenna{2, "r"}, {}, "ana"}},
      {"an antenna that stood so before it was said",
       R"({"command":"antenna","height_m":2.071,"reason":"r","since":"2026-06-03T14:00:00Z","by":"ana"})",
       {SetAntenna{2.071, "r", utc("2026-06-03T14:00:00Z")}, {}, "ana"}},
      {"a decision by hand",
       R"({"command":"resolve","name":"BM7","visit":2,"accept":false,"by":"ana"})",
       {Resolve{"BM7", 2, false}, {}, "ana"}},
      {"a decision by hand, said again where the wanted error is missed",
       R"({"command":"resolve","name":"BM7","visit":2,"accept":true,"sure":true,"by":"ana"})",
       {Resolve{"BM7", 2, true, true}, {}, "ana"}},
      {"a point that was renamed",
       R"({"command":"amend","name":"CUL-7","visit":1,"to":"CUL-8","to_visit":2,"again":true,"reason":"misread","made":"0197-b","by":"ana"})",
       {Amend{"CUL-7", 1, "CUL-8", 2, {}, {}, true, false, "misread", "0197-b"}, {}, "ana"}},
      {"the open point, of which other things are said",
       R"({"command":"amend","name":"CUL-7","visit":1,"to_visit":1,"code":"","note":"left bank","reason":"","by":"ana"})",
       {Amend{"CUL-7", 1, "", 1, "", "left bank", false, false, "", ""}, {}, "ana"}},
      {"an offset point by a distance and a bearing from magnetic north",
       R"({"command":"offset","utc":"2026-06-03T14:02:27Z","name":"WALL-1","visit":1,"code":"WAL","note":"","measured_utc":"2026-06-03T14:02:27.900Z","from":[{"name":"CUL-7","visit":2,"uuid":"0197-a","distance_m":4.205,"error_m":0.02}],"bearing_deg":123.4,"bearing_error_deg":2.0,"declination_deg":-4.5,"up_m":0.35,"up_error_m":0.05,"made":"0197-c","by":"ana"})",
       {Offset{"WALL-1",
               "WAL",
               "",
               {{{"CUL-7", 2, "0197-a", 4.205, 0.02}}, 123.4, 2.0, -4.5, Side::left, 0.35, 0.05},
               utc("2026-06-03T14:02:27.9Z"),
               1,
               false,
               "0197-c"},
        utc("2026-06-03T14:02:27Z"), "ana"}},
      {"an offset point by two distances, of which nobody measured the height",
       R"({"command":"offset","name":"TREE","visit":1,"code":"","note":"","from":[{"name":"A","visit":1,"uuid":"","distance_m":3.0,"error_m":0.1},{"name":"B 2","visit":1,"uuid":"","distance_m":4.0,"error_m":0.02}],"side":"right","new":true,"by":"ana"})",
       {Offset{"TREE",
               "",
               "",
               {{{"A", 1, "", 3.0, 0.1}, {"B 2", 1, "", 4.0, 0.02}},
                {},
                kCompassSigmaDeg,
                {},
                Side::right,
                {},
                kLevelSigmaM},
               {},
               1,
               true,
               ""},
        {},
        "ana"}},
      {"close_day",
       R"({"command":"close_day","closed_utc":"2026-06-03T16:00:00Z","by":"ana"})",
       {CloseDay{utc("2026-06-03T16:00:00Z")}, {}, "ana"}},
      {"started", R"({"event":"started"})", {Started{}}},
      {"stopped", R"({"event":"stopped"})", {Stopped{}}},
      {"cut", R"({"event":"cut"})", {Cut{}}},
      {"standstill", R"({"event":"cut","why":"the disk is full"})", {Cut{"the disk is full"}}},
      {"feed",
       R"({"event":"feed","state":"open","what":"tcp 127.0.0.1:9000"})",
       {FeedNews{"open", "tcp 127.0.0.1:9000"}}},
      {"safe", R"({"event":"safe","made":"0197-a"})", {Safe{"0197-a"}}},
      {"dates", R"({"event":"dates","text":"lifted"})", {Dates{"lifted"}}},
      {"corrections", R"({"event":"corrections","to":5000000000})", {Corrections{5'000'000'000, false}}},
      {"corrections that the receiver's link did not take",
       R"({"event":"corrections","to":7,"lost":true})",
       {Corrections{7, true}}},
      {"a delivery that goes on",
       R"({"event":"delivery","state":"running","reason":"none"})",
       {Delivery{"running", "none", ""}}},
      {"a delivery that stopped",
       R"({"event":"delivery","state":"stopped","reason":"caster-error","detail":"HTTP/1.1 503"})",
       {Delivery{"stopped", "caster-error", "HTTP/1.1 503"}}},
      {"a clock that judges no dates", R"({"event":"clock"})", {Clock{}}},
      {"clock", R"({"event":"clock","said":"2026-06-03T14:00:00.250Z"})", {Clock{utc("2026-06-03T14:00:00.25Z")}}},
  };
}

TEST_CASE("every line of a journal reads as its command, and is written as it was") {
  for (const Row& row : rows()) {
    CAPTURE(row.name);
    const auto read = from_line(row.line);
    REQUIRE(read);
    CHECK(*read == row.entry);
    CHECK(to_line(row.entry) == row.line);
  }
}

TEST_CASE("whose command it was is always written, and of an event only where there is somebody") {
  CHECK(to_line({Keep{}, {}, ""}) == R"({"command":"keep","by":""})");
  CHECK(to_line({Keep{}, {}, "ana"}) == R"({"command":"keep","by":"ana"})");
  CHECK(to_line({Stopped{}, {}, ""}) == R"({"event":"stopped"})");
  CHECK(to_line({Stopped{}, {}, "ana"}) == R"({"event":"stopped","by":"ana"})");
}

TEST_CASE("what a command can do without may be missing, and what is not known is passed over") {
  CHECK(from_line(R"({"command":"occupy","name":"A","visit":3})")->what == Command(Occupy{"A", "", "", false, 3}));
  CHECK(from_line(R"({"command":"keep","weather":[1,{}]})")->what == Command(Keep{}));
  CHECK(from_line(R"({"command":"keep","utc":17,"by":{}})").value() == Entry{Keep{}});
  CHECK(from_line(R"({"event":"cut","why":""})")->what == Command(Cut{}));
}

TEST_CASE("a word of a later program is unknown, and no fault") {
  for (const char* line : {R"({"command":"level"})", R"({"event":"eclipse"})", "{}", R"({"command":"started"})",
                           R"({"event":"keep"})", R"({"command":"close_day","closed_utc":"soon"})"}) {
    CAPTURE(line);
    REQUIRE(from_line(line));
    CHECK(from_line(line)->what == Command(Unknown{}));
  }
}

TEST_CASE("a line that lacks what it needs is refused with its text") {
  for (const char* line :
       {"", "keep", "[]", "7", "{\"command\":\"keep\"", R"({"command":"occupy","visit":1})",
        R"({"command":"occupy","name":"A"})", R"({"command":"occupy","name":"A","visit":"1"})",
        R"({"command":"occupy","name":"A","visit":1.5})", R"({"command":"occupy","name":"A","visit":-1})",
        R"({"command":"occupy","name":"A","visit":2147483648})", R"({"command":"occupy","name":7,"visit":1})",
        R"({"command":"check"})", R"({"command":"antenna","reason":"r"})", R"({"command":"antenna","height_m":"1"})",
        R"({"command":7})", "{\"command\":\"\xff\"}"}) {
    CAPTURE(line);
    const auto read = from_line(line);
    REQUIRE_FALSE(read);
    CHECK(read.error().text == "a command in the journal cannot be read: " + std::string(line));
  }
}

TEST_CASE("a text that is not UTF-8 is written as UTF-8") {
  CHECK(to_line({Cut{"caf\xe9"}}) == "{\"event\":\"cut\",\"why\":\"caf\xef\xbf\xbd\"}");
}

}  // namespace
}  // namespace stillpoint
