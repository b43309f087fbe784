#include <doctest/doctest.h>

#include <atomic>
#include <cstdlib>
#include <new>

#include "estimate/noise.hpp"
#include "estimate/stay.hpp"

namespace {
std::atomic<long> allocations{0};

void* counted(std::size_t bytes) {
  ++allocations;
  if (void* memory = std::malloc(bytes == 0 ? 1 : bytes)) return memory;
  throw std::bad_alloc();
}
}  // namespace

void* operator new(std::size_t bytes) {
  return counted(bytes);
}
void* operator new[](std::size_t bytes) {
  return counted(bytes);
}
// The library's own temporary buffers come from here: left out, they would be freed by the wrong side.
void* operator new(std::size_t bytes, const std::nothrow_t&) noexcept {
  ++allocations;
  return std::malloc(bytes == 0 ? 1 : bytes);
}
void* operator new[](std::size_t bytes, const std::nothrow_t&) noexcept {
  ++allocations;
  return std::malloc(bytes == 0 ? 1 : bytes);
}
void operator delete(void* memory) noexcept {
  std::free(memory);
}
void operator delete[](void* memory) noexcept {
  std::free(memory);
}
void operator delete(void* memory, std::size_t) noexcept {
  std::free(memory);
}
void operator delete[](void* memory, std::size_t) noexcept {
  std::free(memory);
}

using namespace stillpoint::estimate;

TEST_CASE("nothing is allocated after construction") {
  noise::Occupation occupation;
  noise::occupy({"with outliers", 0.35, 0.5, 30, 0.15, 0, 0.02}, 3000, 1, 4, occupation);
  for (std::size_t i = 1000; i < 2000; ++i) occupation.samples[i].east_m += 20;  // a step as well
  Average average;
  Stay stay;
  CHECK(allocations > 0);  // the counter works: a stay reserves its segments
  const long before = allocations;
  std::int64_t ms = 0;
  double used_m = 0;
  for (const Sample& sample : occupation.samples) {
    average.add(sample, static_cast<double>(ms) / 1000);
    used_m += average.result().error95_horizontal_m;
    used_m += static_cast<double>(stay.observe({1, 1, {}}, sample, ms += 1000).segment);
    used_m += stay.estimate_of(0).error95_horizontal_m;
  }
  CHECK(allocations == before);
  CHECK(used_m > 0);
  CHECK(stay.segments().size() > 1);
}

TEST_CASE("a stay is as large after a day as after a minute") {
  CHECK(sizeof(Average) < 16 * 1024);
}
