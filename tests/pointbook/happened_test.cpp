#include "pointbook/happened.hpp"

#include <doctest/doctest.h>

namespace stillpoint {
namespace {

using namespace pointbook;

const UtcTime kNow = *parse_utc("2026-06-03T14:00:00Z");

TEST_CASE("an event of each kind is known by its word") {
  for (int i = 0; i <= static_cast<int>(EventKind::outage); ++i) {
    const auto kind = static_cast<EventKind>(i);
    CHECK(kind_of({kNow, std::string(to_word(kind)), "", ""}) == kind);
  }
  CHECK_FALSE(kind_of({kNow, "corrections-out", "", ""}));
}

// Details are bytes of rows that have a fingerprint: what was written before the fields had types is written so now.
TEST_CASE("details are written as they always were") {
  CHECK(event_of(kNow, "resolved", "t", "ana").details == R"({"by":"ana"})");
  CHECK(event_of(kNow, "stopped", "t", "").details.empty());
  const Event came = alert_event(kNow, "corrections-out", "no corrections", {3, false});
  CHECK(came.details == R"({"occurrence":3,"state":"raised"})");
  CHECK(came.text == "no corrections");
  const Event went = alert_event(kNow, "corrections-out", "no corrections", {3, true});
  CHECK(went.details == R"({"occurrence":3,"state":"over"})");
  CHECK(went.text == "over: no corrections");
  const Event redo = event_of(kNow, Redone{"ana",
                                           "pole",
                                           {{"A", 1, 2, "u-1", std::array{0.5, -0.25, 1.0}}, {"B", 1, 2, "u-2", {}}},
                                           {{"M", 2, "u-3", 4, true}},
                                           "ab",
                                           "x = 1\n"});
  CHECK(redo.text == "ana had 2 points computed again: pole");
  CHECK(redo.details ==
        R"({"by":"ana","reason":"pole","changed":[{"name":"A","visit":1,"version":2,"uuid":"u-1",)"
        R"("moved_m":[0.5,-0.25,1.0]},{"name":"B","visit":1,"version":2,"uuid":"u-2"}],)"
        R"("checks":[{"mark":"M","version":2,"uuid":"u-3","opening":4}],"sha256":"ab","toml":"x = 1\n"})");
  const Event merged = event_of(kNow, std::vector<MergedBook>{{"a.gpkg", "cd", "P", 7, true}});
  CHECK(merged.text == "merged from 1 pointbooks");
  CHECK(merged.details == R"({"from":[{"file":"a.gpkg","sha256":"cd","project":"P","versions":7,"closed":true}]})");
}

TEST_CASE("a stay that was lost is told in one sentence and read back as fields") {
  struct Row {
    LostStay lost;
    const char* text;
  };
  const Row rows[] = {
      {{"CUL-9", 1, false, "the receiver fell silent"}, "CUL-9 ended: the receiver fell silent, nothing stored"},
      {{"CUL-9", 2, false, "a gap"}, "CUL-9 visit 2 ended: a gap, nothing stored"},
      {{"VM-11", 1, true, "a gap"}, "the check on VM-11 ended: a gap, nothing stored"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.text);
    const Event event = event_of(kNow, row.lost);
    CHECK(event.text == row.text);
    CHECK(is(event, EventKind::abandoned));
    const auto read = lost_stay_of(event);
    REQUIRE(read);
    CHECK(read->name == row.lost.name);
    CHECK(read->visit == row.lost.visit);
    CHECK(read->on_mark == row.lost.on_mark);
    CHECK(read->why == row.lost.why);
  }
  CHECK_FALSE(lost_stay_of(event_of(kNow, "abandoned", "CUL-9 visit 1 was dropped by hand", "ana")));
  CHECK_FALSE(lost_stay_of({kNow, "abandoned", "CUL-9 ended: a gap; no second had counted", ""}));
}

TEST_CASE("what was written is read back as fields") {
  const auto recovered = recovered_of(event_of(kNow, Recovered{"VM \"11\"", 2, 38}));
  REQUIRE(recovered);
  CHECK(recovered->name == "VM \"11\"");
  CHECK(recovered->visit == 2);
  CHECK(recovered->seconds == 38);
  const auto redone = redone_of(event_of(
      kNow,
      Redone{"ana", "r", {{"A", 1, 2, "u-1", std::array{0.5, 0.0, 1.0}}}, {{"M", 2, "u-3", 4, false}}, "ab", "t"}));
  REQUIRE(redone);
  CHECK(redone->changed.at(0).uuid == "u-1");
  CHECK(redone->changed.at(0).moved_m->at(2) == 1.0);
  CHECK(redone->checks.at(0).opening == 4);
  CHECK(redone->checks.at(0).compared == false);
  CHECK(redone->toml == "t");
  const Occurrence over = occurrence_of(alert_event(kNow, "k", "t", {9, true}));
  CHECK(over.number == 9U);
  CHECK(over.over);
  CHECK(by_of(event_of(kNow, "kept", "t", "ana")) == "ana");
}

// The sentences are those that daemons and redos stored before their fields were kept.
TEST_CASE("books of before say it in words, and are read") {
  struct Row {
    const char* name;
    const char* text;
    const char* stay;
    int visit;
  };
  for (const Row& row :
       {Row{"a plain name",
            "LF-3 visit 1 was open when the program ended without a word; it is kept as held, with the "
            "12 seconds that had counted",
            "LF-3", 1},
        Row{"a name with the word visit in it",
            "my visit 2 visit 11 was open when the program ended without a word; it is kept as held, "
            "with the 1 seconds that had counted",
            "my visit 2", 11}}) {
    CAPTURE(row.name);
    const auto recovered = recovered_of({kNow, "recovered", row.text, ""});
    REQUIRE(recovered);
    CHECK(recovered->name == row.stay);
    CHECK(recovered->visit == row.visit);
  }
  for (const char* text : {"", "LF-3 visit 1", "LF-3 was open when the program ended without a word",
                           "LF-3 visit x was open when the program ended without a word"}) {
    CAPTURE(text);
    CHECK_FALSE(recovered_of({kNow, "recovered", text, ""}));
  }
  CHECK_FALSE(recovered_of({kNow, "kept", "A visit 1 was open when the program ended without a word", ""}));
  CHECK(occurrence_of({kNow, "corrections-out", "over: no corrections", ""}).over);
  CHECK_FALSE(occurrence_of({kNow, "corrections-out", "no corrections", ""}).over);
  CHECK_FALSE(occurrence_of({kNow, "corrections-out", "over: no corrections", ""}).number);
  CheckShot shot;
  shot.text =
      "the point A it was made from has no coordinates any more; the numbers are the old ones, and prove nothing "
      "(ana: pole)";
  CHECK(says_no_longer_compared(shot));
  shot.text = "M: +0.001 m east: passed";
  CHECK_FALSE(says_no_longer_compared(shot));
}

TEST_CASE("a uuid or a word in another field's text tells nothing") {
  const auto redone = redone_of(event_of(kNow, Redone{"ana", "see u-9", {}, {}, "ab", "# u-9\n"}));
  REQUIRE(redone);
  CHECK(redone->changed.empty());
  CHECK(occurrence_of({kNow, "redo", "t", R"({"toml":"\"state\":\"raised\""})"}).number == std::nullopt);
}

TEST_CASE("a closing names its files") {
  const Event closed{kNow, "day-closed", "t",
                     R"({"by":"a","record":{"unchanged":[{"file":"x.nmea","sha256":"ef"}],"faults":[]}})"};
  REQUIRE(closed_files_of(closed).size() == 1);
  CHECK(closed_files_of(closed).front().file == "x.nmea");
  CHECK(closed_files_of(closed).front().sha256 == "ef");
  CHECK(closed_files_of({kNow, "day-closed", "t", ""}).empty());
  CHECK(closed_files_of({kNow, "kept", "t", closed.details}).empty());
}

TEST_CASE("details that cannot be read tell nothing") {
  for (const char* details : {"", "{", "[]", "7", R"({"toml":7})", R"({"occurrence":-1})", R"({"from":7,"by":[]})"}) {
    CAPTURE(details);
    const Event event{kNow, "redo", "t", details};
    CHECK_FALSE(redone_of(event));
    CHECK_FALSE(occurrence_of(event).number);
    CHECK(by_of(event).empty());
    CHECK_FALSE(merged_closed_books(event));
  }
}

}  // namespace
}  // namespace stillpoint
