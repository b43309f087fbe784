// Ages that the receiver leaves blank: what each policy shows, says and stores.

#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "session/session.hpp"
#include "support/epochs.hpp"
#include "support/nmea_text.hpp"

namespace {

using namespace stillpoint;
using config::AgeMissing;
using support::Second;

/// Satellite corrections without an age, from `from_s` on; limit 1200 s by our own clock.
class BlankDay {
 public:
  BlankDay(AgeMissing policy, int from_s)
      : from_s_(from_s),
        settings_(settings_for(policy)),
        day_(settings_, geodesy::Frames::open(settings_).value(), {}) {
    day_.feed(session::FeedState::open, "a test", SteadyTime{from_s * 1000});
  }
  void second(int t, int quality = 2) {
    Second s;
    s.t_s = t;
    s.quality = quality;
    s.age = "";
    s.station = "0131";
    s.sigma_m = 0.3;
    s.up_m = 0.0001 * (t % 7);
    day_.push(s.text(), SteadyTime{t * 1000 + 80});
    day_.advance(SteadyTime{t * 1000 + 900});
  }
  void run(int to_s) {
    for (int t = from_s_; t < to_s; ++t) second(t);
    from_s_ = to_s;
  }
  session::Session& day() { return day_; }
  session::Status status() const { return day_.status(); }

 private:
  static config::Settings settings_for(AgeMissing policy) {
    auto settings = support::settings();
    settings.sources[1].gate.age_missing = policy;
    return settings;
  }
  int from_s_;
  config::Settings settings_;
  session::Session day_;
};

TEST_CASE("where the quality is trusted a second's verdict does not hang on when the program was started") {
  constexpr int kLater_s = 1000, kEnd_s = 2600, kSettle_s = 10;
  for (const AgeMissing policy : {AgeMissing::trust_quality, AgeMissing::allow}) {
    BlankDay early(policy, 0), late(policy, kLater_s);
    int differ = 0, refused = 0;
    for (int t = 0; t < kEnd_s; ++t) {
      early.second(t);
      if (t < kLater_s) continue;
      late.second(t);
      if (t <= kLater_s + kSettle_s) continue;
      differ += early.status().accepted != late.status().accepted ? 1 : 0;
      refused += early.status().accepted ? 0 : 1;
    }
    // Our own clock of 1200 s runs out a thousand seconds apart; a status of 0.9 s behind its second is shown.
    CHECK(differ == (policy == AgeMissing::allow ? 1000 : 0));
    CHECK(refused == (policy == AgeMissing::allow ? 1400 : 0));
  }
}

TEST_CASE("an age that nobody knows is null, its state unknown, and no sentence gives a number for it") {
  BlankDay d(AgeMissing::trust_quality, 0);
  d.run(2000);
  const session::Status status = d.status();
  CHECK(status.accepted);
  CHECK(corrections::to_word(status.correction.state) == "unknown");
  CHECK_FALSE(status.correction.age_s.has_value());
  CHECK(corrections::to_word(status.correction.from) == "quality");
  CHECK_FALSE(status.correction.coast_left_s.has_value());
  CHECK(d.day().alerts().empty());
}

TEST_CASE("a point of trusted seconds is flagged, and its seconds say that the age was unknown") {
  BlankDay d(AgeMissing::trust_quality, 0);
  d.run(30);
  REQUIRE(d.day().occupy({"A"}).done);
  d.run(90);
  REQUIRE(d.day().keep().done);
  const session::Outputs out = d.day().take();
  REQUIRE(out.points.size() == 1);
  const auto& flags = out.points[0].point.flags;
  CHECK(std::count(flags.begin(), flags.end(), "correction-age-unknown") == 1);
  CHECK(std::all_of(out.points[0].epochs.begin(), out.points[0].epochs.end(),
                    [](const auto& epoch) { return epoch.correction == corrections::State::unknown && !epoch.age_s; }));
}

TEST_CASE("the class lost ends trusted corrections, and they settle when it comes again") {
  BlankDay d(AgeMissing::trust_quality, 0);
  d.run(60);
  for (int t = 60; t < 70; ++t) d.second(t, 1);
  CHECK_FALSE(d.status().accepted);
  CHECK(d.status().correction.state == corrections::State::none);
  CHECK(std::count_if(d.day().alerts().begin(), d.day().alerts().end(),
                      [](const auto& a) { return a.key == "corrections-stale"; }) == 1);
  for (int t = 70; t < 79; ++t) d.second(t);
  CHECK_FALSE(d.status().accepted);
  for (int t = 79; t < 82; ++t) d.second(t);
  CHECK(d.status().accepted);
}

TEST_CASE("our own clock says since when it runs, and never calls that an age") {
  struct Row {
    const char* name;
    int autonomous_until_s;
    const char* since;
  };
  for (const Row& row : {Row{"from the start", 0, "since listening began at 14:00:00"},
                         Row{"from the class", 20, "since the quality came at 14:00:20"}}) {
    CAPTURE(row.name);
    BlankDay d(AgeMissing::allow, 0);
    for (int t = 0; t < row.autonomous_until_s; ++t) d.second(t, 1);
    for (int t = row.autonomous_until_s; t < 1240; ++t) d.second(t);
    const session::Status status = d.status();
    CHECK_FALSE(status.accepted);
    REQUIRE(status.reasons.size() == 1);
    const std::string seconds = std::to_string(1239 - row.autonomous_until_s);
    CHECK(status.reasons[0].text == "no proof of corrections for " + seconds + " s " + row.since + ", limit 1200 s");
    int told = 0;
    for (const auto& alert : d.day().alerts()) {
      CAPTURE(alert.text);
      CHECK(alert.text.find(" s old") == std::string::npos);
      told += alert.text.find(row.since) != std::string::npos ? 1 : 0;
    }
    CHECK(told == 2);  // coasting, then stale
  }
}

}  // namespace
