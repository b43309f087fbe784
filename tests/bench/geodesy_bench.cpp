// One transformed epoch beside what PROJ itself takes for the same operation. Target: less than 0.3 microseconds on
// top.

#include <benchmark/benchmark.h>
#include <proj.h>

#include "geodesy/frames.hpp"
#include "geodesy/local.hpp"

using namespace stillpoint;

namespace {

config::Settings sbas_to_nad83() {
  config::Settings settings;
  settings.project.frame = "EPSG:6319";
  config::Source source;
  source.name = "sbas";
  source.frame = "ITRF2014";
  settings.sources.push_back(source);
  return settings;
}

void ours(benchmark::State& state) {
  const auto frames = geodesy::Frames::open(sbas_to_nad83());
  if (!frames) return state.SkipWithError(frames.error().text.c_str());
  geodesy::Geographic position{47.6, -87.4, 180.0};
  UtcTime utc = *parse_utc("2026-06-03T14:05:10Z");
  for (auto _ : state) {
    utc.ms += 1000;
    position.latitude_deg += 1e-9;
    benchmark::DoNotOptimize(frames->to_project(0, position, utc));
  }
}
BENCHMARK(ours)->Name("geodesy/one epoch, ITRF2014 to NAD83(2011)");

void proj_alone(benchmark::State& state) {
  PJ_CONTEXT* context = proj_context_create();
  PJ* from = proj_create(context, "EPSG:7912");
  PJ* to = proj_create(context, "EPSG:6319");
  PJ* raw = proj_create_crs_to_crs_from_pj(context, from, to, nullptr, nullptr);
  PJ* pj = proj_normalize_for_visualization(context, raw);
  double latitude_deg = 47.6;
  double year = 2026.42;
  for (auto _ : state) {
    latitude_deg += 1e-9;
    year += 1e-8;
    benchmark::DoNotOptimize(proj_trans(pj, PJ_FWD, proj_coord(-87.4, latitude_deg, 180.0, year)));
  }
  for (PJ* object : {pj, raw, to, from}) proj_destroy(object);
  proj_context_destroy(context);
}
BENCHMARK(proj_alone)->Name("geodesy/the same by PROJ alone");

void same_frame(benchmark::State& state) {
  config::Settings settings = sbas_to_nad83();
  settings.sources[0].frame = "EPSG:6319";
  const auto frames = geodesy::Frames::open(settings);
  if (!frames) return state.SkipWithError(frames.error().text.c_str());
  UtcTime utc = *parse_utc("2026-06-03T14:05:10Z");
  for (auto _ : state) {
    utc.ms += 1000;
    benchmark::DoNotOptimize(frames->to_project(0, {47.6, -87.4, 180.0}, utc));
  }
}
BENCHMARK(same_frame)->Name("geodesy/one epoch, the same frame");

void local(benchmark::State& state) {
  const geodesy::LocalFrame frame({47.6, -87.4, 180.0});
  geodesy::Geographic position{47.6, -87.4, 180.0};
  for (auto _ : state) {
    position.latitude_deg += 1e-9;
    benchmark::DoNotOptimize(frame.to_enu(position));
  }
}
BENCHMARK(local)->Name("geodesy/to east, north, up");

void open_two_sources(benchmark::State& state) {
  config::Settings settings = sbas_to_nad83();
  settings.sources[0].frame = "ITRF2020";
  settings.sources.push_back(settings.sources[0]);
  settings.sources[1].frame = "EPSG:6319";
  for (auto _ : state) benchmark::DoNotOptimize(geodesy::Frames::open(settings).has_value());
}
BENCHMARK(open_two_sources)->Name("geodesy/open with two sources")->Unit(benchmark::kMillisecond);

}  // namespace
