// Every sentence that the terminal shows, made with its longest values, in the sizes that the look names: whole, and in
// its place.

#include "sentences/longest.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "client/alert_place.hpp"
#include "client/panel.hpp"
#include "client/statuses.hpp"
#include "gate/verdict.hpp"

namespace stillpoint::client::test {
namespace {

namespace longest = stillpoint::test;

/// What people may be asked to read at once; longer ones are a known few.
constexpr std::size_t kTwoLines = 2 * 76;
constexpr const char* kName = "CULVERT-HARROWFEN-014-NE";

struct Size {
  int columns, rows;
};
constexpr Size kSizes[] = {{80, 24}, {100, 30}, {40, 20}};

/// The sentences of a room, as they begin and end on a screen.
std::vector<std::string> said_by(std::string_view room) {
  const longest::Longest values = longest::longest_values(kName);
  std::vector<std::string> out;
  for (const longest::Room& each : longest::rooms()) {
    if (each.name != room) continue;
    for (const std::string_view words : each.sentences) {
      const std::string text = sentence(longest::made(words, values));
      // A check's own sentence is stood in for by one word of 120 letters.
      if (text.size() <= kTwoLines && words.find("{check}") == std::string_view::npos) out.push_back(text);
    }
  }
  REQUIRE_FALSE(out.empty());
  return out;
}

/// All of a screen as one line, with one blank between two words.
std::string words_of(const Screen& screen) {
  std::string out;
  for (const std::string& line : screen.lines) {
    for (const char c : line + " ") {
      if (c != ' ' || (!out.empty() && out.back() != ' ')) out += c;
    }
  }
  return out;
}

Screen drawn(const Json& status, const Size& size, const std::string& message = "") {
  Day day;
  take_status(day, status, 1000);
  Panel panel;
  panel.columns = size.columns;
  panel.rows = size.rows;
  panel.now = {14'000, false, 0.3, 0};
  panel.message = message;
  return draw(day, panel);
}

/// Not a word of it is cut: every word is there, and no mark of a cut beside it.
void check_whole(const Screen& screen, const std::string& text, const Size& size) {
  CAPTURE(text);
  CAPTURE(size.columns);
  const std::string shown = words_of(screen);
  CAPTURE(shown);
  for (std::size_t from = 0; from < text.size();) {
    const std::size_t to = std::min(text.find(' ', from), text.size());
    const bool has_room = to - from < static_cast<std::size_t>(size.columns) - 2;  // else it is broken anywhere
    if (has_room) CHECK(shown.find(text.substr(from, to - from)) != std::string::npos);
    from = to + 1;
  }
  CHECK(shown.find("..") == std::string::npos);
}

/// What a size has room for, less what wrapping costs; more than that is no reason of a second.
std::size_t most_of(const Size& size) {
  return size.columns < 80 ? 120 : kTwoLines - 12;
}

Json refused_for(const std::string& text) {
  Json status = stale_with_stay();
  status["verdict"]["reasons"] = Json::array({{{"code", "hdop"}, {"text", text}}});
  return status;
}

}  // namespace

TEST_CASE("why a second does not count is whole in every size, with its longest values") {
  for (const Size& size : kSizes) {
    for (const char* room : {"gate", "session"}) {
      for (const std::string& text : said_by(room)) {
        if (text.size() <= most_of(size)) check_whole(drawn(refused_for(text), size), text, size);
      }
    }
  }
}

TEST_CASE("what to do is whole in every size, beside the longest reason and the longest reply") {
  const std::string reason = "Its date, 2026-06-03, stands 1000000 days after this computer's clock.";
  const std::string reply(kTwoLines, 'r');
  for (const Size& size : kSizes) {
    for (const gate::ReasonWords& each : gate::kReasons) {
      Json status = refused_for(reason);
      status["verdict"]["reasons"][0]["code"] = each.word;
      const bool waits = each.word == "correction-age" || each.word == "corrections-stale";
      const std::string act = waits ? "Wait here: the average waits, nothing is lost." : std::string(each.advice);
      check_whole(drawn(status, size), act, size);
      CHECK(words_of(drawn(status, size, reply)).find(act.substr(0, 30)) != std::string::npos);
    }
  }
}

TEST_CASE("why a point would be held is whole in every size, with its longest values") {
  for (const Size& size : kSizes) {
    for (const std::string& text : said_by("occupation")) {
      if (text.size() + 40 > most_of(size)) continue;  // "The point will be held:" comes before it
      Json status = drifting();
      status["occupation"]["keep_texts"] = Json::array({text.substr(0, text.size() - 1)});
      check_whole(drawn(status, size), text.substr(1), size);
    }
  }
}

TEST_CASE("a reply is whole in every size, with its longest values") {
  for (const Size& size : kSizes) {
    for (const std::string& text : said_by("session")) check_whole(drawn(averaging(12), size, text), text, size);
  }
}

TEST_CASE("the short form of every alert is whole in every size, also when it comes and goes") {
  for (const Size& size : kSizes) {
    for (const char* room : {"alerts in brief", "machine's alerts in brief"}) {
      for (const std::string& text : said_by(room)) {
        CHECK(text.size() <= 48);
        Json status = stale();
        status["alerts"] = Json::array({alert("stop-work", "x")});
        status["alerts"][0]["short"] = text;
        check_whole(drawn(status, size), text, size);
        status["alerts"][0]["times"] = 12;
        check_whole(drawn(status, size), text + " x12", size);
      }
    }
  }
}

}  // namespace stillpoint::client::test
