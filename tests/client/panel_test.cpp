#include "client/panel.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "client/keys.hpp"
#include "client/letters.hpp"
#include "client/sounds.hpp"
#include "client/statuses.hpp"

namespace stillpoint::client::test {
namespace {

struct Situated {
  const char* name;
  Json status;
  bool lost;
  bool counts;
};

std::vector<Situated> eleven() {
  Json check_due = fresh();
  check_due["alerts"].push_back(alert("notice", "a check shot is due since 11:05"));
  check_due["alerts"][0]["key"] = "check-due";
  return {{"fresh and good", fresh(), false, true},
          {"coasting with 12 s left", coasting(), false, true},
          {"stale", stale(), false, false},
          {"receiver silent", silent(), false, false},
          {"not still yet", moving(), false, false},
          {"averaging at 40 %", averaging(12), false, true},
          {"enough", enough(), false, true},
          {"jump set apart", refused("jump", "the position jumped 0.52 m"), false, false},
          {"check due", check_due, false, true},
          {"training", training(), false, true},
          {"daemon lost", fresh(), true, false}};
}

Panel sized(int columns, int rows, bool lost = false) {
  Panel out;
  out.columns = columns;
  out.rows = rows;
  out.lost = lost;
  out.heard_s = lost ? 3 : 0.3;
  out.sound = "Sound on.";
  return out;
}

std::string joined(const Screen& screen) {
  std::string out;
  for (const std::string& line : screen.lines) out += line + "\n";
  return out;
}

}  // namespace

TEST_CASE("every situation fits the terminal it is drawn for, in printable ASCII") {
  struct Size {
    int columns, rows;
    std::size_t lines;
  };
  for (const Size& size : {Size{80, 24, 24}, Size{120, 40, 24}, Size{79, 24, 24}, Size{80, 23, 23}, Size{40, 12, 12},
                           Size{39, 12, 12}, Size{40, 11, 11}, Size{20, 5, 5}, Size{1, 1, 1}}) {
    for (const Situated& each : eleven()) {
      CAPTURE(each.name);
      CAPTURE(size.columns);
      const Screen screen = draw(each.status, sized(size.columns, size.rows, each.lost));
      CHECK(screen.lines.size() == size.lines);
      for (const std::string& line : screen.lines) {
        CAPTURE(line);
        CHECK(line.size() <= static_cast<std::size_t>(std::max(size.columns - 1, 1)));
        CHECK(std::all_of(line.begin(), line.end(), [](char c) { return c >= 0x20 && c < 0x7F; }));
      }
    }
  }
}

TEST_CASE("the eleven situations differ pairwise without colour, whole and reduced") {
  const auto all = eleven();
  for (const auto& size : {std::pair{80, 24}, std::pair{40, 12}}) {
    for (std::size_t i = 0; i < all.size(); ++i) {
      for (std::size_t k = i + 1; k < all.size(); ++k) {
        CAPTURE(all[i].name);
        CAPTURE(all[k].name);
        CHECK(joined(draw(all[i].status, sized(size.first, size.second, all[i].lost))) !=
              joined(draw(all[k].status, sized(size.first, size.second, all[k].lost))));
      }
    }
  }
}

TEST_CASE("YES or NO stands in block letters in rows 3 to 7 and follows the situation") {
  for (const Situated& each : eleven()) {
    CAPTURE(each.name);
    const Screen screen = draw(each.status, sized(80, 24, each.lost));
    const auto letters = block_letters(each.counts ? "YES" : "NO", 2);
    for (std::size_t i = 0; i < kLetterRows; ++i) {
      std::string row = letters[i];
      row.erase(row.find_last_not_of(' ') + 1);
      CHECK(screen.lines[2 + i].rfind("  " + row, 0) == 0);
    }
    CHECK_FALSE(screen.lines[7].empty());
    CHECK_FALSE(screen.lines[8].empty());
  }
}

TEST_CASE("a lost daemon marks every value as OLD and the number counts the seconds without it") {
  const Screen screen = draw(averaging(12), sized(80, 24, true));
  for (std::size_t i = 10; i < 16; ++i) CHECK(screen.lines[i].substr(75) == " OLD");
  CHECK(screen.lines[1].find("seconds without the daemon") != std::string::npos);
}

TEST_CASE("where no age is printed, no line gives one") {
  const auto line_of = [](const Json& status) {
    for (const std::string& line : draw(status, sized(80, 24, true)).lines) {
      if (line.find("Corrections") != std::string::npos) return line;
    }
    return std::string();
  };
  CHECK(line_of(unknown_age()).find("age UNKNOWN (counts by the quality), county network") != std::string::npos);
  CHECK(line_of(unproven()).find("no proof for 48.0 s  COASTING (counts until 60 s)") != std::string::npos);
}

TEST_CASE("percent cannot say 100 while an error is above what was wanted") {
  Json stay = enough()["occupation"];
  stay["wanted_error95_horizontal_m"] = 0.26;
  CHECK(percent_done(stay) == 25);  // half of 0.52 m needs four times as many
  stay["wanted_error95_horizontal_m"] = 0.52;
  CHECK(percent_done(stay) == 100);
}

TEST_CASE("while the error is above what was wanted the screen does not call it enough") {
  Json status = enough();
  status["occupation"]["wanted_error95_horizontal_m"] = 0.26;
  const Screen screen = draw(status, sized(80, 24));
  CHECK(screen.lines[1].substr(0, 2) == "--");
  CHECK(screen.lines[7] == "   Time and epochs are enough; the error is above what was wanted.");
  CHECK(screen.lines[14].find("plan 0.52 m (want 0.26 m)") != std::string::npos);
}

TEST_CASE("seen marks only what is in view, and brings the next ones up") {
  Json status = stale();
  for (int i = 0; i < 6; ++i) {
    status["alerts"].push_back(alert("stop-work", "x"));
    status["alerts"].back()["key"] = std::string(1, static_cast<char>('a' + i));
    status["alerts"].back()["id"] = 7 + i;
  }
  CHECK(shown_alerts(status, sized(80, 24)) == std::vector<AlertName>{{"a", 7}, {"b", 8}, {"c", 9}});
  for (std::size_t i = 0; i < 3; ++i) status["alerts"][i]["seen"] = true;
  CHECK(shown_alerts(status, sized(80, 24)) == std::vector<AlertName>{{"d", 10}, {"e", 11}, {"f", 12}});
  CHECK(shown_alerts(status, sized(40, 12)) == std::vector<AlertName>{{"d", 10}});
}

TEST_CASE("an arrow key is no letter, dropping asks, and any other key goes back") {
  Keys keys;
  const Standing open{"HF-A-0014", false, ""};
  CHECK(keys.press("\x1b[A", open).empty());
  CHECK(keys.press("3", open).empty());
  CHECK(keys.prompt().find("HF-A-0014") != std::string::npos);
  CHECK(keys.press("x", open).empty());
  CHECK(keys.prompt().empty());
  keys.press("3", open);
  const auto dropped = keys.press("d", open);
  REQUIRE(dropped.size() == 1);
  CHECK(dropped[0].act == Act::drop);
  keys.press("3", open);
  CHECK(keys.press("d", Standing{"HF-A-0015", false, ""}).empty());  // no longer the point that was asked about
  CHECK(keys.press("2", open).empty());
  CHECK(keys.press("k", open).size() == 1);
  CHECK(keys.press("2", Standing{"HF-A-0014", true, ""}).size() == 1);
}

TEST_CASE("occupying offers the next name, and the first key replaces it") {
  CHECK(next_name("HF-A-0014") == "HF-A-0015");
  CHECK(next_name("P-99").empty());
  CHECK(next_name("mark").empty());
  Keys keys;
  const Standing free{"", false, "HF-A-0015"};
  keys.press("1", free);
  const auto offered = keys.press("\r", free);
  REQUIRE(offered.size() == 1);
  CHECK(offered[0].name == "HF-A-0015");
  keys.press("1", free);
  const auto typed = keys.press(
      "AB\x7f"
      "1\t\r",
      free);
  REQUIRE(typed.size() == 1);
  CHECK(typed[0].name == "A1");
  CHECK(typed[0].again);
}

TEST_CASE("a name that reads like a known one begins with N alone") {
  Keys keys;
  const Standing free{"", false, ""};
  keys.ask_whether_new({Act::occupy, "VM 11", true}, "VM-11");
  CHECK(keys.prompt().find("VM 11 reads like VM-11") == 0);
  CHECK(keys.press("\r", free).empty());
  CHECK(keys.prompt().empty());
  CHECK(keys.take_remark() == "Nothing was changed.");
  keys.ask_whether_new({Act::occupy, "VM 11", true}, "VM-11");
  const auto sure = keys.press("n", free);
  REQUIRE(sure.size() == 1);
  CHECK(sure[0].name == "VM 11");
  CHECK(sure[0].again);
  CHECK(sure[0].is_new);
}

TEST_CASE("an alert sounds once, again when told again, a new one even while quiet, none in training") {
  Json status = stale();
  status["alerts"].push_back(alert("stop-work", "x"));
  Ears ears;
  CHECK(ears.hear(status, false, false, 0) == Sound::high);
  CHECK(ears.hear(status, false, false, 1000) == Sound::none);
  status["alerts"][0]["repeats"] = 1;
  CHECK(ears.hear(status, false, false, 15'000) == Sound::high);
  ears.be_quiet(16'000);
  status["alerts"][0]["repeats"] = 2;
  CHECK(ears.hear(status, false, false, 30'000) == Sound::none);
  status["alerts"].push_back(alert("warning", "y"));
  status["alerts"][1]["key"] = "other";
  CHECK(ears.hear(status, false, false, 31'000) == Sound::medium);
  status["training"] = true;
  Ears others;
  CHECK(others.hear(status, false, false, 0) == Sound::none);
}

TEST_CASE("stale corrections sound after 2 s, what comes and goes is silent, counting again is good news") {
  Json status = stale();
  status["alerts"].push_back(alert("stop-work", "x"));
  status["alerts"][0]["key"] = "corrections-stale";
  Ears ears;
  CHECK(ears.hear(status, false, false, 0) == Sound::none);
  CHECK(ears.hear(status, false, false, 2000) == Sound::high);
  status["alerts"][0]["id"] = 2;
  status["alerts"][0]["times"] = 3;
  CHECK(ears.hear(status, false, false, 4000) == Sound::none);
  CHECK(ears.hear(status, false, false, 6000) == Sound::none);
  Ears glad;
  glad.hear(averaging(3), true, false, 0);
  glad.hear(averaging(3), false, false, 20'000);
  CHECK(glad.hear(averaging(4), true, false, 21'000) == Sound::good);
}

TEST_CASE("the bell's rhythms have 5, 2, 2 and 1 strokes and a weaker sound never cuts a stronger one") {
  for (const auto& each : {std::pair{Sound::high, 5}, std::pair{Sound::medium, 2}, std::pair{Sound::good, 2},
                           std::pair{Sound::low, 1}, std::pair{Sound::none, 0}}) {
    Bell bell;
    bell.ring(each.first, 0);
    int count = 0;
    for (std::int64_t now_ms = 0; now_ms < 4000; now_ms += 50) count += bell.stroke(now_ms) ? 1 : 0;
    CHECK(count == each.second);
  }
  Bell bell;
  bell.ring(Sound::high, 0);
  bell.ring(Sound::low, 10);
  int count = 0;
  for (std::int64_t now_ms = 0; now_ms < 4000; now_ms += 50) count += bell.stroke(now_ms) ? 1 : 0;
  CHECK(count == 5);
}

}  // namespace stillpoint::client::test
