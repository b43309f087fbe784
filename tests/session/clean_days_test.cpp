#include <doctest/doctest.h>

#include <cstdint>
#include <random>

#include "session/session.hpp"
#include "support/epochs.hpp"
#include "support/nmea_text.hpp"

namespace {

using namespace stillpoint;

// Healthy receivers differ in how they print the age and how often they print GST.
enum class Manner : int { constant_age, age_jitter, whole_ages, gst_at_half_rate };

std::string second_of(Manner manner, int t_s, std::mt19937& chance) {
  std::normal_distribution<double> noise(0.0, 0.004);
  support::Second s;
  s.t_s = t_s;
  s.north_m = noise(chance);
  s.east_m = noise(chance);
  s.up_m = 1.5 * noise(chance);
  const int tenths = 10 + static_cast<int>(chance() % 21);
  if (manner == Manner::age_jitter) s.age = std::to_string(tenths / 10) + "." + std::to_string(tenths % 10);
  if (manner == Manner::whole_ages) s.age = std::to_string(1 + chance() % 3);
  return s.text();
}

/// Runs two hours with a stay every ten minutes; returns the keys of all alerts raised.
std::string alerts_of(Manner manner, unsigned seed) {
  std::mt19937 chance(seed);
  auto settings = support::settings();
  if (manner == Manner::gst_at_half_rate) settings.sources[0].gate.max_error95_horizontal_m.reset();
  session::Session day(settings, geodesy::Frames::open(settings).value(), {});
  day.feed(session::FeedState::open, "a test", SteadyTime{0});
  std::string keys;
  for (int t = 0; t < 7200; ++t) {
    std::string text = second_of(manner, t, chance);
    if (manner == Manner::gst_at_half_rate && t % 2 == 1) {
      const auto at = text.find("$GNGST");
      text.erase(at, text.find('\n', at) - at + 1);
    }
    day.push(text, SteadyTime{t * 1000 + 80 + static_cast<int>(chance() % 200)});
    if (t % 600 == 60) day.occupy({"P" + std::to_string(t)});
    if (t % 600 == 120) day.keep();
    for (const auto& alert : day.take().raised) keys += alert.key + " at " + std::to_string(t) + "; ";
  }
  return keys;
}

TEST_CASE("twenty clean days of two hours in four manners raise no alert") {
  for (unsigned seed = 0; seed < 20; ++seed) {
    CAPTURE(seed);
    CHECK(alerts_of(static_cast<Manner>(seed % 4), seed) == "");
  }
}

}  // namespace
