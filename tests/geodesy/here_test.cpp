#include "geodesy/here.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

namespace stillpoint::geodesy {
namespace {

const UtcTime kDay = *parse_utc("2026-06-03T12:00:00Z");

std::vector<FrameHere> at(double latitude_deg, double longitude_deg) {
  const auto frames = frames_here({latitude_deg, longitude_deg, 180.0}, kDay);
  REQUIRE(frames.has_value());
  return *frames;
}

const FrameHere* named(const std::vector<FrameHere>& frames, std::string_view code) {
  const auto found = std::find_if(frames.begin(), frames.end(), [&](const FrameHere& f) { return f.code == code; });
  return found == frames.end() ? nullptr : &*found;
}

}  // namespace

TEST_CASE("a frame that serves the place has a shift or says why it has none, and never both") {
  struct Row {
    const char* name;
    double latitude_deg, longitude_deg;
  };
  for (const Row& row : {Row{"Lake Superior", 47.6, -87.4}, Row{"Berlin", 52.5, 13.4}, Row{"Tokyo", 35.6, 139.7},
                         Row{"Sydney", -33, 151}, Row{"Mexico City", 19.4, -99.1}, Row{"the Gulf of Guinea", 0, 0}}) {
    CAPTURE(row.name);
    const auto frames = at(row.latitude_deg, row.longitude_deg);
    CHECK(frames.size() >= 4);
    for (const FrameHere& frame : frames) {
      CAPTURE(frame.code);
      CHECK(frame.shift.has_value() == frame.why_not.empty());
      CHECK((!frame.shift || !frame.description.empty()));
    }
  }
}

// EPSG data set v10.076, as PROJ 9.1.1 has it: no operation of one step leads from ITRF2020 to JGD2011.
TEST_CASE("a frame that cannot be reached honestly is named with its sentence") {
  const auto frames = at(35.6, 139.7);
  const FrameHere* japan = named(frames, "EPSG:6667");
  REQUIRE(japan != nullptr);
  CHECK_FALSE(japan->shift.has_value());
  CHECK(japan->why_not.find("JGD2011") != std::string::npos);
}

// 1.04 m east, 0.99 m south, 0.91 m up: cs2cs of PROJ 9.1.1 from EPSG:9989 to EPSG:6319 at 47.6 N 87.4 W, epoch 2026.42.
TEST_CASE("national frames come before the global ones, with the shift that PROJ gives from outside") {
  const auto frames = at(47.6, -87.4);
  CHECK(std::is_sorted(frames.begin(), frames.end(), [](const auto& a, const auto& b) { return a.global < b.global; }));
  const FrameHere* nad83 = named(frames, "EPSG:6319");
  REQUIRE(nad83 != nullptr);
  REQUIRE(nad83->shift.has_value());
  CHECK(std::abs(nad83->shift->east_m - 1.039) < 0.002);
  CHECK(std::abs(nad83->shift->north_m + 0.988) < 0.002);
  CHECK(std::abs(nad83->shift->up_m - 0.906) < 0.002);
}

TEST_CASE("a date without a usable year is refused with one sentence") {
  const auto refused = frames_here({47.6, -87.4, 0}, UtcTime{-1'000'000'000'000'000});
  REQUIRE_FALSE(refused.has_value());
  CHECK_FALSE(refused.error().text.empty());
}

}  // namespace stillpoint::geodesy
