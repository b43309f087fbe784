#include "base/number.hpp"

#include <doctest/doctest.h>

#include "base/quality.hpp"

namespace {

using namespace stillpoint;

TEST_CASE("fixed decimals have a point and no negative zero") {
  CHECK(fixed(1.005, 2) == "1.00");  // the nearest double lies below
  CHECK(fixed(-0.001, 2) == "0.00");
  CHECK(fixed(-1.25, 1) == "-1.2");
  CHECK(fixed(47.6, 11) == "47.60000000000");
}

TEST_CASE("a sign stands before what is printed as more or less than zero") {
  CHECK(with_sign(1.0384, 3) == "+1.038");
  CHECK(with_sign(-0.988, 3) == "-0.988");
  CHECK(with_sign(0.0004, 3) == "0.000");
  CHECK(with_sign(-0.0004, 3) == "0.000");
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
