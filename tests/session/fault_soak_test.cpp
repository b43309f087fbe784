// Two thousand faults of a link, in an order that dice choose, through one session with injected time: nothing is stuck
// afterwards, and what was counted is what was done.

#include <doctest/doctest.h>

#include <algorithm>
#include <string>

#include "nmea/sentences.hpp"
#include "session/session.hpp"
#include "support/epochs.hpp"
#include "support/nmea_text.hpp"

namespace {

using namespace stillpoint;
using session::FeedState;

struct Done {
  std::uint64_t hang_ups = 0, halves = 0, half_bytes = 0, garbage_bytes = 0, stalls = 0, floods = 0, steps_back = 0;
  std::uint64_t seconds = 0;
};

class Link {
 public:
  explicit Link(std::uint64_t seed)
      : dice_(seed), settings_(support::settings()), day_(settings_, geodesy::Frames::open(settings_).value(), {}) {
    day_.feed(FeedState::open, "a soak", SteadyTime{0});
  }

  void good_second(std::int64_t takes_ms = 1000) {
    support::Second second;
    second.t_s = t_s_++;
    second.up_m = 0.0001 * (second.t_s % 7);
    day_.push(second.text(), SteadyTime{now_ms_ + takes_ms * 8 / 100});
    pass(takes_ms);
    ++done.seconds;
  }

  void fault() {
    switch (dice_.roll(6)) {
      case 0:
        return hang_up();
      case 1:
        return half_sentence();
      case 2:
        return garbage();
      case 3:
        return stall();
      case 4:
        return flood();
      default:
        return step_back();
    }
  }

  void collect() {
    const session::Outputs out = day_.take();
    for (const auto& event : out.events) waits += event.text.starts_with("feed waiting") ? 1U : 0U;
    points += out.points.size();
  }

  std::uint32_t roll(std::uint32_t sides) { return dice_.roll(sides); }
  session::Session& day() { return day_; }

  Done done;
  std::uint64_t silences = 0, waits = 0, points = 0;

 private:
  void pass(std::int64_t ms) {
    now_ms_ += ms;
    day_.advance(SteadyTime{now_ms_});
    collect();
  }

  void hang_up() {
    ++done.hang_ups;
    day_.cut(SteadyTime{now_ms_});
    day_.feed(FeedState::waiting, "a soak: hung up", SteadyTime{now_ms_});
    const std::int64_t away_s = 1 + dice_.roll(8);
    pass(away_s * 1000);
    t_s_ += static_cast<int>(away_s);
    day_.feed(FeedState::open, "a soak", SteadyTime{now_ms_});
  }

  void half_sentence() {
    const std::string whole = test::framed("GNGSA,A,3,01,02,03,04,05,06,07,,,,,,1.3,0.7,1.1,1");
    const std::string half = whole.substr(0, 1 + dice_.roll(static_cast<std::uint32_t>(whole.size() - 4)));
    ++done.halves;
    done.half_bytes += half.size();
    day_.push(half, SteadyTime{now_ms_});
  }

  void garbage() {
    std::string burst;
    for (std::uint32_t i = 0, n = 1 + dice_.roll(2000); i < n; ++i) burst += static_cast<char>(128 + dice_.roll(128));
    done.garbage_bytes += burst.size();
    day_.push(burst, SteadyTime{now_ms_});
  }

  /// Longer than the feed's silence.
  void stall() {
    ++done.stalls;
    const std::int64_t for_s = 5 + dice_.roll(6);
    pass(for_s * 1000);
    silences += day_.status().feed == FeedState::silent ? 1U : 0U;
    t_s_ += static_cast<int>(for_s);
  }

  void flood() {
    ++done.floods;
    for (int i = 0; i < 25; ++i) good_second(20);
  }

  void step_back() {
    ++done.steps_back;
    t_s_ -= 2 + static_cast<int>(dice_.roll(4));
  }

  test::Dice dice_;
  config::Settings settings_;
  session::Session day_;
  std::int64_t now_ms_ = 0;
  int t_s_ = 10;
};

/// What the alerts of one kind say how often it came: a row that folds others counts them.
std::uint64_t occurrences(const session::Session& day, std::string_view key) {
  std::uint64_t count = 0;
  for (const session::Alert& alert : day.alerts()) {
    if (alert.key == key && !alert.folded) count += static_cast<std::uint64_t>(alert.times);
  }
  return count;
}

}  // namespace

TEST_CASE("two thousand faults leave a session that counts them all and still makes points") {
  Link link(417);
  for (int i = 0; i < 6; ++i) link.good_second();
  for (int n = 0; n < 2000; ++n) {
    if (n % 37 == 0) link.day().occupy({"S-" + std::to_string(n)});
    link.fault();
    // Twelve good seconds at most: a silence is over after some, and the next one is then another.
    for (std::uint32_t i = 0, seconds = 7 + link.roll(6); i < seconds; ++i) link.good_second();
    if (n % 37 == 30) link.day().keep();
  }
  link.collect();
  const Done& done = link.done;
  const auto& stream = link.day().summary().stream;
  CHECK(done.hang_ups + done.halves + done.stalls + done.floods + done.steps_back > 1500);
  CHECK(link.waits == done.hang_ups);
  CHECK(link.silences == done.stalls);
  CHECK(occurrences(link.day(), "feed-unavailable") == done.hang_ups);
  CHECK(occurrences(link.day(), "feed-silent") == done.stalls);
  CHECK(stream.damage.cut_short == done.halves);
  CHECK(stream.damage.garbage_bytes == done.garbage_bytes + done.half_bytes);
  CHECK(stream.damage.bad_checksum == 0);
  CHECK(link.day().summary().assembly.backward_times == done.steps_back);
  CHECK(link.points > 30);
  CHECK(link.day().alerts().size() < 3000);

  // And then a plain stay, as on a quiet day.
  link.day().drop();
  for (int i = 0; i < 30; ++i) link.good_second();
  REQUIRE(link.day().occupy({"AFTER"}).done);
  for (int i = 0; i < 40; ++i) link.good_second();
  REQUIRE(link.day().keep().done);
  const auto out = link.day().take();
  REQUIRE(out.points.size() == 1);
  CHECK(out.points[0].point.status == occupation::PointStatus::accepted);
  CHECK(link.day().summary().epochs == link.done.seconds);
}
