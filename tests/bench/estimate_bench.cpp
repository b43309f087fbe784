/// Nanoseconds per epoch of the average alone, of the gate, and of a whole stay.
#include <benchmark/benchmark.h>

#include "estimate/noise.hpp"
#include "estimate/stay.hpp"

namespace {

using namespace stillpoint::estimate;

/// Ten minutes at 10 Hz of mixed errors with 2 % outliers; `elongation` and `claim_swing` as in the studies.
const std::vector<Sample>& epochs(bool swinging) {
  const auto draw = [](double swing) {
    noise::Occupation occupation;
    noise::occupy({"mixed", 0.35, 0.5, 30, 0.15, 0, 0.02, 3, swing}, 600, 10, 1, occupation);
    return occupation.samples;
  };
  static const std::vector<Sample> steady = draw(1), changing = draw(2);
  return swinging ? changing : steady;
}

void report(benchmark::State& state) {
  state.counters["ns_per_epoch"] =
      benchmark::Counter(static_cast<double>(state.iterations()) * 6000,
                         benchmark::Counter::kIsRate | benchmark::Counter::kInvert, benchmark::Counter::OneK::kIs1000);
}

void average_alone(benchmark::State& state) {
  const auto& samples = epochs(state.range(0) == 1);
  for (auto _ : state) {
    Average average;
    double time_s = 0;
    for (const Sample& sample : samples) average.add(sample, time_s += 0.1);
    benchmark::DoNotOptimize(average.result().error95_horizontal_m);
  }
  report(state);
}
BENCHMARK(average_alone)->Arg(0)->Arg(1);

void stay_with_gate(benchmark::State& state) {
  const auto& samples = epochs(state.range(0) == 1);
  for (auto _ : state) {
    Stay stay;
    std::int64_t ms = 0;
    for (const Sample& sample : samples) stay.observe({1, 1, {}}, sample, ms += 100);
    benchmark::DoNotOptimize(stay.segments().data());
  }
  report(state);
}
BENCHMARK(stay_with_gate)->Arg(0)->Arg(1);

void conclusion(benchmark::State& state) {
  Stay stay;
  std::int64_t ms = 0;
  for (const Sample& sample : epochs(false)) stay.observe({1, 1, {}}, sample, ms += 100);
  for (auto _ : state) benchmark::DoNotOptimize(stay.conclude({60, 60000}).estimate.error95_horizontal_m);
}
BENCHMARK(conclusion);

void k95_fit(benchmark::State& state) {
  double ratio = 0;
  for (auto _ : state) {
    benchmark::DoNotOptimize(k95(ratio));
    ratio = ratio > 0.99 ? 0 : ratio + 0.01;
  }
}
BENCHMARK(k95_fit);

}  // namespace

BENCHMARK_MAIN();
