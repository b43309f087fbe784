#include <doctest/doctest.h>

#include <cstdlib>
#include <new>

#include "geodesy/frames.hpp"
#include "helpers.hpp"

namespace {
std::size_t allocations = 0;
}

void* operator new(std::size_t size) {
  ++allocations;
  if (void* memory = std::malloc(size == 0 ? 1 : size)) return memory;
  throw std::bad_alloc();
}
// PROJ asks without exceptions; both kinds must come from one place.
void* operator new(std::size_t size, const std::nothrow_t&) noexcept {
  ++allocations;
  return std::malloc(size == 0 ? 1 : size);
}
void operator delete(void* memory) noexcept {
  std::free(memory);
}
void operator delete(void* memory, std::size_t) noexcept {
  std::free(memory);
}

using namespace stillpoint;
using geodesy::test::settings;
using geodesy::test::source;

TEST_CASE("an epoch that can be transformed costs no allocation") {
  config::Settings made = settings("EPSG:6319", {source("ITRF2020"), source("EPSG:6319", 2010.0)});
  made.project.coordinate_epoch = 2010.0;
  made.project.site_velocity_mm_per_year = config::SiteVelocity{-14.0, 5.5, -2.0};
  const auto frames = geodesy::Frames::open(made);
  REQUIRE(frames.has_value());
  const UtcTime start = *parse_utc("2026-06-03T14:05:10Z");
  int answered = 0;
  const std::size_t before = allocations;
  for (int second = 0; second < 1000; ++second) {
    const UtcTime utc{start.ms + second * 1000};
    const geodesy::Geographic place{47.6 + second * 1e-7, -87.4, 180.0};
    for (const std::size_t number : {0U, 1U}) {
      if (frames->why_not_here(number, place.latitude_deg, place.longitude_deg)) continue;
      answered += frames->to_project(number, place, utc) ? 1 : 0;
    }
  }
  const std::size_t after = allocations;
  CHECK(after == before);
  CHECK(answered == 2000);
  CHECK(before > 0);
}
