// Any bytes as a scenario: errors are sentences with the file's name, and what is accepted can be played.

#include <string_view>

#include "fuzz/check.hpp"
#include "simulate/simulation.hpp"

using namespace stillpoint;

namespace {

constexpr int kBursts = 20;

void play(const simulate::Scenario& scenario) {
  auto simulation = simulate::Simulation::open(scenario);
  if (!simulation) return fuzz::check_shown(simulation.error().text);
  simulate::Burst burst;
  for (int i = 0; i < kBursts && simulation->next(burst); ++i) {
    std::size_t begin = 0;
    for (const auto& sent : burst.sent) {
      fuzz::check(sent.end >= begin && sent.end <= burst.bytes.size(), "a piece lies in its burst");
      begin = sent.end;
    }
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const simulate::ParsedScenario parsed = simulate::parse_scenario(text, "day.toml");
  for (const Error& error : parsed.errors) {
    fuzz::check_shown(error.text);
    fuzz::check(error.text.starts_with("day.toml"), "a sentence names the file");
  }
  if (parsed.errors.empty()) play(parsed.scenario);
  return 0;
}
