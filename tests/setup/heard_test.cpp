#include <doctest/doctest.h>

#include <functional>
#include <string>

#include "setup/heard.hpp"
#include "support/nmea_text.hpp"

using namespace stillpoint;
using setup::Heard;

namespace {

Heard heard(const std::string& text) {
  setup::Listening listening;
  for (std::size_t at = 0; at < text.size(); at += 50) {
    listening.push(std::string_view(text).substr(at, 50), SteadyTime{static_cast<std::int64_t>(at)});
  }
  listening.finish();
  return listening.heard();
}

std::string seconds(int count, const std::function<void(support::Second&)>& change = {}) {
  std::string text;
  for (int t = 0; t < count; ++t) {
    support::Second second;
    second.t_s = t;
    if (change) change(second);
    text += second.text();
  }
  return text;
}

bool has_line(const Heard& heard, const std::string& part) {
  for (const std::string& line : lines_of(heard)) {
    if (line.find(part) != std::string::npos) return true;
  }
  return false;
}

}  // namespace

TEST_CASE("what a receiver prints is told: kinds, qualities, stations, ages, digits, place and date") {
  const Heard all = heard(seconds(10));
  CHECK(all.epochs == 10);
  CHECK(all.kinds.at("GGA") == 10);
  CHECK(all.has_network());
  CHECK_FALSE(all.has_satellites());
  REQUIRE(all.of(Quality::rtk_fixed) != nullptr);
  CHECK(all.of(Quality::rtk_fixed)->stations == std::set<int>{417});
  CHECK(all.of(Quality::rtk_fixed)->ages == 10);
  CHECK(all.minute_decimals == 8);
  CHECK(all.height_decimals == 3);
  REQUIRE(all.place.has_value());
  CHECK(all.place->latitude_deg == doctest::Approx(47.6));
  CHECK(all.place->longitude_deg == doctest::Approx(-87.4));
  CHECK(all.dates == 10);
  CHECK(has_line(all, "Quality rtk-fixed in 10 seconds, station 417, with the age of corrections."));
}

TEST_CASE("what a receiver does not print is told too") {
  struct Row {
    const char* name;
    std::function<void(support::Second&)> change;
    const char* line;
  };
  for (const Row& row : {
           Row{"no date", [](support::Second& s) { s.rmc = false; }, "No date"},
           Row{"no error", [](support::Second& s) { s.gst = false; }, "No error figure"},
           Row{"no age", [](support::Second& s) { s.age = ""; }, "without the age"},
           Row{"no station", [](support::Second& s) { s.station = ""; }, "station blank"},
       }) {
    CAPTURE(row.name);
    CHECK(has_line(heard(seconds(5, row.change)), row.line));
    CHECK_FALSE(has_line(heard(seconds(5)), row.line));
  }
}

TEST_CASE("silence, noise and sentences without checksums have a sentence each") {
  CHECK(has_line(heard(""), "Nothing came"));
  CHECK(has_line(heard(std::string(300, '\x81')), "is the baud rate right"));
  CHECK(has_line(heard("$GNGGA,140000.00,4736.0,N\r\n$GNGGA,140001.00,4736.0,N\r\n"), "without checksums"));
}
