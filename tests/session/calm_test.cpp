// Ticks and epochs at which nothing can have changed are not looked at. Here the same days are run again with a full
// look at every tick and every burst, and nothing may come out otherwise.

#include <doctest/doctest.h>

#include <string>
#include <tuple>
#include <vector>

#include "nmea/sentences.hpp"
#include "session/session.hpp"
#include "support/epochs.hpp"
#include "support/nmea_text.hpp"

namespace {

using namespace stillpoint;
using session::FeedState;

enum class Looks { when_needed, at_every_tick };

struct Told {
  std::vector<std::string> lines;
  std::uint64_t accepted = 0;
  bool changed = false;  ///< by a look
};

/// A day of stretches that dice choose: good seconds, old corrections, another source, lost satellites, silence, cuts.
class Day {
 public:
  Day(std::uint64_t seed, Looks looks)
      : dice_(seed), looks_(looks), settings_(support::settings()), day_(make(settings_, seed)) {
    day_.feed(FeedState::open, "a test", now_);
    for (int i = 0; i < 60; ++i) stretch();
    day_.finish();
    collect();
    told_.accepted = day_.summary().accepted;
    for (const auto& outage : day_.summary().outages) say("outage", outage.why, outage.from_utc);
  }

  const Told& told() const { return told_; }

 private:
  static session::Session make(config::Settings& settings, std::uint64_t seed) {
    // Some days end their stays soon, some have limits of age that fall between two ticks, or no coasting.
    settings.occupation.max_duration_s = seed % 2 == 0 ? 40 : 600;
    config::Gate& gate = settings.sources[0].gate;
    if (seed % 3 != 0) gate.fresh_age_s = 2.95;
    if (seed % 3 == 1) gate.max_age_s = gate.fresh_age_s;
    return {settings, geodesy::Frames::open(settings).value(), {}};
  }

  void stretch() {
    like_ = {};
    aging_ = frozen_ = late_ = false;
    switch (dice_.roll(13)) {
      case 0:
        aging_ = true;
        break;
      case 1:
        like_.quality = 2;
        like_.station = "0131";
        break;
      case 2:
        like_.satellites = 4;
        break;
      case 3:
        like_.station = "0777";
        break;
      case 4:
        return pass(static_cast<std::int64_t>(dice_.roll(9000)));
      case 5:
        day_.cut(now_);
        return collect();
      case 6:
        day_.feed(FeedState::waiting, "a test: away", now_);
        pass(static_cast<std::int64_t>(dice_.roll(4000)));
        day_.feed(FeedState::open, "a test", now_);
        return collect();
      case 7:
        like_.quality = 1;
        like_.age.clear();
        break;
      case 8:
        (day_.open_stand() != nullptr) ? day_.keep() : day_.occupy({"P-" + std::to_string(++names_)});
        break;
      case 9:
        frozen_ = true;
        break;
      case 10:
        like_.east_m = 0.4;
        break;
      case 11:
        late_ = true;
        break;
      default:
        break;
    }
    for (std::uint32_t i = 0, n = 1 + dice_.roll(40); i < n; ++i) second(static_cast<int>(i));
  }

  void second(int i) {
    support::Second second = like_;
    second.t_s = static_cast<int>(now_.ms / 1000) + 10;
    second.up_m = frozen_ ? 0 : 0.0001 * (second.t_s % 7);
    if (like_.quality != 1 && !frozen_)
      second.age = aging_ ? std::to_string(1 + i) + ".4" : "1." + std::to_string(second.t_s % 10);
    // Fresh when it comes, and not a moment later; the next one is well again.
    if (late_ && like_.quality != 1 && second.t_s % 3 == 0) second.age = "2.8";
    const SteadyTime arrived{now_.ms + 30 + dice_.roll(60)};
    if (looks_ == Looks::at_every_tick) {
      day_.advance(arrived);
      expect_more();
    }
    day_.push(second.text(), arrived);
    pass(1000);
  }

  void pass(std::int64_t ms) {
    for (const std::int64_t until_ms = now_.ms + ms; now_.ms < until_ms;) {
      now_ = SteadyTime{std::min(until_ms, (now_.ms / session::kTickMs + 1) * session::kTickMs)};
      day_.advance(now_);
      const bool tick = now_.ms % session::kTickMs == 0;
      if (tick && looks_ == Looks::at_every_tick) {
        expect_more();
        day_.seen("no such alert");  // looks at every condition and changes none
        expect_more();
      }
      collect();
    }
  }

  /// The next look is a full one: a command that is refused changes nothing else.
  void expect_more() { told_.changed |= day_.set_antenna(1, "").done; }

  void collect() {
    session::Outputs out = day_.take();
    for (const auto& alert : out.alerts_in_order())
      say(alert.active ? "raised " + alert.key : "over " + alert.key, alert.text,
          alert.active ? alert.since_utc : alert.until_utc);
    for (const auto& alert : out.repeated) say("repeated " + alert.key, alert.text, {});
    for (const auto& event : out.events) say(event.kind, event.text, event.utc);
    for (const auto& point : out.points) say("point", point.point.name, point.point.finished_utc);
  }

  void say(const std::string& what, const std::string& text, std::optional<UtcTime> utc) {
    told_.lines.push_back(std::to_string(now_.ms) + " " + what + ": " + text + " " + (utc ? to_text(*utc) : "-"));
  }

  test::Dice dice_;
  Looks looks_;
  config::Settings settings_;
  session::Session day_;
  SteadyTime now_{0};
  support::Second like_;
  bool aging_ = false, frozen_ = false, late_ = false;
  int names_ = 0;
  Told told_;
};

TEST_CASE("a tick that is not looked at would have brought nothing") {
  std::uint64_t accepted = 0;
  std::size_t lines = 0;
  for (std::uint64_t seed = 1; seed <= 40; ++seed) {
    CAPTURE(seed);
    const Told quick = Day(seed, Looks::when_needed).told();
    const Told full = Day(seed, Looks::at_every_tick).told();
    REQUIRE(quick.accepted == full.accepted);
    REQUIRE_FALSE(full.changed);
    REQUIRE(quick.lines.size() == full.lines.size());
    for (std::size_t i = 0; i < full.lines.size(); ++i) REQUIRE(quick.lines[i] == full.lines[i]);
    accepted += quick.accepted;
    lines += quick.lines.size();
  }
  CHECK(accepted > 5000);
  CHECK(lines > 1000);
}

}  // namespace
