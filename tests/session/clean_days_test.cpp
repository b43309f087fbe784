// Days on which nothing is wrong raise no alert, however a healthy receiver prints them.

#include <doctest/doctest.h>

#include <cstdint>
#include <random>
#include <string>
#include <vector>

#include "session/session.hpp"
#include "support/epochs.hpp"
#include "support/nmea_text.hpp"
#include "support/standing.hpp"

namespace {

using namespace stillpoint;
using Bodies = std::vector<std::string>;

bool is(const std::string& body, std::string_view kind) {
  return body.compare(2, 3, kind) == 0;
}

void drop(Bodies& bodies, std::string_view kind) {
  std::erase_if(bodies, [kind](const std::string& body) { return is(body, kind); });
}

void set_age(Bodies& bodies, const std::string& age) {
  for (std::string& body : bodies) {
    if (is(body, "GGA")) body.replace(body.rfind(",1.0,"), 5, "," + age + ",");
  }
}

/// A GNS behind the GGA, which says the same.
void add_gns(Bodies& bodies) {
  const std::string gga = bodies.front();
  const std::size_t quality = gga.find(",W,4,") + 3;
  bodies.insert(bodies.begin() + 1, "GNGNS" + gga.substr(5, quality - 5) + "RRNN,12,0.7,183.2,-33.9,1.0,0417,V");
}

struct Manner {
  const char* name;
  support::StandingManners prints;
  void (*edit)(Bodies& bodies, int epoch, std::mt19937& chance);
  void (*configure)(config::Settings& settings) = [](config::Settings&) {};
};

const Manner kManners[] = {
    {"a constant age", {}, [](Bodies&, int, std::mt19937&) {}},
    {"an age that jitters",
     {},
     [](Bodies& bodies, int, std::mt19937& chance) {
       const int tenths = 10 + static_cast<int>(chance() % 21);
       set_age(bodies, std::to_string(tenths / 10) + "." + std::to_string(tenths % 10));
     }},
    {"ages in whole seconds",
     {},
     [](Bodies& bodies, int, std::mt19937& chance) { set_age(bodies, std::to_string(1 + chance() % 3)); }},
    {"errors every second epoch",
     {},
     [](Bodies& bodies, int epoch, std::mt19937&) {
       if (epoch % 2 != 0) drop(bodies, "GST");
     }},
    {"errors every five seconds",
     {},
     [](Bodies& bodies, int epoch, std::mt19937&) {
       if (epoch % 5 != 0) drop(bodies, "GST");
     }},
    {"positions every five seconds beside RMC every second",
     {},
     [](Bodies& bodies, int epoch, std::mt19937&) {
       for (const char* kind : {"GGA", "GST", "GSA", "GSV", "VTG"}) {
         if (epoch % 5 != 0) drop(bodies, kind);
       }
     }},
    {"positions five times a second beside all else once a second",
     {.rate_hz = 5},
     [](Bodies& bodies, int epoch, std::mt19937&) {
       for (const char* kind : {"GST", "GSA", "GSV", "VTG", "RMC"}) {
         if (epoch % 5 != 0) drop(bodies, kind);
       }
     }},
    {"heights to 0.1 m", {.altitude_decimals = 1}, [](Bodies&, int, std::mt19937&) {}},
    {"five decimals of a minute",
     {.minute_decimals = 5},
     [](Bodies&, int, std::mt19937&) {},
     [](config::Settings& settings) { settings.sources[0].gate.min_minute_decimals = 5; }},
    {"no age, and the quality trusted",
     {},
     [](Bodies& bodies, int, std::mt19937&) { set_age(bodies, ""); },
     [](config::Settings& settings) { settings.sources[0].gate.age_missing = config::AgeMissing::trust_quality; }},
    {"two seconds lost every quarter of an hour",
     {},
     [](Bodies& bodies, int epoch, std::mt19937&) {
       if (epoch % 900 == 300 || epoch % 900 == 301) bodies.clear();
     }},
    {"GNS beside GGA, a GGA lost now and then, no error but an assumed one",
     {.kinds = "GGA GSA RMC"},
     [](Bodies& bodies, int epoch, std::mt19937&) {
       add_gns(bodies);
       if (epoch % 700 == 90) drop(bodies, "GGA");
     },
     [](config::Settings& settings) {
       settings.sources[0].assumed_sigma_m = config::PerAxis{0.010, 0.016};
     }},
};

/// Runs two hours with a stay every ten minutes; returns the keys of all alerts raised, and what was lost.
std::string faults_of(const Manner& manner, unsigned seed) {
  std::mt19937 chance(seed);
  support::StandingReceiver receiver(manner.prints, seed);
  auto settings = support::settings();
  manner.configure(settings);
  session::Session day(settings, geodesy::Frames::open(settings).value(), {});
  day.feed(session::FeedState::open, "a test", SteadyTime{0});
  const int per_second = static_cast<int>(manner.prints.rate_hz);
  std::string faults;
  for (int epoch = 0; epoch < 7200 * per_second; ++epoch) {
    Bodies bodies = receiver.next();
    manner.edit(bodies, epoch, chance);
    std::string text;
    for (const std::string& body : bodies) text += support::sentence(body);
    day.push(text, SteadyTime{receiver.stream_ms() + 80 +
                              static_cast<int>(chance() % (190U / static_cast<unsigned>(per_second)))});
    const int t = epoch / per_second;
    if (epoch % per_second == 0 && t % 600 == 60) day.occupy({"P" + std::to_string(t)});
    if (epoch % per_second == 0 && t % 600 == 360 && !day.keep().done)
      faults += "ended before " + std::to_string(t) + "; ";
    for (const auto& alert : day.take().raised)
      faults += alert.key + " at " + std::to_string(t) + ": " + alert.text + "; ";
  }
  return faults;
}

void check_days(unsigned seeds) {
  for (const Manner& manner : kManners) {
    for (unsigned seed = 1; seed <= seeds; ++seed) {
      CAPTURE(manner.name);
      CAPTURE(seed);
      CHECK(faults_of(manner, seed) == "");
    }
  }
}

TEST_CASE("clean days of two hours in twelve manners raise no alert") {
  check_days(1);
}

// By hand: session_test -ns -tc="*in each manner*"
TEST_CASE("twenty clean days of two hours in each manner raise no alert" * doctest::skip()) {
  check_days(20);
}

}  // namespace
