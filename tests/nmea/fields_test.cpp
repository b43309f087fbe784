#include "nmea/fields.hpp"

#include <doctest/doctest.h>

#include <charconv>

#include "nmea/sentences.hpp"

namespace stillpoint {
namespace {

using nmea::to_number;
using nmea::to_time_of_day;

std::optional<double> by_from_chars(std::string_view text) {
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value, std::chars_format::fixed);
  if (error != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return value;
}

TEST_CASE("a number is read as the standard library reads it, to the last bit") {
  for (std::uint64_t seed = 0; seed < 100'000; ++seed) {
    test::Dice dice(seed);
    std::string text = dice.roll(4) == 0 ? "-" : "";
    for (std::uint32_t i = 0, n = dice.roll(13); i < n; ++i) text += static_cast<char>('0' + dice.roll(10));
    if (dice.roll(5) != 0) text += '.';
    for (std::uint32_t i = 0, n = dice.roll(13); i < n; ++i) text += static_cast<char>('0' + dice.roll(10));
    CAPTURE(text);
    const auto value = to_number(text);
    REQUIRE(value == by_from_chars(text));
    if (value) REQUIRE(std::signbit(*value) == (text[0] == '-'));
  }
}

TEST_CASE("the fast reading of numbers agrees with the plain one, whatever stands in front") {
  constexpr std::string_view kLetters = "0123456789012345678901234567890123456789....,-x";
  for (std::uint64_t seed = 0; seed < 200'000; ++seed) {
    test::Dice dice(seed);
    std::string text;
    if (dice.roll(2) == 0) text = dice.roll(2) == 0 ? "4735." : "08723.";
    for (std::uint32_t i = 0, n = dice.roll(20); i < n; ++i) {
      const bool odd = dice.roll(30) == 0;
      text += odd ? static_cast<char>(dice.roll(256)) : kLetters[dice.roll(dice.roll(4) == 0 ? 47 : 44)];
    }
    std::string body;
    for (std::uint32_t i = 0, n = dice.roll(20); i < n; ++i) body += kLetters[dice.roll(47)];
    const std::size_t before = body.size();
    body += text;
    CAPTURE(body);
    CAPTURE(before);
    const std::string_view field = std::string_view(body).substr(before);
    REQUIRE(nmea::to_split(field, before) == nmea::to_split(field));
    REQUIRE(to_number(field, before) == to_number(field));
  }
}

TEST_CASE("what is not a plain decimal number is no number") {
  for (const char* text : {"", "-", ".", "-.", "+1", "1e5", "0x10", "1,5", " 1", "1 ", "1.2.3", "--1", "nan", "inf",
                           "-inf", "1.2.30000000000000000000", "99999999999999999999e1"}) {
    CAPTURE(std::string(text));
    CHECK(!to_number(text));
  }
}

TEST_CASE("a number of any length is read") {
  CHECK(to_number("0.100000000000000000000000000000000000000000000001") == 0.1);
  CHECK(to_number("123456789012345678901234567890") == 123456789012345678901234567890.0);
  CHECK(to_number("9007199254740993") == 9007199254740992.0);
}

TEST_CASE("a time of day is six digits and decimals") {
  struct Row {
    const char* text;
    std::optional<std::int32_t> ms;
  };
  const std::vector<Row> rows{
      {"000000", 0},
      {"130749.00", 47'269'000},
      {"130749.", 47'269'000},
      {"130749.5", 47'269'500},
      {"130749.05", 47'269'050},
      {"130749.123", 47'269'123},
      {"130749.1239", 47'269'123},
      {"235959.999", 86'399'999},
      {"235960.00", 86'400'000},
      {"235960.999", 86'400'999},
      {"240000", std::nullopt},
      {"236000", std::nullopt},
      {"235961", std::nullopt},
      {"13074", std::nullopt},
      {"1307490", std::nullopt},
      {"13:07:49", std::nullopt},
      {"-30749", std::nullopt},
      {"130749.x", std::nullopt},
      {"130749.1.2", std::nullopt},
      {"130749,0", std::nullopt},
  };
  for (const Row& row : rows) {
    CAPTURE(std::string(row.text));
    CHECK(to_time_of_day(row.text) == row.ms);
    const std::string body = std::string(row.text) + ",123";
    const std::string_view text = std::string_view(body).substr(0, body.size() - 4);
    for (const std::size_t behind : {0U, 4U}) CHECK(nmea::to_time_of_day(text, behind) == row.ms);
  }
}

TEST_CASE("the fast reading of times agrees with the plain one, whatever stands behind") {
  for (std::uint64_t seed = 0; seed < 200'000; ++seed) {
    test::Dice dice(seed);
    std::string body = "235960.999,";
    for (std::uint32_t i = 0, n = dice.roll(4); i < n; ++i) {
      body[dice.roll(10)] = "0123456789.,:-\x00\xFF"[dice.roll(16)];
    }
    const std::size_t size = dice.roll(11);
    const std::size_t behind = dice.roll(static_cast<std::uint32_t>(body.size() - size + 1));
    body.resize(size + behind);
    CAPTURE(body);
    const std::string_view text = std::string_view(body).substr(0, size);
    REQUIRE(nmea::to_time_of_day(text, behind) == to_time_of_day(text));
  }
}

std::vector<std::string> split(const std::string& text) {
  std::vector<std::string> fields(1);
  for (const char c : text) {
    if (c == ',') {
      fields.emplace_back();
    } else {
      fields.back() += c;
    }
  }
  return fields;
}

TEST_CASE("fields are cut at every comma, however long the sentence") {
  for (std::uint64_t seed = 0; seed < 5000; ++seed) {
    test::Dice dice(seed);
    std::string text;
    const std::uint32_t most = dice.roll(12) + 1;
    for (std::uint32_t i = 0, n = dice.roll(300); i < n; ++i) text += dice.roll(most) == 0 ? ',' : 'x';
    CAPTURE(text);
    const std::string body = "GNTXT," + text;
    nmea::Fields fields(body, 6);
    nmea::FastFields<18> fast(body, 6);
    const std::vector<std::string> expected = split(text);
    for (const std::string& field : expected) REQUIRE(fields.next() == field);
    REQUIRE(fields.count() == static_cast<int>(expected.size()));
    REQUIRE(fields.next().empty());
    REQUIRE(fields.count() == static_cast<int>(expected.size()));
    const std::size_t taken = std::min<std::size_t>(expected.size(), 18);
    for (std::size_t i = 0; i < taken; ++i) REQUIRE(fast.next() == expected[i]);
    REQUIRE(fast.next().empty());
    REQUIRE(fast.count() == static_cast<int>(taken));
  }
}

TEST_CASE("without a comma behind the address there is no field") {
  for (const std::size_t size : {0U, 1U, 5U}) {
    const std::string body = std::string("GNGGA").substr(0, size);
    nmea::Fields fields(body, 6);
    nmea::FastFields<18> fast(body, 6);
    CHECK(fields.next().empty());
    CHECK(fast.next().empty());
    CHECK(fields.count() == 0);
    CHECK(fast.count() == 0);
  }
}

nmea::Run run_plainly(std::string_view text) {
  nmea::Run run;
  for (const char c : text) {
    if (c == '$' || c == '*' || c < ' ' || c > '~') break;
    ++run.length;
    run.parity = static_cast<std::uint8_t>(run.parity ^ static_cast<std::uint8_t>(c));
  }
  return run;
}

TEST_CASE("words and vectors agree with looking at one character after the other") {
  for (std::uint64_t seed = 0; seed < 50'000; ++seed) {
    test::Dice dice(seed);
    std::string text;
    const std::uint32_t odd = 1 + dice.roll(80);
    for (std::uint32_t i = 0, n = dice.roll(65); i < n; ++i) {
      text += dice.roll(odd) == 0 ? static_cast<char>(dice.roll(256)) : static_cast<char>(' ' + dice.roll(95));
    }
    CAPTURE(text);
    const char wanted =
        text.empty() || dice.roll(3) == 0 ? ',' : text[dice.roll(static_cast<std::uint32_t>(text.size()))];
    std::uint64_t marks = 0;
    for (std::size_t i = 0; i < text.size(); ++i) marks |= std::uint64_t{text[i] == wanted ? 1U : 0U} << i;
    REQUIRE(nmea::run_by_words(text.data(), text.size()) == run_plainly(text));
    REQUIRE(nmea::marks_by_words(text.data(), text.size(), wanted) == marks);
    REQUIRE(nmea::plain_run(text.data(), text.size()) == run_plainly(text));
    REQUIRE(nmea::marks_of(text.data(), text.size(), wanted) == marks);
  }
}

}  // namespace
}  // namespace stillpoint
