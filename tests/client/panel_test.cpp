#include "client/panel.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <map>
#include <set>

#include "base/sentence.hpp"
#include "client/acts.hpp"
#include "client/alert_place.hpp"
#include "client/answer.hpp"
#include "client/letters.hpp"
#include "client/screen_sentences.hpp"
#include "client/sheets.hpp"
#include "client/statuses.hpp"
#include "client/values.hpp"

namespace stillpoint::client::test {
namespace {

struct State {
  const char* name;
  Json status;
  const char* word;
  bool lost = false;
  Day day{};
};

/// The states of `look.md`, and those in their manner.
std::vector<State> states() {
  Json check_due = checked();
  check_due["check"]["due"] = true;
  Json closing = checked();
  Json waiting = silent();
  waiting["epoch"] = nullptr;
  waiting["occupation"] = averaging(12)["occupation"];
  Json training_open = averaging(12);
  training_open["training"] = true;
  std::vector<State> out{{"walking", walking(), "NO"},
                         {"fresh, no point", fresh(), "READY"},
                         {"a check is due in 85 min", checked(), "READY"},
                         {"a check is due", check_due, "READY"},
                         {"late, no point", coasting(), "READY"},
                         {"unknown age, no point", unknown_age(), "READY"},
                         {"no proof, no point", unproven(), "READY"},
                         {"averaging at 40 %", averaging(12), "YES"},
                         {"coasting", late_and_averaging(), "YES"},
                         {"stale, no point", stale(), "NO"},
                         {"stale", stale_with_stay(), "NO"},
                         {"settling", settling(), "NO"},
                         {"enough", enough(), "ENOUGH"},
                         {"set apart", set_apart(), "NO"},
                         {"two places", two_places(), "YES"},
                         {"drifting", drifting(), "YES"},
                         {"held beside", enough_but_unchecked(), "YES"},
                         {"unknown age", averaging_of_unknown_age(), "YES"},
                         {"feed lost", silent(), "NO"},
                         {"feed lost with a stay", waiting, "NO"},
                         {"no fix", no_fix(), "NO"},
                         {"training, no point", training(), "READY"},
                         {"training", training_open, "YES"},
                         {"check shot", on_a_mark(12), "YES"},
                         {"check shot enough", on_a_mark(60), "ENOUGH"},
                         {"daemon lost", averaging(12), "NO", true},
                         {"daemon lost, no point", fresh(), "NO", true}};
  State day_closing{"day closing", closing, "READY"};
  day_closing.day.closing = "5 mm off VM-11";
  day_closing.day.points = Json::array({point("CUL-21", "held", "10:20:00"), point("CUL-22", "accepted", "10:30:00")});
  out.push_back(day_closing);
  return out;
}

Day day_of(const State& state) {
  Day day = state.day;
  take_status(day, state.status, 1000);
  day.counted_ms = 1000;
  return day;
}

Panel sized(int columns, int rows, bool lost = false) {
  Panel out;
  out.columns = columns;
  out.rows = rows;
  out.now = {14'000, lost, lost ? 3.4 : 0.3, 0};
  return out;
}

Screen drawn(const State& state, int columns, int rows) {
  return draw(day_of(state), sized(columns, rows, state.lost));
}

Screen drawn(const Json& status, int columns = 80, int rows = 24) {
  return drawn(State{"", status, ""}, columns, rows);
}

std::string joined(const std::vector<std::string>& lines) {
  std::string out;
  for (const std::string& line : lines) out += line + "\n";
  return out;
}

bool has(const Screen& screen, const std::string& text) {
  return joined(screen.lines).find(text) != std::string::npos;
}

struct Size {
  int columns, rows;
};
constexpr Size kSizes[] = {{80, 24}, {40, 20}, {100, 30}};

void check_form(const Screen& screen, const Size& size) {
  CHECK(screen.lines.size() == static_cast<std::size_t>(size.rows));
  for (const std::string& line : screen.lines) {
    CAPTURE(line);
    CHECK(line.size() < static_cast<std::size_t>(std::max(size.columns, 2)));
    CHECK(std::all_of(line.begin(), line.end(), [](char c) { return c >= 0x20 && c < 0x7F; }));
  }
}

/// Where each label begins a line.
std::map<std::string, std::size_t> label_rows(const Screen& screen) {
  std::map<std::string, std::size_t> out;
  for (std::size_t i = 0; i < screen.lines.size(); ++i) {
    for (const char* label : {"Average", "Corrections", "Horizontal", "Vertical", "Check ", "Last", "Position"}) {
      const auto at = screen.lines[i].find(label);
      if (at != std::string::npos && at < 2) out[label] = i;
    }
  }
  return out;
}

}  // namespace

TEST_CASE("every state fits the terminal it is drawn for, in printable ASCII, and nothing is cut") {
  for (const Size& size : {Size{80, 24}, Size{40, 20}, Size{100, 30}, Size{200, 60}, Size{79, 24}, Size{80, 16},
                           Size{40, 12}, Size{60, 18}}) {
    for (const State& each : states()) {
      CAPTURE(each.name);
      CAPTURE(size.columns);
      CAPTURE(size.rows);
      const Screen screen = drawn(each, size.columns, size.rows);
      check_form(screen, size);
      if (size.rows > 16) CHECK_FALSE(has(screen, ".."));
    }
  }
}

TEST_CASE("the longest sentences on what is so are told whole in every size") {
  // As tests/sentences makes them with the longest values; what the daemon says of a link that sends nothing.
  Json drifts = drifting(), waits = silent();
  drifts["occupation"]["keep_texts"] = {
      "position drifts: 10000.00 m from its mean within 86400 s, the receiver claims 10000.00 m"};
  waits["feed"] = {
      {"state", "waiting"},
      {"what", "tcp 127.0.0.1:40311: no bytes for 10 s; is the receiver on and set to send here?; connecting again"}};
  const Json conflicts = refused("conflict",
                                 "the position of GGA lies 10000.000 m from that of GNS, and the two sentences are of "
                                 "one instant (limit 0.500 m)");
  for (const Json& status : {drifts, waits, conflicts}) {
    const std::string what = situation_of(status, false, true).what;
    CAPTURE(what);
    CHECK(what.size() > 100);
    for (const Size& size : kSizes) {
      std::string shown;
      for (const std::string& line : drawn(status, size.columns, size.rows).lines) {
        shown += line.empty() ? "" : line.substr(line.find_first_not_of(' ')) + " ";
      }
      CHECK(shown.find("..") == std::string::npos);
      // Its words stand in their order; what to do may stand between the rows.
      std::size_t at = 0;
      for (std::size_t from = 0; from < what.size(); from = what.find(' ', from) + 1) {
        const std::string word = what.substr(from, what.find(' ', from) - from);
        at = shown.find(word, at);
        CHECK(at != std::string::npos);
        if (what.find(' ', from) == std::string::npos) break;
      }
    }
  }
}

TEST_CASE("smaller than can be laid out there are words, the verdict first") {
  for (const Size& size : {Size{39, 20}, Size{40, 11}, Size{20, 5}, Size{1, 1}}) {
    for (const State& each : states()) {
      CAPTURE(each.name);
      const Screen screen = drawn(each, size.columns, size.rows);
      check_form(screen, size);
      CHECK(screen.lines[0].substr(0, 1) == std::string(each.word).substr(0, 1));
    }
  }
}

TEST_CASE("all states differ pairwise without colour, in every size") {
  const auto all = states();
  for (const Size& size : kSizes) {
    std::map<std::string, const char*> seen;
    for (const State& each : all) {
      const auto [same, is_new] = seen.emplace(joined(drawn(each, size.columns, size.rows).lines), each.name);
      CAPTURE(each.name);
      CAPTURE(same->second);
      CHECK(is_new);
    }
  }
}

TEST_CASE("the word stands in block letters, white on dark where it does not count") {
  for (const State& each : states()) {
    CAPTURE(each.name);
    const Screen screen = drawn(each, 80, 24);
    const LetterSize size = std::string(each.word) == "READY" ? LetterSize::middle : LetterSize::wide;
    auto letters = block_letters(each.word, size);
    const bool dark = std::string(each.word) == "NO";
    for (std::size_t i = 0; i < kLetterRows; ++i) {
      std::string row = screen.lines[2 + i].substr(0, 3 + letters[i].size());
      row.resize(3 + letters[i].size(), ' ');
      // What is filled on dark is what is empty on white.
      if (dark) {
        const char filling = each.lost ? 'X' : '#';
        for (char& c : row) c = c == filling ? ' ' : '#';
      }
      CHECK(row.substr(3) == letters[i]);
    }
  }
}

TEST_CASE("there is no YES and no ENOUGH without an open point, and no READY with one") {
  for (const State& each : states()) {
    CAPTURE(each.name);
    const Day day = day_of(each);
    const Answer answer = answer_of(day, sized(80, 24, each.lost).now);
    CHECK(answer.word == each.word);
    const bool open = open_point(day).is_object();
    if (answer.word == "READY") CHECK_FALSE(open);
    if (answer.word == "YES" || answer.word == "ENOUGH") CHECK(open);
  }
}

TEST_CASE("no percentage stands beside NO, no figure beside ENOUGH, and none of 100 beside what will be held") {
  for (const State& each : states()) {
    CAPTURE(each.name);
    const Answer answer = answer_of(day_of(each), sized(80, 24, each.lost).now);
    if (answer.word == "NO") CHECK(answer.figure.unit != "%");
    if (answer.word == "ENOUGH") CHECK(answer.figure.digits.empty());
    CHECK_FALSE((answer.figure.unit == "%" && answer.figure.digits == "100"));
  }
}

TEST_CASE("the figure is the number that decides the next act") {
  struct Row {
    const char* name;
    Json status;
    bool lost;
    const char *digits, *unit, *of;
  };
  for (const Row& row :
       {Row{"seconds left, rounded down", late_and_averaging(), false, "12", "s", "until it stops counting"},
        Row{"percent", averaging(12), false, "40", "%", "of HF-A-0014 is done"},
        Row{"seconds since one counted", stale_with_stay(), false, "13", "s", "since a second counted"},
        Row{"until it counts", settling(), false, "4", "s", "until it counts again"},
        Row{"speed", walking(), false, "1.3", "m/s", "the pole moves"},
        Row{"between the places", two_places(), false, "0.38", "m", "between two places"},
        Row{"what cannot be mended", drifting(), false, "", "", "it will be held"},
        Row{"until a check", checked(), false, "85", "min", "until a check is due"},
        Row{"without an answer", averaging(12), true, "3", "s", "without an answer"}}) {
    CAPTURE(row.name);
    const Figure figure = answer_of(day_of({"", row.status, ""}), sized(80, 24, row.lost).now).figure;
    CHECK(figure.digits == row.digits);
    CHECK(figure.unit == row.unit);
    CHECK(figure.of == std::string(row.of).substr(0, figure.of.size()));
    CHECK_FALSE(figure.of.empty());
  }
}

TEST_CASE("nothing moves to another row between two states") {
  for (const Size& size : {Size{80, 24}, Size{100, 30}, Size{40, 26}}) {
    const auto first = label_rows(drawn(fresh(), size.columns, size.rows));
    CHECK(first.size() >= 7);
    for (const State& each : states()) {
      CAPTURE(each.name);
      CHECK(label_rows(drawn(each, size.columns, size.rows)) == first);
    }
  }
}

TEST_CASE("the edge of the plate carries the state") {
  struct Row {
    const char* name;
    Json status;
    bool lost;
    char upper, lower, left, right;  ///< of both edges, and of the first cells inside
  };
  Json training_open = averaging(12);
  training_open["training"] = true;
  for (const Row& row :
       {Row{"ready has no sides", fresh(), false, '-', '-', ' ', ' '},
        Row{"counts", averaging(12), false, '-', '-', '|', '|'},
        Row{"late", late_and_averaging(), false, '/', '/', '/', '/'},
        Row{"unknown age", averaging_of_unknown_age(), false, '/', '/', '/', '/'},
        Row{"enough", enough(), false, '=', '=', '|', '|'}, Row{"training", training_open, false, '~', '-', '|', '|'},
        Row{"waits", settling(), false, '-', '-', '|', '|'}, Row{"wrong", stale(), false, '#', '#', '#', '#'},
        Row{"lost", averaging(12), true, 'X', 'X', 'X', 'X'}}) {
    CAPTURE(row.name);
    const auto lines = drawn(State{"", row.status, "", row.lost}, 80, 24).lines;
    CHECK(lines[1][0] == row.upper);
    CHECK(lines[7][0] == row.lower);
    CHECK(lines[4][0] == row.left);
    CHECK((lines[4].size() < 79 ? ' ' : lines[4][78]) == row.right);
  }
  CHECK(drawn(settling()).lines[4][1] == '#');  // half dark: the word's half alone
  CHECK(drawn(settling()).lines[4][77] == ' ');
}

TEST_CASE("a lost daemon marks every value as OLD and says since when") {
  for (const Size& size : kSizes) {
    const Screen screen = drawn(State{"", averaging(12), "", true}, size.columns, size.rows);
    std::size_t old = 0;
    for (const auto& [label, row] : label_rows(screen)) {
      CAPTURE(label);
      CHECK(screen.lines[row].ends_with(" OLD"));
      ++old;
    }
    CHECK(old >= 2);
    CHECK(has(screen, "without an answer"));
    CHECK(has(screen, "Stillpoint does not answer"));
  }
}

TEST_CASE("one line of the limit goes through all scales") {
  Json status = enough();
  status["occupation"]["wanted_error95_horizontal_m"] = 0.6;
  status["occupation"]["wanted_error95_vertical_m"] = 0.6;
  for (const Size& size : {Size{80, 24}, Size{100, 30}}) {
    const Screen screen = drawn(status, size.columns, size.rows);
    const std::string& rule = *std::find_if(screen.lines.begin(), screen.lines.end(), [](const std::string& line) {
      return line.find(" limit +") != std::string::npos;
    });
    const auto at = rule.find('+');
    for (const char* label : {"Corrections", "Horizontal", "Vertical"}) {
      CAPTURE(label);
      CHECK(screen.lines[label_rows(screen).at(label)][at] == '|');
    }
  }
}

TEST_CASE("a value stands left of the line when it is within its limit, right of it when not") {
  struct Row {
    const char* name;
    double part;
    bool left;
  };
  for (const Row& row : {Row{"half", 0.5, true}, Row{"just within", 0.999, true}, Row{"on it", 1.0, true},
                         Row{"just beyond", 1.001, false}, Row{"far beyond", 1e9, false}}) {
    CAPTURE(row.name);
    const std::string scale = scale_text({"", {}, Value::Scale::age, row.part, 0.1}, 26);
    const auto at = scale.find('A');
    REQUIRE(at != std::string::npos);
    CHECK((at < limit_cell(26)) == row.left);
    CHECK(scale[limit_cell(26)] == '|');
  }
}

TEST_CASE("one alert is shown, the highest that nobody has seen, with how many wait") {
  Json status = stale();
  status["alerts"] = Json::array({alert("stop-work", "x"), alert("warning", "y"), alert("notice", "z")});
  for (std::size_t i = 0; i < 3; ++i) status["alerts"][i]["id"] = 7 + i;
  status["alerts"][0]["short"] = "Corrections too old, over 60 s.";
  const auto seen_by_a_press = [&] {
    std::vector<std::uint64_t> out;
    for (const AlertShown& each : alerts_to_see(day_of({"", status, ""}), {})) out.push_back(each.id);
    return out;
  };
  using Ids = std::vector<std::uint64_t>;
  Screen screen = drawn(status);
  CHECK(screen.lines[11] == " [!!!] STOP MEASURING 10:41:44, not seen; 2 more");
  CHECK(screen.lines[12] == "       Corrections too old, over 60 s.");
  CHECK(seen_by_a_press() == Ids{7});
  status["alerts"][0]["seen"] = true;
  screen = drawn(status);
  CHECK(screen.lines[11] == " [!! ] WARNING 10:41:44, not seen; 1 more");
  CHECK(seen_by_a_press() == Ids{8});
  status["alerts"][1]["seen"] = status["alerts"][2]["seen"] = true;
  CHECK(drawn(status).lines[11] == "  !!!  STOP MEASURING 10:41:44, seen");
  CHECK(seen_by_a_press() == Ids{});
}

TEST_CASE("the zone of all times is told once, or not at all where there is no room") {
  for (const Size& size : kSizes) {
    for (const State& each : states()) {
      CAPTURE(each.name);
      const std::string shown = joined(drawn(each, size.columns, size.rows).lines);
      const auto first = shown.find("UTC");
      if (size.columns >= 80) CHECK(first != std::string::npos);
      if (first != std::string::npos) CHECK(shown.find("UTC", first + 1) == std::string::npos);
    }
  }
}

TEST_CASE("what is over never stands above what is so, and all that is over has one line and one press") {
  Json status = stale();
  status["alerts"] =
      Json::array({alert("stop-work", "x"), alert("notice", "y"), alert("warning", "z"), alert("notice", "w")});
  for (std::size_t i = 0; i < 4; ++i) status["alerts"][i]["id"] = 7 + i;
  Json& alerts = status["alerts"];
  const auto pressed = [&] { return alerts_to_see(day_of({"", status, ""}), {}); };
  const auto seen_is = [&] { return act_shown(ActId::seen, day_of({"", status, ""}), sized(80, 24).now, {}).outcome; };
  alerts[0]["active"] = alerts[2]["active"] = alerts[3]["active"] = false;
  CHECK(drawn(status).lines[11] == " [!  ] NOTICE 10:41:44, not seen; 1 more");
  CHECK(seen_is() == "1 more");
  REQUIRE(pressed().size() == 1);
  CHECK(pressed()[0].id == 8);
  alerts[1]["seen"] = true;
  CHECK(drawn(status).lines[11] == "  !    NOTICE 10:41:44, seen; 1 more");
  CHECK(seen_is() == "3 gone");
  CHECK(pressed().size() == 3);
  alerts.erase(1);
  CHECK(drawn(status).lines[11] == " [   ] STOP MEASURING 10:41:44, 3 gone, not seen");
  CHECK(drawn(status).lines[12] == "       X.");
  CHECK(pressed().size() == 3);
}

TEST_CASE("an alert's longest short text and severity are whole in every size") {
  Json status = stale();
  const std::string text = "Forty-eight characters of text, and none is cut.";
  REQUIRE(text.size() == 48);
  status["alerts"] = Json::array({alert("stop-work", "x"), alert("notice", "z")});
  status["alerts"][0]["short"] = text;
  for (const Size& size : kSizes) {
    std::string shown = joined(drawn(status, size.columns, size.rows).lines);
    CHECK(shown.find("STOP MEASURING") != std::string::npos);
    CHECK(shown.find("not seen") != std::string::npos);
    std::replace(shown.begin(), shown.end(), '\n', ' ');
    CHECK(shown.find(size.columns > 60 ? text : "Forty-eight characters of text, and") != std::string::npos);
    CHECK(shown.find("none is cut.") != std::string::npos);
  }
}

TEST_CASE("without an alert the last one that ended is told, or what has no room elsewhere") {
  Day day = day_of({"", fresh(), ""});
  CHECK(draw(day, sized(80, 24)).lines[11] == "       No alert.");
  Json before = fresh();
  before["alerts"] = Json::array({alert("notice", "a source changed")});
  take_status(day, before, 2000);
  take_status(day, fresh(), 3000);
  CHECK(draw(day, sized(80, 24)).lines[12] == "       The last: 10:41, A source changed.");
  CHECK(label_rows(draw(day, sized(40, 20))).size() == 5);
}

TEST_CASE("what will come of an act stands beside it, or why it cannot be done") {
  struct Row {
    const char* name;
    Json status;
    ActId act;
    May may;
    const char* outcome;
  };
  for (const Row& row : {Row{"begin is the next step", fresh(), ActId::begin, May::next, "start"},
                         Row{"begin while seconds do not count", stale(), ActId::begin, May::yes, "start"},
                         Row{"begin with a point open", averaging(12), ActId::begin, May::no, "point open"},
                         Row{"begin with a check open", on_a_mark(12), ActId::begin, May::no, "check open"},
                         Row{"begin without a receiver", silent(), ActId::begin, May::no, "no receiver"},
                         Row{"keep without a point", fresh(), ActId::keep, May::no, "no point"},
                         Row{"keep before a second counted", averaging(0), ActId::keep, May::no, "nothing yet"},
                         Row{"keep too early", averaging(12), ActId::keep, May::asks, "will be held"},
                         Row{"keep a check too early", on_a_mark(12), ActId::keep, May::asks, "too short"},
                         Row{"keep what has two places", two_places(), ActId::keep, May::asks, "will be held"},
                         Row{"keep what is enough", enough(), ActId::keep, May::next, "accepted"},
                         Row{"keep a check", on_a_mark(60), ActId::keep, May::next, "compare"},
                         Row{"discard", averaging(12), ActId::discard, May::asks, "asks first"},
                         Row{"discard nothing", fresh(), ActId::discard, May::no, "no point"},
                         Row{"see nothing", fresh(), ActId::seen, May::no, "no alerts"},
                         Row{"more", averaging(12), ActId::more, May::yes, "all the rest"}}) {
    CAPTURE(row.name);
    const Day day = day_of({"", row.status, ""});
    const ActShown shown = act_shown(row.act, day, {}, {});
    CHECK(shown.may == row.may);
    CHECK(shown.outcome == row.outcome);
    const ActShown lost = act_shown(row.act, day, {0, true, 3, 0}, {});
    CHECK((lost.may == May::no) == (row.act != ActId::more));
  }
  const auto lines = drawn(fresh()).lines;
  CHECK(lines[22] == ">[1] Begin       2  Keep        3  Discard     A  Seen       [M] More");
  CHECK(lines[23] == "  start          no point       no point       no alerts      all the rest");
}

TEST_CASE("what waits for a second press, or can be taken back, stands in its act's own place") {
  const Day day = day_of({"", averaging(12), ""});
  for (const Size& size : kSizes) {
    Panel panel = sized(size.columns, size.rows);
    const Json& stay = open_point(day);
    panel.hold.press(HeldAct::discard, stay, panel.now.ms);
    CHECK(has(draw(day, panel), "3 again"));
    panel.hold.press(HeldAct::discard, stay, panel.now.ms);
    CHECK(has(draw(day, panel), "Undo"));
    CHECK(has(draw(day, panel), "5 s"));
    CHECK_FALSE(has(draw(day, panel), ".."));
  }
}

TEST_CASE("a reply takes the third row, and a long one rows of the values: what to do is never hidden") {
  const Day day = day_of({"", averaging(12), ""});
  Panel panel = sized(80, 24);
  panel.message = "HF-A-0014 accepted, 9 mm horizontal, 15 mm vertical (95 %).";
  Screen screen = draw(day, panel);
  CHECK(screen.lines[8] == "  Fresh corrections: averaging.");
  CHECK(screen.lines[9] == "  Stand still until it is enough.");
  CHECK(screen.lines[10] == "  " + panel.message);
  panel.message =
      "HF-A-0014 held: two places 0.31 m apart and 0.02 m in height (60 and 31 epochs); the newest check failed.";
  for (const Size& size : {Size{80, 24}, Size{40, 20}, Size{100, 30}, Size{80, 16}, Size{40, 12}}) {
    CAPTURE(size.columns);
    CAPTURE(size.rows);
    panel.columns = size.columns;
    panel.rows = size.rows;
    const Screen told = draw(day, panel);
    CHECK(has(told, "Stand still until it is enough."));
    CHECK(has(told, "HF-A-0014 held:"));
    if (size.rows > 12) CHECK(has(told, "failed."));
    check_form(told, size);
  }
}

TEST_CASE("what is asked stands under the live answer: plate, sentences and alert stay") {
  Day day = day_of({"", checked(), ""});
  day.points = Json::array({point("CUL-21", "held", "10:20:00")});
  day.marks = Json::parse(R"([{"mark":"VM-11"},{"mark":"VM-12"}])");
  const Sheet name = name_sheet(day), more = more_sheet(day, {}, false), help = help_sheet(false),
              small = help_sheet(true);
  for (const Size& size : kSizes) {
    const Screen before = draw(day, sized(size.columns, size.rows));
    for (const Sheet* sheet : {&name, &more, size.columns < 80 ? &small : &help}) {
      CAPTURE(sheet->title);
      CAPTURE(size.columns);
      Panel panel = sized(size.columns, size.rows);
      panel.sheet = *sheet;
      const Screen screen = draw(day, panel);
      check_form(screen, size);
      CHECK_FALSE(has(screen, ".."));
      CHECK(has(screen, "[Esc]"));
      const std::size_t live = size.columns < 80 ? 7 : 13;
      // Where there is no head the first row tells the way to More, which is no way from here.
      for (std::size_t i = size.columns < 80 ? 1 : 0; i < live; ++i) CHECK(screen.lines[i] == before.lines[i]);
      for (const Choice& choice : sheet->choices) CHECK(has(screen, choice.label));
    }
  }
}

TEST_CASE("of more fields than there is room for, the one that is typed into is shown") {
  Day day = day_of({"", checked(), ""});
  Sheet sheet;
  sheet.title = "Offset point";
  for (int i = 0; i < 9; ++i) sheet.fields.push_back({"Field " + std::to_string(i), "", "", false});
  Panel panel = sized(40, 12);
  for (std::size_t field = 0; field < sheet.fields.size(); ++field) {
    CAPTURE(field);
    sheet.field = field;
    panel.sheet = sheet;
    CHECK(has(draw(day, panel), "> Field " + std::to_string(field)));
  }
  sheet.field = 0;
  panel = sized(80, 24);
  panel.sheet = sheet;
  for (std::size_t field = 0; field < sheet.fields.size(); ++field)
    CHECK(has(draw(day, panel), "Field " + std::to_string(field)));
}

TEST_CASE("help and its lines have room in every size") {
  for (const std::string_view line : sentences_of(kScreenLines)) {
    CAPTURE(line);
    CHECK(line.size() <= 77);
  }
}

TEST_CASE("the times of the screen are those of this place, and their zone is told once") {
  struct Row {
    const char* name;
    int zone_s;
    const char *clock, *zone;
  };
  for (const Row& row :
       {Row{"UTC", 0, "10:42:17", "UTC"}, Row{"west", -5 * 3600, "05:42:17", "UTC-5"},
        Row{"half hours", 19'800, "16:12:17", "UTC+5:30"}, Row{"over midnight", 14 * 3600, "00:42:17", "UTC+14"}}) {
    CAPTURE(row.name);
    Panel panel = sized(80, 24);
    panel.now.zone_s = row.zone_s;
    const std::string head = draw(day_of({"", fresh(), ""}), panel).lines[0];
    CHECK(head.ends_with(std::string(row.clock) + " " + row.zone));
    CHECK(local_clock("", panel.now) == "--:--:--");
  }
}

TEST_CASE("the head says the pole, sound off, quiet, training and a closed day") {
  Day day = day_of({"", fresh(), ""});
  day.antenna = Json::parse(R"({"parts":{"pole":1.8}})");
  Panel panel = sized(80, 24);
  const auto head = [&] { return draw(day, panel).lines[0]; };
  CHECK(head().find("pole 1.800 m") != std::string::npos);
  panel.quiet_left_ms = 99'400;
  CHECK(head().find("quiet 1:40") != std::string::npos);
  panel.mute = true;
  CHECK(head().find("SOUND OFF") != std::string::npos);
  day.closed = true;
  CHECK(head().find("DAY CLOSED") != std::string::npos);
  CHECK(drawn(training()).lines[1].find("TRAINING") != std::string::npos);
  CHECK(drawn(training(), 40, 20).lines[0].find("TRAINING") != std::string::npos);
}

TEST_CASE("the plain lines say the same words, one fact a line") {
  Panel panel = sized(80, 24);
  const auto lines = [&](const Json& status) { return plain_lines(day_of({"", status, ""}), panel, false); };
  CHECK(lines(fresh())[1] == "Ready to measure? READY");
  CHECK(lines(averaging(12))[1] == "Does this second count? YES, 40 % of HF-A-0014 is done");
  CHECK(lines(enough())[1] == "Does this second count? ENOUGH, 100 % of HF-A-0014 is done");
  CHECK(lines(stale_with_stay())[1] == "Does this second count? NO");
  CHECK(lines(averaging(12))[2] == "Fresh corrections: averaging.");
  CHECK(lines(fresh())[5] == "No alert.");
  Json status = stale();
  status["alerts"] = Json::array({alert("stop-work", "corrections 70 s old")});
  CHECK(lines(status)[5] == "STOP MEASURING, 10:41:44, not seen: Corrections 70 s old.");
  panel.now.lost = true;
  CHECK(lines(fresh())[7].ends_with(", OLD"));
}

TEST_CASE("no contract code reaches the field view") {
  for (const State& each : states()) {
    CAPTURE(each.name);
    const std::string text = joined(drawn(each, 80, 24).lines);
    for (const char* code :
         {"rtk-fixed", "correction-age", "no-position", "stop-work", "own-clock", "coast_left", "coasting"}) {
      CAPTURE(code);
      CHECK(text.find(code) == std::string::npos);
    }
  }
}

TEST_CASE("a status with nothing in it, or with the wrong things, still gives a screen that says NO") {
  for (const char* text : {"{}", "null", "[]", "7", R"({"verdict":7,"epoch":"x","occupation":{},"alerts":[1,null,{}]})",
                           R"({"occupation":{"accepted":1e300,"needed_epochs":-5,"needed_s":1e-300,"counted_s":1e300},
                               "correction":{"state":"coasting","age_s":1e300,"age_limit_s":1e-300,"coast_left_s":-1e300}})"}) {
    CAPTURE(text);
    for (const Size& size : kSizes) {
      const Screen screen = drawn(Json::parse(text), size.columns, size.rows);
      check_form(screen, size);
      CHECK(screen.tint == Tint::red);
    }
  }
}

TEST_CASE("text from outside cannot bring escape sequences or other alphabets onto the screen") {
  Json status = averaging(12);
  status["occupation"]["name"] = "V\xC3\xA5r\x1b[2J";
  status["project"] = "line\nbreak";
  const std::string line = drawn(status, 100, 30).lines[0];
  CHECK(line.find(" V?r [2J ") == 0);
  CHECK(line.find("line break") != std::string::npos);
}

TEST_CASE("percent cannot say 100 while an error is above what was wanted") {
  Json stay = enough()["occupation"];
  stay["wanted_error95_horizontal_m"] = 0.26;
  CHECK(percent_done(stay) == 25);  // half of 0.52 m needs four times as many
  stay["wanted_error95_horizontal_m"] = 0.52;
  CHECK(percent_done(stay) == 100);
  Json status = enough();
  status["occupation"]["wanted_error95_horizontal_m"] = 0.26;
  const Screen screen = drawn(status);
  CHECK(screen.lines[1].substr(0, 2) == "--");
  CHECK(screen.lines[8] == "  Time and epochs are enough; the error is above what was wanted.");
  CHECK(has(screen, "0.52 m (95 %), wanted 0.26 m"));
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
  const Screen screen = drawn(status);
  CHECK(screen.lines[8] == "  Station 9 is not in your configuration.");
  CHECK(screen.lines[10] == "  Moving: speed 0.42 m/s, limit 0.1 m/s. (+1 more)");
}

TEST_CASE("a long sentence goes on in the third row, and only what two rows cannot hold is cut") {
  std::string text = "frame";
  for (int i = 0; i < 60; ++i) text += " word" + std::to_string(i);
  const Screen screen = drawn(refused("frame", text));
  CHECK(screen.lines[8].size() <= 79);
  CHECK(screen.lines[9] == "  Stop: positions of this source cannot be brought into the project frame.");
  CHECK(screen.lines[10].ends_with(".."));
}

TEST_CASE("an accepted epoch does not count once the receiver is silent, its feed frozen or over, or the daemon lost") {
  for (const char* state : {"silent", "frozen", "waiting", "ended"}) {
    CAPTURE(state);
    Json status = averaging(12);
    status["feed"]["state"] = state;
    CHECK(answer_of(day_of({"", status, ""}), {}).word == "NO");
  }
  CHECK(answer_of(day_of({"", averaging(12), ""}), {0, true, 3, 0}).word == "NO");
  CHECK(answer_of(day_of({"", averaging(12), ""}), {}).word == "YES");
}

}  // namespace stillpoint::client::test
