// What --check-feed says of a stream, without a process around it.

#include "preflight/feed_trial.hpp"

#include <doctest/doctest.h>

#include <sstream>
#include <string>
#include <vector>

#include "epoch/feed.hpp"
#include "support/epochs.hpp"

namespace {

using namespace stillpoint;

std::string framed(const std::string& body) {
  unsigned sum = 0;
  for (const char c : body) sum ^= static_cast<unsigned char>(c);
  return "$" + body + test::text("*%02X\r\n", sum);
}

/// What is said after so many seconds with these sentences in each.
std::string told(const config::Settings& settings, std::vector<std::string> (*second)(std::int64_t at_ms),
                 int seconds = 10) {
  daemon::FeedTrial check(settings);
  for (int i = 0; i < seconds; ++i) {
    const std::int64_t at_ms = test::at(14, 0, i);
    for (const std::string& body : second(at_ms)) check.push(framed(body), SteadyTime{at_ms});
  }
  check.finish();
  std::ostringstream out;
  check.tell(out);
  return out.str();
}

std::string gns_without_hdop(std::int64_t at_ms) {
  return test::text("GNGNS,%s,4736.000000,N,08724.000000,W,RRAN,25,,183.20,-33.90,1.0,0417",
                    test::clock(at_ms).c_str());
}

const std::string kNoPdop = "GNGSA,A,3,1,2,3,,,,,,,,,,,0.80,1.20,1";
const std::string kNoVdop = "GNGSA,A,3,1,2,3,,,,,,,,,,1.50,0.80,,1";
const std::string kNoHdop = "GNGSA,A,3,1,2,3,,,,,,,,,,1.50,,1.20,1";

}  // namespace

TEST_CASE("a limit is told when its value is in none of the sentences that came and could carry it") {
  const std::string no_hdop = "no HDOP in any sentence: the limit max_hdop can never pass (source \"county network\")";
  const std::string no_pdop = "no PDOP in GSA: the limit max_pdop can never pass (source \"county network\")";
  struct Row {
    const char* name;
    std::vector<std::string> (*second)(std::int64_t at_ms);
    bool hdop, pdop;
  };
  const Row rows[] = {
      {"everything comes",
       [](std::int64_t ms) {
         return std::vector{test::gga(ms), test::gsa()};
       },
       true, true},
      {"GGA without an HDOP, and none in GSA",
       [](std::int64_t ms) {
         return std::vector{test::gga(ms, {.hdop = ""}), kNoHdop};
       },
       false, true},
      {"GNS alone, without an HDOP", [](std::int64_t ms) { return std::vector{gns_without_hdop(ms)}; }, false, true},
      {"the HDOP comes in GSA",
       [](std::int64_t ms) {
         return std::vector{gns_without_hdop(ms), test::gsa()};
       },
       true, true},
      {"GSA without a PDOP",
       [](std::int64_t ms) {
         return std::vector{test::gga(ms), kNoPdop};
       },
       true, false},
  };
  const auto settings = support::settings();
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const std::string text = told(settings, row.second);
    CAPTURE(text);
    CHECK((text.find(no_hdop) == std::string::npos) == row.hdop);
    CHECK((text.find(no_pdop) == std::string::npos) == row.pdop);
  }
}

TEST_CASE("a VDOP that never comes is told while it is limited") {
  auto settings = support::settings();
  const auto second = [](std::int64_t ms) { return std::vector{test::gga(ms), kNoVdop}; };
  CHECK(told(settings, second).find("VDOP") == std::string::npos);
  settings.sources[0].gate.max_vdop = 3.0;
  CHECK(told(settings, second).find("no VDOP in GSA: the limit max_vdop can never pass (source \"county network\")") !=
        std::string::npos);
}

TEST_CASE("each sentence's period is told, and what it means for the limits") {
  struct Row {
    const char* name;
    std::vector<std::string> (*second)(std::int64_t at_ms);
    std::vector<const char*> lines;
  };
  const Row rows[] = {
      {"all every second",
       [](std::int64_t ms) {
         return std::vector{test::gga(ms), test::gst(ms), test::gsa(), test::rmc(ms)};
       },
       {"GGA  every 1 s; the least of 30 epochs takes 30 s\n", "GST  every 1 s\n", "GSA  every 1 s\n",
        "RMC  every 1 s\n"}},
      {"errors every five seconds",
       [](std::int64_t ms) {
         return ms % 5000 == 0 ? std::vector{test::gga(ms), test::gst(ms)} : std::vector{test::gga(ms)};
       },
       {"GST  every 5 s: slower than positions, so max_error95_horizontal_m, max_error95_vertical_m go by a value up "
        "to 4 s old\n"}},
      {"errors too seldom",
       [](std::int64_t ms) {
         return ms % 40'000 == 0 ? std::vector{test::gga(ms), test::gst(ms)} : std::vector{test::gga(ms)};
       },
       {"GST  every 40 s: too seldom to hold until the next one, so most seconds have nothing for "
        "max_error95_horizontal_m, max_error95_vertical_m\n"}},
      {"positions every five seconds",
       [](std::int64_t ms) {
         return ms % 5000 == 0 ? std::vector{test::rmc(ms), test::gga(ms)} : std::vector{test::rmc(ms)};
       },
       {"GGA  every 5 s; the least of 30 epochs takes 150 s, and a gap is one of more than 7.5 s (silence_s is 3 s)\n",
        "RMC  every 1 s\n"}},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const std::string text = told(support::settings(), row.second, 85);
    CAPTURE(text);
    for (const char* line : row.lines) CHECK(text.find(line) != std::string::npos);
  }
}

TEST_CASE("the digits of positions and heights are told with what they allow, and a limit above them") {
  auto settings = support::settings();
  const auto second = [](std::int64_t ms) { return std::vector{test::gga(ms, {.altitude = "183.2"})}; };
  const std::string text = told(settings, second);
  CHECK(text.find("decimals of minutes: 6, steps of 1.85 mm: can be off by 0.93 mm, however long a stay is\n") !=
        std::string::npos);
  CHECK(text.find("decimals of heights: 1, steps of 0.1 m: can be off by 5 cm, however long a stay is\n") !=
        std::string::npos);
  const char* const coarse =
      "only 1 decimals of heights, limit 2: every second is too coarse (source \"county network\")";
  CHECK(text.find(coarse) == std::string::npos);
  settings.sources[0].gate.min_altitude_decimals = 2;
  CHECK(told(settings, second).find(coarse) != std::string::npos);
}

TEST_CASE("a blank age is told with what the policy makes of it") {
  auto settings = support::settings();
  const auto second = [](std::int64_t ms) {
    std::string gga = test::gga(ms);
    gga.replace(gga.find(",1.0,0417"), 9, ",,0417");
    return std::vector{gga};
  };
  using config::AgeMissing;
  struct Row {
    AgeMissing policy;
    const char* text;
  };
  for (const Row& row : {Row{AgeMissing::refuse, "with age_missing = \"refuse\" no second can count"},
                         Row{AgeMissing::allow, "our own clock runs from when listening begins, and after 10 s"},
                         Row{AgeMissing::trust_quality, "no correction age"}}) {
    for (auto& source : settings.sources) source.gate.age_missing = row.policy;
    const bool told_so = told(settings, second).find(row.text) != std::string::npos;
    CHECK(told_so == (row.policy != AgeMissing::trust_quality));
  }
}

TEST_CASE("a limit that is not applied is not missed") {
  auto settings = support::settings();
  settings.sources[0].gate.max_hdop.reset();
  settings.sources[0].gate.max_pdop.reset();
  const std::string text = told(settings, [](std::int64_t ms) {
    return std::vector{test::gga(ms, {.hdop = ""}), kNoPdop};
  });
  CHECK(text.find("DOP") == std::string::npos);
}
