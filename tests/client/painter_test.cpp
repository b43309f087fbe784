#include "client/painter.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <sstream>

#include "client/panel.hpp"
#include "client/statuses.hpp"

namespace stillpoint::client::test {
namespace {

Screen drawn(const Json& status, int columns = 80, int rows = 24) {
  Day day;
  take_status(day, status, 0);
  Panel panel;
  panel.columns = columns;
  panel.rows = rows;
  return draw(day, panel);
}

Screen plain(const Json& status) {
  Day day;
  take_status(day, status, 0);
  Screen out;
  out.lines = plain_lines(day, {}, false);
  return out;
}

Surroundings terminal(bool colour) {
  Surroundings out;
  out.terminal = true;
  out.colour = colour;
  return out;
}

}  // namespace

TEST_CASE("on a terminal the screen is cleared once, only changed rows are painted again, the cursor comes back") {
  std::ostringstream out;
  {
    Painter painter(out, terminal(false));
    painter.show(drawn(fresh()));
    CHECK(out.str().rfind("\x1b[?1049h\x1b[?25l\x1b[2J\x1b[1;1H", 0) == 0);
    out.str("");
    painter.show(drawn(fresh()));
    CHECK(out.str().empty());
    Json later = fresh();
    later["time_utc"] = "2026-06-03T10:42:18Z";
    painter.show(drawn(later));
    CHECK(out.str() == "\x1b[1;1H" + drawn(later).lines[0] + "\x1b[K");
    out.str("");
  }
  CHECK(out.str() == "\x1b[?1049l\x1b[?25h");
}

TEST_CASE("colour is one cell at the left of the plate, and the text is the same without it") {
  struct Row {
    const char* name;
    Json status;
    std::string begins;  ///< of the coloured cell
  };
  for (const Row& row :
       {Row{"green counts", averaging(12), "\x1b[42m"},
        Row{"blue counts on late corrections", late_and_averaging(), "\x1b[44m"},
        Row{"red is wrong", stale(), "\x1b[41m"}, Row{"no colour while all is well", settling(), ""}}) {
    CAPTURE(row.name);
    std::ostringstream coloured, without;
    {
      Painter painter(coloured, terminal(true)), other(without, terminal(false));
      painter.show(drawn(row.status));
      other.show(drawn(row.status));
    }
    std::string text = coloured.str();
    int cells = 0;
    for (auto at = text.find("\x1b[4"); at != std::string::npos; at = text.find("\x1b[4", at)) {
      if (text[at + 4] != 'm') {  // a place on the screen
        ++at;
        continue;
      }
      CHECK(text.substr(at, 5) == row.begins);
      text.erase(at, 5);
      text.erase(text.find("\x1b[0m", at), 4);
      ++cells;
    }
    CHECK(cells == (row.begins.empty() ? 0 : 5));
    CHECK(text == without.str());
  }
}

TEST_CASE("a small terminal gets no more rows than it has") {
  Surroundings around = terminal(false);
  around.columns = 40;
  around.rows = 5;
  std::ostringstream out;
  {
    Painter painter(out, around);
    painter.show(drawn(stale(), 40, 5));
  }
  CHECK(out.str().find("\x1b[1;1HNO") != std::string::npos);
  CHECK(out.str().find("\x1b[6;1H") == std::string::npos);
}

TEST_CASE("without a terminal only changed lines are printed and no escape sequence is") {
  std::ostringstream out;
  Painter painter(out, Surroundings{});
  painter.show(plain(fresh()));
  const std::string printed = out.str();
  CHECK(printed.find('\x1b') == std::string::npos);
  CHECK(std::count(printed.begin(), printed.end(), '\n') > 10);
  out.str("");
  Json later = fresh();
  later["time_utc"] = "2026-06-03T10:42:18Z";
  painter.show(plain(later));
  CHECK(out.str().empty());
  painter.show(plain(stale()));
  CHECK(out.str().find("Ready to measure? NO\nCorrection age 70 s, limit 60 s.\n") == 0);
}

}  // namespace stillpoint::client::test
