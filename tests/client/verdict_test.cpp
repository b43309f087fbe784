// The one answer on the screen against what the session counts, over whole days.

#include <doctest/doctest.h>

#include <fstream>
#include <sstream>
#include <string>

#include "config/load.hpp"
#include "session/session.hpp"
#include "simulate/scenario.hpp"
#include "simulate/simulation.hpp"
#include "wire/json.hpp"
#include "wire/situation.hpp"

namespace {

using namespace stillpoint;

const std::string kFolder = STILLPOINT_REPLAY_LOGS;

simulate::Simulation simulation_of(const std::string& file) {
  std::ifstream in(kFolder + "/" + file, std::ios::binary);
  std::ostringstream text;
  text << in.rdbuf();
  return simulate::Simulation::open(simulate::parse_scenario(text.str(), file).scenario).value();
}

struct Seen {
  int epochs = 0, yes = 0, mismatches = 0;
};

/// After each epoch: YES on the screen exactly when this epoch was accepted.
Seen watch(const std::string& file) {
  const config::Settings settings = config::load(kFolder + "/training.toml").settings;
  session::Session day(settings, geodesy::Frames::open(settings).value(), {});
  auto simulation = simulation_of(file);
  day.feed(session::FeedState::open, "a test", SteadyTime{0});
  Seen seen;
  simulate::Burst burst;
  while (simulation.next(burst)) {
    std::size_t begin = 0;
    for (const auto& sent : burst.sent) {
      const session::Summary before = day.summary();
      day.push(std::string_view(burst.bytes).substr(begin, sent.end - begin), SteadyTime{sent.arrived_ms});
      begin = sent.end;
      const session::Summary after = day.summary();
      day.take();
      if (after.epochs != before.epochs + 1) continue;
      const auto status = wire::Json::parse(wire::to_json(day.status()));
      const bool yes = wire::situation_of(status, false).counts();
      ++seen.epochs;
      seen.yes += yes ? 1 : 0;
      seen.mismatches += yes != (after.accepted > before.accepted) ? 1 : 0;
    }
  }
  return seen;
}

TEST_CASE("YES stands on the screen for accepted seconds and no others, over the four shipped days") {
  Seen all;
  for (const char* file : {"alder-cut.toml", "two-skies.toml", "clean-day.toml", "everything-else.toml"}) {
    CAPTURE(file);
    const Seen seen = watch(file);
    CHECK(seen.mismatches == 0);
    all.epochs += seen.epochs;
    all.yes += seen.yes;
  }
  CHECK(all.epochs > 3600);  // an hour at least
  CHECK(all.yes > 1800);
  CHECK(all.epochs - all.yes > 600);
}

}  // namespace
