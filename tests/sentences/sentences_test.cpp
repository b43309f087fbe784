// Every sentence of the catalogues, made with the longest values that the program lets in.

#include <doctest/doctest.h>

#include <algorithm>
#include <set>

#include "base/sentence.hpp"
#include "gate/limits.hpp"
#include "gate/sentences.hpp"
#include "gate/verdict.hpp"
#include "sentences/longest.hpp"

namespace {

using namespace stillpoint;
using test::kinds_of;
using test::made;
using test::Room;
using test::rooms;

/// Names, codes and reasons that people choose may be longer; a screen cuts them.
const std::string kName(64, 'W');

/// Known to be cut when every value in them is at its longest. Nothing is added here without need.
const std::set<std::string_view> kCut{
    "quality {quality}, source \"{source}\" wants {qualities}",
    "Enough has been collected; kept now it will be held: {hold}.",
    "turn test on {name}: let the pole face {heading}, level the bubble, stand still; keep it when enough seconds have "
    "counted",
    "{what} cannot be compared: {error}",
    "{stay} was amended: it is {name} now",
    "{check}; points are held until a check passes",
    "no mark has passing checks under \"{source}\" and under {list}; check one mark under both",
    "stay {count} of 4 on {name} is kept, the pole facing {heading}; turn the pole to face {heading} and begin the "
    "next: check {name} --turn {word}",
    "source changed from \"{source}\" to \"{source}\": take one mark under both",
    "corrections out for {seconds} s: {why}{place}",
    "{stay} ended: {why}; {result}",
    "{answer}; not counting yet: {why}",
    "{name} reads like {name}, which is there already; use that name with --again, or say --new if it is another point",
    "{name} reads like the mark {name}; check {name} to compare with it, or say --new if it is another point",
    "{name} is {metres} m from {title} at {degrees} degrees from true north; horizontal error {metres} m",
    "{name} is {metres} m from {title} and {metres} m from {title}; horizontal error {metres} m",
    "{name} reads like {name}, which is planned; use that name, or say --new if it is another point",
};

void check_form(const std::string& text, bool laid_out = false) {
  CHECK_FALSE(text.empty());
  CHECK(std::all_of(text.begin(), text.end(), [](char c) { return c >= ' ' && c <= '~'; }));
  CHECK(text.find_first_of("{}") == std::string::npos);
  CHECK(text.back() != ' ');
  CHECK(text.back() != ',');
  if (laid_out) return;
  for (const char* wrong : {"  ", " . ", " ,", ".."}) CHECK(text.find(wrong) == std::string::npos);
  CHECK_FALSE(text.ends_with(" ."));
}

}  // namespace

TEST_CASE(
    "every sentence can be made with its longest values, in plain ASCII, and is shown whole but for a known few") {
  const auto longest = test::longest_values(kName);
  for (const Room& room : rooms()) {
    CAPTURE(room.name);
    CHECK_FALSE(room.sentences.empty());
    for (const std::string_view words : room.sentences) {
      const std::string text = made(words, longest);
      CAPTURE(text);
      check_form(text, room.laid_out);
      CHECK((text.size() > room.longest) == kCut.contains(words));
    }
  }
}

TEST_CASE("no room says one thing in two sentences of the same words") {
  for (const Room& room : rooms()) {
    std::set<std::string_view> seen;
    for (const std::string_view words : room.sentences) {
      CAPTURE(words);
      CHECK(seen.insert(words).second);
    }
  }
}

TEST_CASE("every reason is told in short words and with an advice that fits in a line") {
  for (const gate::ReasonWords& row : gate::kReasons) {
    CAPTURE(row.word);
    check_form(std::string(row.short_words));
    CHECK(row.short_words.find('-') == std::string_view::npos);
    CHECK(row.short_words.size() <= 24);
    check_form(std::string(row.advice));
    CHECK(row.advice.size() <= 76);
    CHECK(row.advice.ends_with('.'));
  }
}

TEST_CASE("every measured value is told with its limit, and when it is missing") {
  for (const gate::Limit& limit : gate::kLimits) {
    CAPTURE(limit.setting->key);
    const std::string unit(limit.setting->shown_unit);
    const std::string value = "86400.123" + unit, bound = "86400.122" + unit;
    const auto& beside = limit.is_least() ? gate::kSay.below : gate::kSay.above;
    for (const std::string& text :
         {beside(limit.wording.phrase(value), bound), beside(gate::kSay.not_given(limit.wording.name), bound)}) {
      CAPTURE(text);
      check_form(text);
      CHECK(text.find(bound) != std::string::npos);
      CHECK(text.size() <= 76);
    }
  }
}

TEST_CASE("values are put in from the left, and what is no place stays") {
  CHECK(filled("plain", nullptr, 0) == "plain");
  const std::string_view two[] = {"1", "{x}"};
  CHECK(filled("{a} and {b}.", two, 2) == "1 and {x}.");
  CHECK(filled("{a}{b}", two, 2) == "1{x}");
  CHECK(kinds_of("{a} and {long kind}") == std::vector<std::string_view>{"a", "long kind"});
}
