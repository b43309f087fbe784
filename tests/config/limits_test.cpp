#include "config/limits.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>

#include "config/keys.hpp"
#include "config/support.hpp"

namespace stillpoint::config::test {

TEST_CASE("every limit is a known key of the gate, listed once") {
  const auto& keys = key_table(TableId::gate).keys;
  for (const Limit& limit : kLimits) {
    CAPTURE(limit.key);
    CHECK(std::count(keys.begin(), keys.end(), limit.key) == 1);
  }
}

TEST_CASE("every limit has its own place in the gate, a range and a note for its absence") {
  for (const Limit& limit : kLimits) {
    CAPTURE(limit.key);
    CHECK(std::count_if(kLimits.begin(), kLimits.end(),
                        [&](const Limit& other) { return other.setting == limit.setting; }) == 1);
    CHECK(limit.range.lowest < limit.range.highest);
    CHECK_FALSE(limit.when_absent.empty());
  }
}

TEST_CASE("a limit whose key ends in a unit is shown with that unit") {
  struct Row {
    std::string_view ending, unit;
  };
  for (const Limit& limit : kLimits) {
    std::string_view wanted;
    for (const Row& row : {Row{"_m", " m"}, Row{"_mps", " m/s"}, Row{"_s", " s"}}) {
      if (limit.key.ends_with(row.ending)) wanted = row.unit;
    }
    CAPTURE(limit.key);
    CHECK(limit.shown_unit == wanted);
  }
}

}  // namespace stillpoint::config::test
