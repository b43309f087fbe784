#include "base/quality.hpp"

#include <doctest/doctest.h>

namespace stillpoint {

// The numbers and meanings are those of field 6 of GGA (NMEA 0183, from memory); 9 is what receivers print for SBAS.
TEST_CASE("a better fix has a higher rank, and two kinds of the same worth have the same") {
  struct Row {
    const char* name;
    Quality better, worse;
  };
  const Row rows[] = {
      {"fixed before float", Quality::rtk_fixed, Quality::rtk_float},
      {"float before code corrections", Quality::rtk_float, Quality::differential},
      {"code corrections before a precise service without any", Quality::differential, Quality::pps},
      {"a precise service before a position alone", Quality::pps, Quality::autonomous},
      {"a position alone before an estimate", Quality::autonomous, Quality::estimated},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    CHECK(rank_of(row.better) > rank_of(row.worse));
  }
  CHECK(rank_of(Quality::sbas) == rank_of(Quality::differential));
  for (const Quality q : {Quality::none, Quality::estimated, Quality::manual, Quality::simulated})
    CHECK(rank_of(q) == 0);
}

TEST_CASE("every quality has the word of the protocol, and is read back from it") {
  for (int number = 0; number < kQualityCount; ++number) {
    const auto quality = static_cast<Quality>(number);
    CAPTURE(to_word(quality));
    CHECK(quality_from_word(to_word(quality)) == quality);
  }
  CHECK(to_word(Quality::rtk_fixed) == "rtk-fixed");
  CHECK_FALSE(quality_from_word("fixed").has_value());
}

}  // namespace stillpoint
