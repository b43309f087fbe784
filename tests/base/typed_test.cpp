#include "base/typed.hpp"

#include <doctest/doctest.h>

#include <string>

namespace {

using namespace stillpoint;

// General categories and Bidi_Control as the Unicode Character Database of Python's unicodedata gives them (15.0); what
// is Default_Ignorable_Code_Point without being Cc or Cf is from memory.
TEST_CASE("a character that cannot be seen or turns the writing is told, and letters of any script are none") {
  struct Row {
    const char* name;
    std::string text;
    bool unseen;
  };
  const Row rows[] = {
      {"letters and signs", "VM-11 / a (b), c: 1.5 m", false},
      {"accents", "caf\u00E9", false},
      {"another script", "\u30C6\u30B9\u30C8", false},
      {"a combining accent", "cafe\u0301", false},
      {"beyond the first plane", "\U000234B4", false},
      {"a tabulator", "a\tb", true},
      {"an escape", "a\x1B[2J", true},
      {"DEL", "a\x7F", true},
      {"the last of C1", "a\u009F", true},
      {"a blank that does not break", "a\u00A0b", false},
      {"a soft hyphen", "a\u00ADb", true},
      {"a zero-width blank", "a\u200Bb", true},
      {"a mark from right to left", "a\u200Fb", true},
      {"a hyphen", "a\u2010b", false},
      {"an override of the direction", "a\u202Eb", true},
      {"a narrow blank", "a\u202Fb", false},
      {"an isolate", "a\u2066b", true},
      {"a word joiner", "a\u2060b", true},
      {"a line separator", "a\u2028b", true},
      {"an Arabic letter mark", "a\u061Cb", true},
      {"a byte order mark in the middle", "a\uFEFFb", true},
      {"a Hangul filler", "a\u3164b", true},
      {"a variation selector", "a\uFE0Fb", true},
      {"a tag", "a\U000E0041b", true},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    CHECK(holds_unseen(row.text) == row.unseen);
    CHECK(typed_fault("the note", row.text, 100).empty() != row.unseen);
  }
  CHECK(typed_fault("the note", "a\u202Eb", 100) ==
        "the note holds a character that cannot be seen (U+202e); type it anew");
  CHECK(typed_fault("the note", "caf\xE9", 100) == "the note is no UTF-8 text");
  CHECK(typed_fault("the note", std::string(100, 'x'), 100).empty());
  CHECK(typed_fault("the note", std::string(101, 'x'), 100) == "the note is longer than 100 bytes");
}

TEST_CASE("a new name begins with a letter or a digit of any script") {
  struct Row {
    const char* name;
    bool good;
  };
  const Row rows[] = {
      {"VM-11", true},
      {"11", true},
      {"a", true},
      {"\u00E9tang", true},
      {"\u0416-1", true},
      {"\u30C6", true},
      {"", true},  // whoever needs one asks for it
      {"=1+1", false},
      {"+1", false},
      {"-1", false},
      {"@a", false},
      {" a", false},
      {"'a", false},
      {"#1", false},
      {"\"a", false},
      {"_a", false},
      {"\u00A0a", false},
      {"\u2212"
       "1",
       false},
      {"\uFF1D"
       "1",
       false},
      {"\uFF20", false},
      {"\uFF21", true},
      {"\u2014", false},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    CHECK(new_label_fault("the name", row.name, 64).empty() == row.good);
  }
  CHECK(new_label_fault("the code", "=HDW", 64).find("the code must begin with a letter or a digit") == 0);
}

TEST_CASE("names that differ by case, blanks or hyphens alone read like each other") {
  struct Row {
    const char* a;
    const char* b;
    bool alike;
  };
  const Row rows[] = {
      {"VM-11", "VM 11", true},
      {"VM-11", "VM11", true},
      {"VM-11", "vm-11", true},
      {"CUL-31", "cul_31", true},
      {"VM-11", "VM\u201111", true},
      {"VM-11", "VM\u00A011", true},
      {"\u00C9cluse", "\u00E9CLUSE", true},
      {"\u00D7", "\u00F7", false},
      {"VM-11", "VM-11", false},
      {"VM-11", "VM-12", false},
      {"VM-1", "VM-11", false},
      {"-", "_", false},
      {"", "", false},
      {"\u0414-1", "\u0434-1", false},
  };
  for (const Row& row : rows) {
    CAPTURE(row.a);
    CAPTURE(row.b);
    CHECK(reads_like(row.a, row.b) == row.alike);
    CHECK(reads_like(row.b, row.a) == row.alike);
  }
}

TEST_CASE("in JSON what cannot be seen is written out, and everything else stays as it is") {
  struct Row {
    const char* name;
    std::string json, escaped;
  };
  const Row rows[] = {
      {"nothing", R"({"a":"b","c":-1.5})", R"({"a":"b","c":-1.5})"},
      {"letters", "\"caf\u00E9\"", "\"caf\u00E9\""},
      {"an override", "\"a\u202E\u202Cb\"", R"("a\u202e\u202cb")"},
      {"DEL and C1", "\"\x7F\u0085\"", R"("\u007f\u0085")"},
      {"beyond the first plane", "\"\U000E0041\"", R"("\udb40\udc41")"},
      {"at the end", "\u200B", R"(\u200b)"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    CHECK(escape_unseen(row.json) == row.escaped);
  }
}

}  // namespace
