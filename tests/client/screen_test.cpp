#include "client/screen.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <sstream>

#include "client/painter.hpp"
#include "client/statuses.hpp"

namespace stillpoint::client::test {
namespace {

struct Row {
  const char* name;
  Json status;
  View view;
  const char* answer;                  ///< of the verdict row
  std::vector<std::string> must_hold;  ///< texts that the screen shows
};

Json lost_status() {
  return averaging(12);
}

Json waiting() {
  Json status = refused("no-position", "waiting for the receiver: tcp localhost:9001");
  status["feed"]["state"] = "waiting";
  status["epoch"] = nullptr;
  return status;
}

Json standstill() {
  Json status = waiting();
  status["feed"]["standstill"] = status["feed"]["what"] = "the disk is full";
  return status;
}

Json frozen() {
  Json status = refused("frozen", "the feed repeats itself: same position, DOP and age again and again");
  status["feed"]["state"] = "frozen";
  return status;
}

Json jump() {
  return refused("jump", "the position jumped while the pole stood still");
}

std::vector<Row> situations() {
  const View now;
  View gone;
  gone.lost = true;
  gone.lost_for_s = 3;
  return {
      {"fresh and good",
       fresh(),
       now,
       "YES",
       {"Fresh corrections: ready.", "FRESH, 1.0 s old, fresh up to 3.0 s", "fixed, 14 satellites, HDOP 0.8, PDOP 1.4",
        "plan 31 mm, height 50 mm at 95 %"}},
      {"coasting with 12 s left",
       coasting(),
       now,
       "YES",
       {"Counting on OLD corrections. They stop counting in 12 s.", "COASTING, 48.0 s old, limit 60.0 s, 12.0 s left",
        "12 s left"}},
      {"stale",
       stale(),
       now,
       "NO",
       {"Correction age 70 s, limit 60 s.", "Wait here for fresh corrections.", "STALE, 70.0 s old, limit 60.0 s"}},
      {"receiver silent", silent(), now, "NO", {"The receiver is silent.", "Check its battery and its link."}},
      {"receiver not there", waiting(), now, "NO", {"Waiting for the receiver: tcp localhost:9001."}},
      {"record cannot be written",
       standstill(),
       now,
       "NO",
       {"Nothing is judged: the disk is full.", "Free space on the disk of the record; it goes on by itself."}},
      {"feed frozen", frozen(), now, "NO", {"The feed repeats itself"}},
      {"not still yet",
       moving(),
       now,
       "NO",
       {"Moving: speed 0.42 m/s, limit 0.1 m/s.", "Hold the pole still and upright."}},
      {"jump set apart", jump(), now, "NO", {"The position jumped", "set apart"}},
      {"no fix", no_fix(), now, "NO", {"The receiver has no position.", "Corrections   NONE in use", "no position"}},
      {"averaging at 40 %",
       averaging(12),
       now,
       "YES",
       {"HF-A-0014", "40 % done", "40 %: 12 of 30 epochs, 12 of 30 s, 2 refused",
        "0.52 m at 95 %, if the receiver's own error figure holds",
        "0.81 m at 95 %; 12 epochs are worth 1.3 independent ones", "Stay: 12 of 30 s"}},
      {"averaging by a figure nobody verified",
       averaging_scaled(false),
       now,
       "YES",
       {"0.52 m at 95 %, by the receiver's figure x 1.00, not verified"}},
      {"enough", enough(), now, "YES", {"enough has been collected", "100 % done", "stillpoint keep", "====="}},
      {"two places",
       two_places(),
       now,
       "YES",
       {"Two places 0.38 m apart: the point will be held.", "99 % done", "Begin anew"}},
      {"seconds changed sides", recounted(), now, "YES", {"Also: 31 seconds no longer count"}},
      {"enough, but the check failed",
       enough_but_unchecked(),
       now,
       "YES",
       {"kept now it will be held: the last check"}},
      {"training", training(), now, "YES", {"~~ TRAINING ~~"}},
      {"daemon lost",
       lost_status(),
       gone,
       "NO",
       {"The daemon does not answer: every value below is OLD.", "Daemon LOST for 3 s: every value above is OLD."}},
  };
}

std::string joined(const Screen& screen) {
  std::string out;
  for (const std::string& line : screen.lines) out += line + "\n";
  return out;
}

}  // namespace

TEST_CASE("every situation fits 24 rows of 76 printable ASCII characters") {
  for (const Row& row : situations()) {
    CAPTURE(row.name);
    const Screen screen = render(row.status, row.view);
    CHECK(screen.lines.size() == 24);
    for (const std::string& line : screen.lines) {
      CAPTURE(line);
      CHECK(line.size() <= 76);
      CHECK(std::all_of(line.begin(), line.end(), [](char c) { return c >= 0x20 && c < 0x7F; }));
    }
  }
}

TEST_CASE("the verdict is always in the same place and follows the situation") {
  for (const Row& row : situations()) {
    CAPTURE(row.name);
    const Screen screen = render(row.status, row.view);
    const std::string& line = screen.lines[kVerdictRow];
    CHECK(line.substr(0, 27) == " Does this second count?   ");
    CHECK(line.substr(27, line.find_first_of(" ", 27) - 27) == row.answer);
  }
}

TEST_CASE("every situation says what is so and what to do") {
  for (const Row& row : situations()) {
    CAPTURE(row.name);
    const Screen screen = render(row.status, row.view);
    const std::string text = joined(screen);
    CAPTURE(text);
    for (const std::string& part : row.must_hold) {
      CAPTURE(part);
      CHECK(text.find(part) != std::string::npos);
    }
    CHECK_FALSE(screen.lines[3].empty());
    CHECK_FALSE(screen.lines[5].empty());
  }
}

TEST_CASE("all situations differ pairwise without colour") {
  const auto rows = situations();
  for (std::size_t i = 0; i < rows.size(); ++i) {
    for (std::size_t k = i + 1; k < rows.size(); ++k) {
      CAPTURE(rows[i].name);
      CAPTURE(rows[k].name);
      CHECK(joined(render(rows[i].status, rows[i].view)) != joined(render(rows[k].status, rows[k].view)));
    }
  }
}

TEST_CASE("no contract code reaches the field view") {
  for (const Row& row : situations()) {
    CAPTURE(row.name);
    const std::string text = joined(render(row.status, row.view));
    for (const char* code : {"rtk-fixed", "correction-age", "no-position", "stop-work", "own-clock", "coast_left"}) {
      CAPTURE(code);
      CHECK(text.find(code) == std::string::npos);
    }
  }
}

TEST_CASE("an accepted epoch does not count once the receiver is silent, its feed frozen or over, or the daemon lost") {
  for (const char* state : {"silent", "frozen", "waiting", "ended"}) {
    CAPTURE(state);
    Json status = fresh();
    status["feed"]["state"] = state;
    CHECK(render(status, {}).tone == Tone::refused);
  }
  View lost;
  lost.lost = true;
  CHECK(render(fresh(), lost).tone == Tone::refused);
  CHECK(render(fresh(), {}).tone == Tone::counts);
  CHECK(render(coasting(), {}).tone == Tone::coasting);
}

TEST_CASE("where no age is printed, no row gives one") {
  const auto row_of = [](const Json& status) {
    for (const std::string& row : render(status, {}).lines) {
      if (row.find("Corrections  ") != std::string::npos) return row;
    }
    return std::string();
  };
  CHECK(joined(render(unknown_age(), {})).find("Corrections of unknown age: ready.") != std::string::npos);
  CHECK(joined(render(unproven(), {})).find("No proof of corrections any more. They stop counting in 12 s.") !=
        std::string::npos);
  CHECK(row_of(unknown_age()).find("AGE UNKNOWN, counting by the quality") != std::string::npos);
  CHECK(row_of(unproven()).find("COASTING, no proof for 48.0 s, limit 60.0 s, 12.0 s left") != std::string::npos);
  for (const Json& status : {unknown_age(), unproven()}) CHECK(row_of(status).find("old") == std::string::npos);
}

TEST_CASE("the countdown is rounded down, never up") {
  Json status = coasting();
  status["correction"]["coast_left_s"] = 11.9;
  const std::string text = joined(render(status, {}));
  CHECK(text.find("They stop counting in 11 s.") != std::string::npos);
}

TEST_CASE("a lost daemon marks every value row as OLD") {
  View lost;
  lost.lost = true;
  const Screen screen = render(averaging(12), lost);
  for (std::size_t row = 9; row < 17; ++row) {
    CAPTURE(screen.lines[row]);
    CHECK(screen.lines[row].substr(72) == " OLD");
  }
}

TEST_CASE("percent is the worse of epochs and time and reaches 100 only with enough") {
  struct PercentRow {
    const char* name;
    int accepted;
    double counted_s;
    bool enough;
    int percent;
  };
  for (const PercentRow& row :
       {PercentRow{"nothing", 0, 0, false, 0}, PercentRow{"epochs ahead of time", 30, 12, false, 40},
        PercentRow{"time ahead of epochs", 6, 30, false, 20}, PercentRow{"all but not enough", 60, 60, false, 99},
        PercentRow{"enough", 30, 30, true, 100}, PercentRow{"just below", 29, 29.9, false, 96}}) {
    CAPTURE(row.name);
    Json stay = averaging(row.accepted)["occupation"];
    stay["counted_s"] = row.counted_s;
    stay["enough"] = row.enough;
    CHECK(percent_done(stay) == row.percent);
  }
}

TEST_CASE("a cause is told before its consequences, the others are named behind it") {
  Json status = moving();
  status["verdict"]["reasons"].push_back(Json::parse(R"({"code":"settling","text":"settling: counts in 3 s"})"));
  status["verdict"]["reasons"].push_back(
      Json::parse(R"({"code":"unlisted-station","text":"station 9 is not in your configuration"})"));
  const Screen screen = render(status, {});
  CHECK(screen.lines[3] == "   Station 9 is not in your configuration.");
  CHECK(screen.lines[7] == "   Also: Moving: speed 0.42 m/s, limit 0.1 m/s. (+1 more)");
}

TEST_CASE("a long sentence is broken at a blank and cut at the end of its second row") {
  std::string text = "frame";
  for (int i = 0; i < 60; ++i) text += " word" + std::to_string(i);
  const Screen screen = render(refused("frame", text), {});
  CHECK(screen.lines[3].size() <= 76);
  CHECK(screen.lines[4].substr(screen.lines[4].size() - 2) == "..");
  CHECK(screen.lines[5] == "   Stop: positions of this source cannot be brought into the project frame.");
}

TEST_CASE("three alerts are shown, more are counted, and a gone one says so") {
  Json status = stale();
  for (int i = 0; i < 3; ++i) status["alerts"].push_back(alert("stop-work", "corrections 70 s old, too old to count"));
  Screen screen = render(status, {});
  CHECK(screen.lines[18].substr(0, 12) == "-- Alerts: 3");
  CHECK(screen.lines[19] == " STOP WORK 10:41:44  Corrections 70 s old, too old to count.        NOT SEEN");
  CHECK(screen.lines[21].find("STOP WORK") != std::string::npos);
  status["alerts"].push_back(alert("notice", "x"));
  screen = render(status, {});
  CHECK(screen.lines[21] == " +2 more: stillpoint alerts");
  status["alerts"] = Json::array({alert("warning", "the receiver was silent")});
  status["alerts"][0]["active"] = false;
  CHECK(render(status, {}).lines[19].find("GONE, NOT SEEN") != std::string::npos);
  status["alerts"][0]["seen"] = true;
  CHECK(render(status, {}).lines[19].find("SEEN") == std::string::npos);
}

TEST_CASE("a status with nothing in it, or with the wrong things, still gives a screen that says NO") {
  for (const char* text : {"{}", "null", "[]", "7", R"({"verdict":7,"epoch":"x","occupation":{},"alerts":[1,null,{}]})",
                           R"({"occupation":{"accepted":1e300,"needed_epochs":-5,"needed_s":1e-300,"counted_s":1e300},
                               "correction":{"state":"coasting","coast_left_s":-1e300}})"}) {
    CAPTURE(text);
    const Screen screen = render(Json::parse(text), {});
    CHECK(screen.lines.size() == 24);
    CHECK(screen.tone == Tone::refused);
  }
}

TEST_CASE("text from outside cannot bring escape sequences or other alphabets onto the screen") {
  Json status = averaging(12);
  status["occupation"]["name"] = "V\xC3\xA5r\x1b[2J";
  status["project"] = "line\nbreak";
  const Screen screen = render(status, {});
  CHECK(screen.lines[0] == " V?r [2J                      line break                           10:42:17");
}

TEST_CASE("on a terminal the screen is cleared once, only changed rows are painted again, the cursor comes back") {
  Surroundings around;
  around.terminal = true;
  std::ostringstream out;
  {
    Painter painter(out, around);
    painter.show(render(fresh(), {}));
    CHECK(out.str().rfind("\x1b[?1049h\x1b[?25l\x1b[2J\x1b[1;1H", 0) == 0);
    out.str("");
    painter.show(render(fresh(), {}));
    CHECK(out.str().empty());
    Json later = fresh();
    later["time_utc"] = "2026-06-03T10:42:18Z";
    painter.show(render(later, {}));
    CHECK(out.str() == "\x1b[1;1H" + render(later, {}).lines[0] + "\x1b[K");
    out.str("");
  }
  CHECK(out.str() == "\x1b[?1049l\x1b[?25h");
}

TEST_CASE("colour is one cell at the left of the verdict and the text beside it stays the same") {
  Surroundings around;
  around.terminal = true;
  around.colour = true;
  std::ostringstream coloured, plain;
  {
    Painter painter(coloured, around);
    painter.show(render(stale(), {}));
    around.colour = false;
    Painter other(plain, around);
    other.show(render(stale(), {}));
  }
  std::string text = coloured.str();
  const auto at = text.find("\x1b[41m \x1b[0m");
  REQUIRE(at != std::string::npos);
  text.replace(at, 10, " ");
  CHECK(text == plain.str());
}

TEST_CASE("a small terminal gets the upper left part, where the verdict is") {
  Surroundings around;
  around.terminal = true;
  around.columns = 40;
  around.rows = 5;
  std::ostringstream out;
  {
    Painter painter(out, around);
    painter.show(render(stale(), {}));
  }
  CHECK(out.str().find("Does this second count?   NO") != std::string::npos);
  CHECK(out.str().find("\x1b[6;1H") == std::string::npos);
}

TEST_CASE("without a terminal only changed lines are printed and no escape sequence is") {
  std::ostringstream out;
  Painter painter(out, Surroundings{});
  View view;
  view.clock = false;
  painter.show(render(fresh(), view));
  const std::string printed = out.str();
  CHECK(printed.find('\x1b') == std::string::npos);
  CHECK(std::count(printed.begin(), printed.end(), '\n') > 10);
  out.str("");
  Json later = fresh();
  later["time_utc"] = "2026-06-03T10:42:18Z";
  painter.show(render(later, view));
  CHECK(out.str().empty());
  painter.show(render(stale(), view));
  CHECK(out.str().find(" Does this second count?   NO\n") == 0);
}

}  // namespace stillpoint::client::test
