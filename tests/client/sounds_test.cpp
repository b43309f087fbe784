#include "client/sounds.hpp"

#include <doctest/doctest.h>

#include "client/statuses.hpp"

namespace stillpoint::client::test {

TEST_CASE("an alert sounds once, again when told again, a new one even while quiet, none in training") {
  Json status = stale();
  status["alerts"].push_back(alert("stop-work", "x"));
  Ears ears;
  CHECK(ears.hear(status, false, false, 0) == Sound::high);
  CHECK(ears.hear(status, false, false, 1000) == Sound::none);
  status["alerts"][0]["repeats"] = 1;
  CHECK(ears.hear(status, false, false, 15'000) == Sound::high);
  ears.be_quiet(16'000);
  status["alerts"][0]["repeats"] = 2;
  CHECK(ears.hear(status, false, false, 30'000) == Sound::none);
  status["alerts"].push_back(alert("warning", "y"));
  status["alerts"][1]["key"] = "other";
  CHECK(ears.hear(status, false, false, 31'000) == Sound::medium);
  status["training"] = true;
  Ears others;
  CHECK(others.hear(status, false, false, 0) == Sound::none);
}

TEST_CASE("stale corrections sound after 2 s, what comes and goes is silent, counting again is good news") {
  Json status = stale();
  status["alerts"].push_back(alert("stop-work", "x"));
  status["alerts"][0]["key"] = "corrections-stale";
  Ears ears;
  CHECK(ears.hear(status, false, false, 0) == Sound::none);
  CHECK(ears.hear(status, false, false, 2000) == Sound::high);
  status["alerts"][0]["id"] = 2;
  status["alerts"][0]["times"] = 3;
  CHECK(ears.hear(status, false, false, 4000) == Sound::none);
  CHECK(ears.hear(status, false, false, 6000) == Sound::none);
  Ears glad;
  glad.hear(averaging(3), true, false, 0);
  glad.hear(averaging(3), false, false, 20'000);
  CHECK(glad.hear(averaging(4), true, false, 21'000) == Sound::good);
}

TEST_CASE("the bell's rhythms have 5, 2, 2 and 1 strokes and a weaker sound never cuts a stronger one") {
  for (const auto& each : {std::pair{Sound::high, 5}, std::pair{Sound::medium, 2}, std::pair{Sound::good, 2},
                           std::pair{Sound::low, 1}, std::pair{Sound::none, 0}}) {
    Bell bell;
    bell.ring(each.first, 0);
    int count = 0;
    for (std::int64_t now_ms = 0; now_ms < 4000; now_ms += 50) count += bell.stroke(now_ms) ? 1 : 0;
    CHECK(count == each.second);
  }
  Bell bell;
  bell.ring(Sound::high, 0);
  bell.ring(Sound::low, 10);
  int count = 0;
  for (std::int64_t now_ms = 0; now_ms < 4000; now_ms += 50) count += bell.stroke(now_ms) ? 1 : 0;
  CHECK(count == 5);
}

}  // namespace stillpoint::client::test
