// The words and numbers people read. Expected: the comments of words.hpp, and for clocks RFC 3339 (section 5.6).

#include "wire/words.hpp"

#include <doctest/doctest.h>

#include <limits>
#include <optional>
#include <string>
#include <vector>

namespace stillpoint::wire {

TEST_CASE("a length is told in whole millimetres below ten centimetres, else in metres with two decimals") {
  struct Row {
    std::optional<double> length_m;
    const char* text;
  };
  const Row rows[] = {
      {0.011, "11 mm"},
      {0.0, "0 mm"},
      {0.0004, "0 mm"},
      {0.0506, "51 mm"},
      {0.09945, "99 mm"},
      {-0.011, "-11 mm"},
      {0.0996, "0.10 m"},
      {-0.0996, "-0.10 m"},
      {0.52, "0.52 m"},
      {12.345, "12.35 m"},
      {std::nullopt, "--"},
      {std::numeric_limits<double>::quiet_NaN(), "--"},
      {std::numeric_limits<double>::infinity(), "--"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.text);
    CHECK(length_text(row.length_m) == row.text);
  }
}

TEST_CASE("seconds have a decimal below a hundred, and none from there") {
  struct Row {
    std::optional<double> time_s;
    const char* text;
  };
  const Row rows[] = {{48.0, "48.0 s"},
                      {0.04, "0.0 s"},
                      {99.9, "99.9 s"},
                      {100, "100 s"},
                      {1200, "1200 s"},
                      {std::nullopt, "--"},
                      {std::numeric_limits<double>::quiet_NaN(), "--"}};
  for (const Row& row : rows) {
    CAPTURE(row.text);
    CHECK(seconds_text(row.time_s) == row.text);
  }
}

TEST_CASE("the clock is hours, minutes and seconds of an instant, and dashes where there is none") {
  struct Row {
    const char *utc, *clock;
  };
  const Row rows[] = {{"2026-06-03T10:41:44Z", "10:41:44"}, {"2026-06-03T10:41:44.900Z", "10:41:44"},
                      {"2026-06-03T10:41:44", "10:41:44"},  {"2026-06-03T10:41", "--:--:--"},
                      {"2026-06-03 10:41:44Z", "--:--:--"}, {"", "--:--:--"}};
  for (const Row& row : rows) {
    CAPTURE(row.utc);
    CHECK(clock_of(row.utc) == row.clock);
  }
}

TEST_CASE("an alert began by the clock of its instant, or by the receiver's time of day where no date is known") {
  CHECK(since_of(Json::parse(R"({"since_utc":"2026-06-03T10:41:44Z","since_time":"09:00:00"})")) == "10:41:44");
  CHECK(since_of(Json::parse(R"({"since_utc":null,"since_time":"09:00:00"})")) == "09:00:00");
  CHECK(since_of(Json::parse(R"({"since_utc":null,"since_time":null})")) == "--:--:--");
}

TEST_CASE("what a screen of plain ASCII cannot show becomes one question mark a character, and lines stay lines") {
  CHECK(ascii("a\xC3\xA9"
              "b") == "a?b");                              // two bytes in UTF-8 (RFC 3629)
  CHECK(ascii("\xE2\x82\xAC \xF0\x9F\x98\x80") == "? ?");  // three and four
  CHECK(ascii("a\tb\nc\x7F"
              "d\x1F"
              "e") == "a b c d e");
  CHECK(ascii(" ~") == " ~");
}

TEST_CASE("a text that is too long is cut with two dots, and padded when it is too short") {
  CHECK(cut("Harrowfen", 9) == "Harrowfen");
  CHECK(cut("Harrowfen", 8) == "Harrow..");
  CHECK(cut("Harrowfen", 2) == "..");
  CHECK(cut("Harrowfen", 1) == "H");
  CHECK(cut("Harrowfen", 0).empty());
  CHECK(padded("ab", 4) == "ab  ");
  CHECK(padded("abcd", 4) == "abcd");
  CHECK(padded("abcde", 4) == "abcde");
}

TEST_CASE("a text is broken at blanks into as many rows as there are, and the last is cut") {
  using Rows = std::vector<std::string>;
  CHECK(wrap("one two three", 7, 2) == Rows{"one two", "three"});
  CHECK(wrap("one two three", 8, 3) == Rows{"one two", "three", ""});
  CHECK(wrap("one two three four", 7, 2) == Rows{"one two", "three.."});
  CHECK(wrap("unbroken words", 4, 3) == Rows{"unbr", "oken", "wo.."});
  CHECK(wrap("one   two", 5, 2) == Rows{"one  ", "two"});
  CHECK(wrap("", 5, 2) == Rows{"", ""});
}

TEST_CASE("a sentence begins large and ends with one sign") {
  CHECK(sentence("the disk is full") == "The disk is full.");
  CHECK(sentence("Stop!") == "Stop!");
  CHECK(sentence("why?") == "Why?");
  CHECK(sentence("done.") == "Done.");
  CHECK(sentence("12 s").front() == '1');
  CHECK(sentence("zone") == "Zone.");
  CHECK(sentence("").empty());
}

TEST_CASE("the work is the project and its crew, whichever are known") {
  CHECK(work_of(Json::parse(R"({"project":"Harrowfen culverts","crew":"A"})")) == "Harrowfen culverts, crew A");
  CHECK(work_of(Json::parse(R"({"project":"Harrowfen culverts"})")) == "Harrowfen culverts");
  CHECK(work_of(Json::parse(R"({"crew":"A"})")) == "crew A");
  CHECK(work_of(Json::parse("{}")).empty());
}

TEST_CASE("codes are told in words, and a code without words in its own") {
  CHECK(quality_words("rtk-fixed") == "fixed");
  CHECK(quality_words("autonomous") == "without corrections");
  CHECK(quality_words("sbas") == "SBAS");
  CHECK(quality_words("of-tomorrow") == "of tomorrow");
  CHECK(refusal_words("correction-age") == "corrections too old");
  CHECK(refusal_words("of-tomorrow") == "of tomorrow");
  CHECK(severity_words("stop-work") == "STOP MEASURING");
  CHECK(severity_words("warning") == "WARNING");
  CHECK(severity_words("notice") == "NOTICE");
  CHECK(severity_words("of-tomorrow") == "of tomorrow");
}

TEST_CASE("why a point is not accepted is told in its sentences, or else in the words of its reasons") {
  CHECK(reasons_of(Json::parse(R"({"reason_texts":["one",2,"two"],"reasons":["hdop"]})")) == "one; two");
  CHECK(reasons_of(Json::parse(R"({"reason_texts":[],"reasons":["correction-age","hdop",3]})")) ==
        "corrections too old; HDOP");
  CHECK(reasons_of(Json::parse("{}")).empty());
}

}  // namespace stillpoint::wire
