/// Epochs a second that the simulation gives, bytes alone and as a log with arrival times.
#include <benchmark/benchmark.h>

#include <fstream>
#include <sstream>

#include "simulate/simulation.hpp"

namespace {

using namespace stillpoint;

simulate::Scenario scenario_of(const std::string& file) {
  std::ifstream in(std::string(STILLPOINT_REPLAY_LOGS) + "/" + file, std::ios::binary);
  std::ostringstream text;
  text << in.rdbuf();
  return simulate::parse_scenario(text.str(), file).scenario;
}

void generate(benchmark::State& state, const std::string& file, bool as_log) {
  std::int64_t epochs = 0, bytes = 0;
  simulate::Burst burst;
  std::string log;
  for (auto _ : state) {
    state.PauseTiming();  // opening asks PROJ once for every frame
    auto simulation = simulate::Simulation::open(scenario_of(file));
    state.ResumeTiming();
    if (!simulation) return state.SkipWithError(simulation.error().text.c_str());
    while (simulation->next(burst)) {
      ++epochs;
      bytes += static_cast<std::int64_t>(burst.bytes.size());
      if (!as_log) continue;
      log.clear();
      simulate::append_log(burst, simulation->scenario().start, log);
      benchmark::DoNotOptimize(log.data());
    }
  }
  state.SetItemsProcessed(epochs);
  state.SetBytesProcessed(bytes);
}

BENCHMARK_CAPTURE(generate, one_hertz, std::string("two-skies.toml"), false)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(generate, one_hertz_log, std::string("two-skies.toml"), true)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(generate, full_burst_10_hertz, std::string("manners/full-burst.toml"), false)
    ->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(generate, full_burst_10_hertz_log, std::string("manners/full-burst.toml"), true)
    ->Unit(benchmark::kMillisecond);

}  // namespace
