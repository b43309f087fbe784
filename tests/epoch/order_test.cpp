#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "epoch/feed.hpp"
#include "nmea/sentences.hpp"

namespace stillpoint {
namespace {

using epoch::TimeStep;
using test::at;
using test::Feed;
using test::gga;
using test::gsa;
using test::gst;
using test::rmc;
using test::vtg;

constexpr std::int64_t kTwo = at(14, 0, 0);

TEST_CASE("a GST or RMC is joined in any order, with its own second only") {
  std::vector<int> order{0, 1, 2};
  do {
    Feed feed;
    for (int s = 0; s < 12; ++s) {
      const std::int64_t t = kTwo + s * 1000;
      const std::vector<std::string> burst{gga(t), gst(t, 0.001 * (s + 1)), rmc(t, "030626", s)};
      for (const int i : order) feed.say(burst[static_cast<std::size_t>(i)], 0);
    }
    feed.finish();
    REQUIRE(feed.epochs.size() == 12);
    for (std::size_t s = 0; s < 12; ++s) {
      CAPTURE(s);
      CHECK(feed.epochs[s].stream_ms == kTwo + static_cast<std::int64_t>(s) * 1000);
      REQUIRE(feed.epochs[s].error);
      CHECK(*feed.epochs[s].error->sigma_latitude_m == doctest::Approx(0.001 * static_cast<double>(s + 1)));
      CHECK(*feed.epochs[s].speed_mps == doctest::Approx(static_cast<double>(s) * 1852 / 3600));
    }
  } while (std::next_permutation(order.begin(), order.end()));
}

TEST_CASE("after five bursts with the same last sentence it closes its epoch at once") {
  for (const char* last : {"GST", "GSA"}) {
    CAPTURE(std::string(last));
    Feed feed;
    const auto say_burst = [&](std::int64_t t) {
      feed.say({rmc(t), gga(t)});
      if (std::string(last) == "GST") feed.say({gsa(), gsa(), gst(t)});
      if (std::string(last) == "GSA") feed.say({gst(t), gsa(), gsa()});
      feed.say({test::kGsv});
    };
    for (int s = 0; s < 5; ++s) {
      say_burst(kTwo + s * 1000);
      CHECK(feed.epochs.size() == static_cast<std::size_t>(s));
    }
    for (int s = 5; s < 9; ++s) {
      say_burst(kTwo + s * 1000);
      CHECK(feed.epochs.size() == static_cast<std::size_t>(s) + 1);
    }
    CHECK(feed.assembler.counters().late_sentences == 0);
    CHECK(feed.epochs.back().error);
    CHECK(feed.epochs.back().pdop);
  }
}

TEST_CASE("a stream of nothing but GGA closes each epoch with its own sentence once learnt") {
  Feed feed;
  for (int s = 0; s < 12; ++s) {
    feed.say(gga(kTwo + s * 100), s * 100);
    feed.tick(s * 100 + 50);
    if (s > 6) CHECK(feed.epochs.size() == static_cast<std::size_t>(s) + 1);
  }
}

TEST_CASE("a late sentence is not used, is counted, and undoes what was learnt") {
  Feed feed;
  for (int s = 0; s < 8; ++s) feed.say({gga(kTwo + s * 1000), rmc(kTwo + s * 1000)});
  REQUIRE(feed.epochs.size() == 8);
  feed.say({gst(kTwo + 7000)});
  CHECK(feed.assembler.counters().late_sentences == 1);
  feed.say({gga(kTwo + 8000), rmc(kTwo + 8000), gst(kTwo + 8000)});
  CHECK(feed.epochs.size() == 8);
  feed.finish();
  REQUIRE(feed.epochs.size() == 9);
  CHECK(feed.epochs[8].error);
  CHECK(feed.assembler.counters().late_sentences == 1);
}

TEST_CASE("a sentence that is late behind an instant without a position undoes nothing") {
  Feed feed;
  for (int s = 0; s < 8; ++s) feed.say({gga(kTwo + s * 1000), rmc(kTwo + s * 1000)});
  REQUIRE(feed.epochs.size() == 8);
  feed.say({gst(kTwo + 8000), gga(kTwo + 9000), rmc(kTwo + 8000)});
  CHECK(feed.assembler.counters().fragments == 1);
  CHECK(feed.assembler.counters().late_sentences == 1);
  feed.say({rmc(kTwo + 9000)});
  CHECK(feed.epochs.size() == 9);  // closed by its last sentence, as learnt
}

TEST_CASE("a sentence of the second before, behind the new one's first, is late") {
  Feed feed;
  feed.say({gga(kTwo), gga(kTwo + 1000), gst(kTwo), gst(kTwo + 1000, 0.5)});
  feed.finish();
  REQUIRE(feed.epochs.size() == 2);
  CHECK(!feed.epochs[0].error);
  CHECK(feed.epochs[1].error->sigma_latitude_m == 0.5);
  CHECK(feed.assembler.counters().late_sentences == 1);
  CHECK(feed.assembler.counters().backward_times == 0);
}

TEST_CASE("a GST only with every second epoch is not lost, and holds until the next one") {
  struct Row {
    const char* name;
    bool first;
    int every;
  };
  for (const Row& row : {Row{"behind GGA, every second", false, 2}, Row{"before GGA, every second", true, 2},
                         Row{"behind GGA, every fourth", false, 4}, Row{"before GGA, every tenth", true, 10}}) {
    CAPTURE(std::string(row.name));
    Feed feed;
    for (int s = 0; s < 60; ++s) {
      const std::int64_t t = kTwo + s * 200;
      const std::string own = gst(t, 0.001 * (s + 1));
      const bool has = s % row.every == 0;
      if (has && row.first) feed.say(own, s * 200);
      feed.say(gga(t), s * 200 + 5);
      feed.say(rmc(t), s * 200 + 10);
      if (has && !row.first) feed.say(own, s * 200 + 15);
    }
    feed.finish();
    REQUIRE(feed.epochs.size() == 60);
    for (std::size_t s = 0; s < 60; ++s) {
      CAPTURE(s);
      const auto every = static_cast<std::size_t>(row.every);
      const bool shown = s > 4 * every;  // four periods show how often it comes
      REQUIRE(feed.epochs[s].error.has_value() == (s % every == 0 || shown));
      if (feed.epochs[s].error) {
        const auto newest = static_cast<double>(s - s % every);
        CHECK(*feed.epochs[s].error->sigma_latitude_m == doctest::Approx(0.001 * (newest + 1)));
      }
    }
    CHECK(feed.assembler.counters().late_sentences == 0);
  }
}

TEST_CASE("a rare GST costs a few epochs at most until the pattern is known") {
  Feed feed;
  for (int s = 0; s < 3600; ++s) {
    feed.say({gga(kTwo + s * 1000), rmc(kTwo + s * 1000)});
    if (s % 30 == 29) feed.say({gst(kTwo + s * 1000)});
  }
  feed.finish();
  CHECK(feed.epochs.size() == 3600);
  CHECK(feed.assembler.counters().late_sentences <= 2);
  CHECK(std::count_if(feed.epochs.begin(), feed.epochs.end(), [](const auto& e) { return e.error.has_value(); }) >=
        118);
}

TEST_CASE("a GGA slower than RMC makes epochs at its own rate") {
  Feed feed;
  for (int i = 0; i < 50; ++i) {
    const std::int64_t t = kTwo + i * 200;
    feed.say({rmc(t, "030626", i)});
    if (i % 5 == 0) feed.say({gga(t), gst(t)});
  }
  feed.finish();
  REQUIRE(feed.epochs.size() == 10);
  for (std::size_t n = 0; n < 10; ++n) {
    CHECK(feed.epochs[n].stream_ms == kTwo + static_cast<std::int64_t>(n) * 1000);
    CHECK(*feed.epochs[n].speed_mps == doctest::Approx(static_cast<double>(n) * 5 * 1852 / 3600));
  }
  CHECK(feed.assembler.counters().fragments == 40);
  CHECK(feed.assembler.counters().late_sentences == 0);
}

/// HDOPs that change every second, as GGA and GSA print them.
std::string hdop_of(int second) {
  return test::text("%.2f", 0.80 + 0.01 * (second * 7 % 13));
}

TEST_CASE("a GSA that opens the burst is known by the silence before it") {
  for (const std::int64_t interval_ms : {1000, 200}) {
    CAPTURE(interval_ms);
    Feed feed;
    for (int s = 0; s < 20; ++s) {
      const std::int64_t now = s * interval_ms;
      for (std::int64_t tick = now - 100; s > 0 && interval_ms == 1000 && tick < now; tick += 100) feed.tick(tick);
      feed.say(gsa("0.80", 1 + s), now);
      feed.say(gsa("0.80", 1 + s), now + 5);
      feed.say(rmc(kTwo + s * interval_ms), now + 10);
      feed.say(gga(kTwo + s * interval_ms), now + 15);
    }
    feed.finish();
    REQUIRE(feed.epochs.size() == 20);
    for (std::size_t s = 4; s < 20; ++s) {
      CAPTURE(s);
      REQUIRE(feed.epochs[s].pdop);
      CHECK(*feed.epochs[s].pdop == 1.0 + static_cast<double>(s));
    }
  }
}

TEST_CASE("a GSA that opens the burst is known by its HDOP where arrivals say nothing") {
  Feed feed;
  for (int s = 0; s < 30; ++s) {
    const std::string hdop = hdop_of(s);
    feed.say({gsa(hdop.c_str(), 1 + s), rmc(kTwo + s * 1000), gga(kTwo + s * 1000, {.hdop = hdop.c_str()})});
  }
  feed.finish();
  REQUIRE(feed.epochs.size() == 30);
  for (std::size_t s = 10; s < 30; ++s) {
    CAPTURE(s);
    REQUIRE(feed.epochs[s].pdop);
    CHECK(*feed.epochs[s].pdop == 1.0 + static_cast<double>(s));
  }
}

TEST_CASE("a GSA behind its position stays with it, whatever the line's pauses") {
  Feed feed;
  std::int64_t now = 0;
  for (int s = 0; s < 60; ++s) {
    const std::string hdop = hdop_of(s);
    // A link that stalls for 150 ms in front of the GSA in five bursts of six.
    now = s * 1000;
    feed.say(rmc(kTwo + s * 1000), now);
    feed.say(gga(kTwo + s * 1000, {.hdop = hdop.c_str()}), now += 10);
    feed.say(gsa(hdop.c_str(), 1 + s), now += s % 6 == 0 ? 10 : 150);
  }
  feed.finish();
  REQUIRE(feed.epochs.size() == 60);
  for (std::size_t s = 12; s < 60; ++s) {
    CAPTURE(s);
    REQUIRE(feed.epochs[s].pdop);
    CHECK(*feed.epochs[s].pdop == 1.0 + static_cast<double>(s));
  }
}

TEST_CASE("a GSA among the timed sentences of one second belongs to it") {
  Feed feed;
  for (int s = 0; s < 20; ++s) {
    const std::int64_t t = kTwo + s * 1000;
    feed.say(rmc(t), s * 1000);
    feed.say(gsa("0.80", 1 + s), s * 1000 + 200);  // late enough to look like the start of a burst
    feed.say(gga(t), s * 1000 + 210);
  }
  feed.finish();
  REQUIRE(feed.epochs.size() == 20);
  for (std::size_t s = 0; s < 20; ++s) {
    CAPTURE(s);
    REQUIRE(feed.epochs[s].pdop);
    CHECK(*feed.epochs[s].pdop == 1.0 + static_cast<double>(s));
  }
}

TEST_CASE("an untimed sentence behind its closed epoch is never lent to the next") {
  Feed feed;
  for (int s = 0; s < 8; ++s) feed.say({gga(kTwo + s * 1000), rmc(kTwo + s * 1000)});
  REQUIRE(feed.epochs.size() == 8);
  feed.say({gsa("0.80", 9.9), vtg(9)});
  feed.say({gga(kTwo + 8000)});
  feed.finish();
  REQUIRE(feed.epochs.size() == 9);
  CHECK(!feed.epochs[8].pdop);
  CHECK(!feed.epochs[8].speed_mps);
  CHECK(feed.assembler.counters().late_sentences == 2);
}

/// One invented receiver: its order, which kinds come how often, and how its line behaves.
struct Receiver {
  std::vector<int> order;
  std::array<int, 4> every{};
  std::int64_t interval_ms = 1000;

  /// Does the GSA open every burst, no burst, or now this one and now that?
  enum class Opens { always, never, sometimes };
  Opens gsa_opens() const {
    if (order[0] == 3) return Opens::always;
    for (const int kind : order) {
      if (kind == 3) return Opens::sometimes;
      if (every[static_cast<std::size_t>(kind)] == 1) return Opens::never;
    }
    return Opens::sometimes;
  }
};

Receiver invent(test::Dice& dice) {
  Receiver r;
  r.order = {0, 1, 2, 3};
  for (std::uint32_t i = 3; i > 0; --i) std::swap(r.order[i], r.order[dice.roll(i + 1)]);
  r.every = {1, 1 + static_cast<int>(dice.roll(3)), 1 + static_cast<int>(dice.roll(3)), 1};
  constexpr std::array<std::int64_t, 4> kIntervals{100, 200, 1000, 5000};
  r.interval_ms = kIntervals[dice.roll(4)];
  return r;
}

TEST_CASE("no receiver, whatever its order and rates, gets a sentence into an epoch that it does not hold for") {
  for (std::uint64_t seed = 0; seed < 300; ++seed) {
    CAPTURE(seed);
    test::Dice dice(seed);
    const Receiver r = invent(dice);
    Feed feed;
    std::int64_t now = 0;
    for (int n = 0; n < 60; ++n) {
      const std::int64_t t = kTwo + n * r.interval_ms;
      const std::string hdop = hdop_of(n);
      const std::vector<std::string> burst{gga(t, {.hdop = hdop.c_str()}), gst(t, 0.001 * (n + 1)), rmc(t, "030626", n),
                                           gsa(hdop.c_str(), 1 + n)};
      for (std::int64_t tick = (now / 100 + 1) * 100; tick <= n * r.interval_ms; tick += 100) feed.tick(tick);
      now = n * r.interval_ms;
      for (const int kind : r.order) {
        if (n % r.every[static_cast<std::size_t>(kind)] == 0) feed.say(burst[static_cast<std::size_t>(kind)], now += 5);
      }
    }
    feed.finish();
    REQUIRE(feed.epochs.size() == 60);
    for (std::size_t n = 0; n < 60; ++n) {
      CAPTURE(n);
      const epoch::Epoch& e = feed.epochs[n];
      const auto number = static_cast<double>(n);
      REQUIRE(e.stream_ms == kTwo + static_cast<std::int64_t>(n) * r.interval_ms);
      const auto newest = [&](std::size_t kind) {
        return static_cast<double>(n - n % static_cast<std::size_t>(r.every[kind]));
      };
      if (e.error) REQUIRE(*e.error->sigma_latitude_m == doctest::Approx(0.001 * (newest(1) + 1)));
      if (e.speed_mps) REQUIRE(*e.speed_mps == doctest::Approx(newest(2) * 1852 / 3600));
      // A GSA that always opens its burst is placed by what earlier bursts have taught. One that does so now and then
      // cannot be told from one that closes the burst before.
      const bool certain = r.gsa_opens() == Receiver::Opens::never;
      const bool taught = r.gsa_opens() == Receiver::Opens::always && n > 20;
      if (e.pdop && (certain || taught)) REQUIRE(*e.pdop == 1 + number);
      if (certain || taught) REQUIRE(e.pdop);
      const auto every = static_cast<std::size_t>(r.every[1]);
      REQUIRE(e.error.has_value() == (n % every == 0 || n > 4 * every));
    }
  }
}

}  // namespace
}  // namespace stillpoint
