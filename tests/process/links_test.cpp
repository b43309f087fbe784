// What the daemon decides about its links, without a link: which feed is used, and who may write.

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "clients/endpoint.hpp"
#include "clients/relay.hpp"
#include "feeds/feed_choice.hpp"
#include "feeds/live_link.hpp"
#include "feeds/sender_choice.hpp"
#include "feeds/serial_port.hpp"

using namespace stillpoint;
using namespace stillpoint::daemon;

namespace {

/// Feeds with a silence of 3 s. Each step says who spoke last at that second.
struct Choice {
  FeedChoice choice{{3000, 3000, 3000}, SteadyTime{0}};
  bool busy = false;

  void at(int s, const std::vector<std::size_t>& heard) {
    for (const std::size_t feed : heard) choice.heard(feed, SteadyTime{s * 1000});
    choice.change(SteadyTime{s * 1000}, busy);
  }
  void run(int from_s, int to_s, const std::vector<std::size_t>& heard) {
    for (int s = from_s; s < to_s; ++s) at(s, heard);
  }
};

}  // namespace

TEST_CASE("a feed takes over when the one in use has been silent for longer than its silence_s, not before") {
  Choice c;
  c.run(0, 10, {0, 1});
  CHECK(c.choice.active() == 0);
  c.run(10, 13, {1});
  CHECK(c.choice.active() == 0);  // last heard at 9 s
  c.at(13, {1});
  CHECK(c.choice.active() == 1);
}

TEST_CASE("the most wanted of those that speak takes over") {
  Choice c;
  c.run(0, 5, {0, 1, 2});
  c.run(5, 9, {1, 2});
  CHECK(c.choice.active() == 1);
  c.run(9, 14, {2});
  CHECK(c.choice.active() == 2);
}

TEST_CASE("nothing changes while nothing speaks, and at the start the first has its time") {
  Choice c;
  c.run(0, 4, {1});
  CHECK(c.choice.active() == 0);
  c.at(4, {1});
  CHECK(c.choice.active() == 1);
  c.run(5, 60, {});
  CHECK(c.choice.active() == 1);
}

TEST_CASE("a wanted feed comes back after ten seconds without a gap") {
  Choice c;
  c.run(0, 5, {1});
  REQUIRE(c.choice.active() == 1);
  c.run(5, 12, {0, 1});
  c.run(12, 18, {1});  // a gap: the ten seconds begin anew
  c.run(18, 28, {0, 1});
  CHECK(c.choice.active() == 1);
  c.at(28, {0, 1});
  CHECK(c.choice.active() == 0);
}

TEST_CASE("an open stay keeps its feed while that is well, and only then") {
  Choice c;
  c.run(0, 5, {1});
  c.busy = true;
  c.run(5, 60, {0, 1});
  CHECK(c.choice.active() == 1);
  c.run(60, 64, {0});
  CHECK(c.choice.active() == 0);
}

TEST_CASE("a link that is down is not well, however lately it spoke") {
  Choice c;
  c.run(0, 10, {0, 1});
  c.choice.lost(0);
  CHECK(c.choice.change(SteadyTime{9500}, true) == 1U);
}

TEST_CASE("one sender is listened to until it is silent, and a second one is told") {
  using Verdict = SenderChoice::Verdict;
  struct Step {
    const char* name;
    int at_ms;
    const char* sender;
    Verdict verdict;
    const char* news;  // what must be in it; empty: nothing is told
  };
  const Step steps[] = {
      {"the first is taken", 0, "a", Verdict::taken, ""},
      {"another is left out", 500, "b", Verdict::left_out, ""},
      {"the first goes on: two at once", 1000, "a", Verdict::taken, "a is used, b is left out"},
      {"the other is gone: nothing more is told", 4000, "a", Verdict::taken, ""},
      {"a silence of its limit", 7000, "b", Verdict::left_out, ""},
      {"a millisecond more", 7001, "b", Verdict::taken_over, "come from b now, before from a"},
      {"the first comes back and is the other now", 7100, "a", Verdict::left_out, ""},
      {"two at once", 7200, "b", Verdict::taken, "b is used, a is left out"},
  };
  SenderChoice choice(3000);
  for (const Step& step : steps) {
    CAPTURE(step.name);
    CHECK(choice.hear(step.sender, MachineTime{step.at_ms}) == step.verdict);
    const std::string words = step.news;
    CHECK(choice.news().empty() == words.empty());
    CHECK(choice.news().find(words) != std::string::npos);
  }
}

TEST_CASE("the owner of a connection is read from the kernel's table") {
  const std::string table =
      "  sl  local_address rem_address   st tx_queue rx_queue tr tm->when retrnsmt   uid  timeout inode\n"
      "   0: 0100007F:6DC5 00000000:0000 0A 00000000:00000000 00:00000000 00000000     0        0 1 1 0 100 0 0 10 0\n"
      "   1: 0100007F:6DC5 0100007F:D431 01 00000000:00000000 00:00000000 00000000   998        0 2 1 0 20 4 30 10 -1\n"
      "   2: 0100007F:D431 0100007F:6DC5 01 00000000:00000000 00:00000000 00000000  1000        0 3 1 0 20 4 30 10 "
      "-1\n";
  CHECK(owner_in_table(table, "0100007F:D431", "0100007F:6DC5") == 1000U);
  CHECK(owner_in_table(table, "0100007F:6DC5", "0100007F:D431") == 998U);
  CHECK_FALSE(owner_in_table(table, "0100007F:D432", "0100007F:6DC5"));
  CHECK_FALSE(owner_in_table("", "0100007F:D431", "0100007F:6DC5"));
  CHECK_FALSE(owner_in_table("  2: 0100007F:D431 0100007F:6DC5 01\n", "0100007F:D431", "0100007F:6DC5"));
}

TEST_CASE("a bridged Bluetooth node is known by its name") {
  CHECK(is_bluetooth_node("/dev/rfcomm0"));
  CHECK_FALSE(is_bluetooth_node("/dev/ttyACM0"));
  CHECK_FALSE(is_bluetooth_node("/dev/serial/by-id/usb-rfcomm-if00"));
}
