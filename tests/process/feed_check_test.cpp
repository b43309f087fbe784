// What --check-feed says of a stream, without a process around it.

#include "preflight/feed_check.hpp"

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

/// What is said after ten seconds with these sentences in each.
std::string told(const config::Settings& settings, std::vector<std::string> (*second)(std::int64_t at_ms)) {
  daemon::FeedCheck check(settings);
  for (int i = 0; i < 10; ++i) {
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

TEST_CASE("a limit that is not applied is not missed") {
  auto settings = support::settings();
  settings.sources[0].gate.max_hdop.reset();
  settings.sources[0].gate.max_pdop.reset();
  const std::string text = told(settings, [](std::int64_t ms) {
    return std::vector{test::gga(ms, {.hdop = ""}), kNoPdop};
  });
  CHECK(text.find("DOP") == std::string::npos);
}
