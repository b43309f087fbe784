#include "base/utf8.hpp"

#include <doctest/doctest.h>

namespace {

using namespace stillpoint;

// The rows follow the syntax of RFC 3629, section 4; its section 10 names the overlong slash.
TEST_CASE("bytes are UTF-8 where the syntax says so") {
  struct Row {
    const char* name;
    std::string_view text;
    std::optional<std::size_t> first_bad;
  };
  const Row rows[] = {
      {"nothing", "", {}},
      {"ASCII", "VM-11", {}},
      {"two bytes", "caf\xC3\xA9", {}},
      {"three bytes", "\xE2\x89\xA2\xCE\x91", {}},
      {"four bytes", "\xF0\xA3\x8E\xB4", {}},
      {"the last before the surrogates", "\xED\x9F\xBF", {}},
      {"the last of all", "\xF4\x8F\xBF\xBF", {}},
      {"one byte of another character set", "caf\xE9", 3},
      {"one in the middle", "a\xE9 b", 1},
      {"an overlong slash", "\xC0\xAF", 0},
      {"an overlong form of three bytes", "\xE0\x9F\xBF", 0},
      {"an overlong form of four bytes", "\xF0\x8F\xBF\xBF", 0},
      {"a surrogate", "\xED\xA0\x80", 0},
      {"above the last of all", "\xF4\x90\x80\x80", 0},
      {"a tail without a head", "ab\x80", 2},
      {"a head without its tail", "ab\xE2\x89", 2},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    CHECK(first_not_utf8(row.text) == row.first_bad);
    CHECK(is_utf8(row.text) == !row.first_bad);
    CHECK(is_utf8(shown(row.text)));
    if (!row.first_bad) CHECK(shown(row.text) == row.text);
  }
}

TEST_CASE("what is cut short ends with a whole character") {
  const std::string text = "a\xC3\xA9\xE2\x82\xAC\xF0\x9F\x98\x80z";  // of one, two, three, four and one bytes
  const std::size_t ends[] = {0, 1, 1, 3, 3, 3, 6, 6, 6, 6, 10, 11, 11};
  for (std::size_t most = 0; most < std::size(ends); ++most) {
    CAPTURE(most);
    CHECK(shown(text, most) == text.substr(0, ends[most]));
  }
}

TEST_CASE("what cannot be shown is shown as a question mark") {
  CHECK(shown("caf\xE9") == "caf?");
  CHECK(shown("a\x1b[2J\x7F") == "a?[2J?");
  CHECK(shown("\xE2\x89z") == "??z");
}

}  // namespace
