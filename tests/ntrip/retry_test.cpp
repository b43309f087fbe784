#include "ntrip/retry.hpp"

#include <doctest/doctest.h>

#include <initializer_list>
#include <utility>

namespace stillpoint::ntrip {

TEST_CASE("a broken link is tried after 1, 2, 4 … 60 s, and again after 1 s once corrections have come") {
  Retry retry;
  for (const std::int64_t wait_ms : {1000, 2000, 4000, 8000, 16'000, 32'000, 60'000, 60'000}) {
    CHECK(retry.wait_ms(false, 0) == wait_ms);
  }
  retry.came();
  CHECK(retry.wait_ms(false, 0) == 1000);
}

TEST_CASE("a caster that refuses is asked once a minute at most, which makes a broken link no slower") {
  Retry retry;
  CHECK(retry.wait_ms(true, 0) == 60'000);
  CHECK(retry.wait_ms(true, 0) == 60'000);
  CHECK(retry.wait_ms(false, 0) == 1000);
}

TEST_CASE("chance only makes a wait longer, by a fifth at most") {
  for (const auto& [chance, wait_ms] : {std::pair(0.0, 1000), {0.5, 1100}, {1.0, 1200}, {7.0, 1200}, {-1.0, 1000}}) {
    Retry retry;
    CHECK(retry.wait_ms(false, chance) == wait_ms);
  }
}

}  // namespace stillpoint::ntrip
