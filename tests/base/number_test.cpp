#include "base/number.hpp"

#include <doctest/doctest.h>

#include <array>
#include <charconv>
#include <cmath>
#include <limits>
#include <random>
#include <string>

#include "base/quality.hpp"

namespace {

using namespace stillpoint;

TEST_CASE("a number that somebody typed is told in a few figures, whatever its size") {
  CHECK(readable(1.8, 3) == "1.800");
  CHECK(readable(-999'999'999'999.0, 0) == "-999999999999");
  CHECK(readable(1e12, 3) == "1.00e+12");
  CHECK(readable(-1e308, 3) == "-1.00e+308");
}

TEST_CASE("fixed decimals are those of the standard library's correctly rounded conversion") {
  std::mt19937_64 random(20261126);
  const auto like_the_library = [](double value, int decimals) {
    std::array<char, 400> digits{};
    const auto end =
        std::to_chars(digits.data(), digits.data() + digits.size(), value, std::chars_format::fixed, decimals).ptr;
    std::string text(digits.data(), end);
    const bool zero = text.find_first_of("123456789") == std::string::npos;
    return zero && text[0] == '-' ? text.substr(1) : text;
  };
  const auto check = [&](double value) {
    for (int decimals = 0; decimals <= 6; ++decimals) {
      CAPTURE(value);
      CAPTURE(decimals);
      CHECK(fixed(value, decimals) == like_the_library(value, decimals));
    }
  };
  std::uniform_real_distribution<double> exponent(-8, 16), sign(-1, 1);
  for (int i = 0; i < 20'000; ++i) check(std::copysign(std::pow(10.0, exponent(random)), sign(random)));
  // Halves of the last digit, which a binary fraction can be exactly, and their neighbours.
  for (int i = -4000; i < 4000; ++i) {
    const double half = i / 32.0;
    for (const double value : {half, std::nextafter(half, 1e9), std::nextafter(half, -1e9)}) check(value);
  }
  for (const double value : {0.0, -0.0, 1e13, 9'999'999'999'999.9, 5e-324, 1e300, 0.00005, 0.5, 1.5, 2.5}) check(value);
}

TEST_CASE("fixed decimals have a point and no negative zero") {
  CHECK(fixed(1.005, 2) == "1.00");  // the nearest double lies below
  CHECK(fixed(-0.001, 2) == "0.00");
  CHECK(fixed(-1.25, 1) == "-1.2");
  CHECK(fixed(47.6, 11) == "47.60000000000");
}

TEST_CASE("whole numbers are those of the standard library") {
  const auto count = [](std::uint64_t value) {
    std::string out = "n=";
    append_count(out, value);
    return out;
  };
  const auto whole = [](std::int64_t value) {
    std::string out = "n=";
    append_whole(out, value);
    return out;
  };
  std::uint64_t value = 1;
  for (int i = 0; i < 64; ++i, value = value * 2 + static_cast<std::uint64_t>(i % 3)) {
    CHECK(count(value) == "n=" + std::to_string(value));
    CHECK(whole(static_cast<std::int64_t>(value)) == "n=" + std::to_string(static_cast<std::int64_t>(value)));
    CHECK(whole(-static_cast<std::int64_t>(value / 2)) == "n=" + std::to_string(-static_cast<std::int64_t>(value / 2)));
  }
  CHECK(count(0) == "n=0");
  CHECK(count(std::numeric_limits<std::uint64_t>::max()) == "n=18446744073709551615");
  CHECK(whole(std::numeric_limits<std::int64_t>::min()) == "n=-9223372036854775808");
}

TEST_CASE("a sign stands before what is printed as more or less than zero") {
  CHECK(with_sign(1.0384, 3) == "+1.038");
  CHECK(with_sign(-0.988, 3) == "-0.988");
  CHECK(with_sign(0.0004, 3) == "0.000");
  CHECK(with_sign(-0.0004, 3) == "0.000");
}

TEST_CASE("a limit is told with no decimal where it is whole, else with one") {
  CHECK(in_few_digits(30) == "30");
  CHECK(in_few_digits(2.5) == "2.5");
  CHECK(in_few_digits(0) == "0");
}

TEST_CASE("a number is the whole text or nothing") {
  CHECK(parse_decimal("1.5") == 1.5);
  for (const char* text : {"", "1.5 ", " 1.5", "1,5", "1e3", "nan", "inf", "+1", "0x10"}) {
    CAPTURE(text);
    CHECK_FALSE(parse_decimal(text).has_value());
  }
  CHECK(parse_integer("0417") == 417);
  CHECK_FALSE(parse_integer("4x").has_value());
}

TEST_CASE("quality words go both ways") {
  for (int i = 0; i < kQualityCount; ++i) {
    const auto q = static_cast<Quality>(i);
    CHECK(quality_from_word(to_word(q)) == q);
  }
  CHECK_FALSE(quality_from_word("fixed").has_value());
}

}  // namespace
