// The corrections of an invented base, read back by the room that reads real ones.

#include <array>
#include <cmath>

#include "rtcm/framer.hpp"
#include "rtcm/message.hpp"
#include "simulate/support.hpp"

using namespace stillpoint;
using test::made_of;
using test::scenario_text;

namespace {

constexpr const char* kBase = "[corrections]\nbase = \"VM-11\"\nstation = 417\n";

std::string day(const std::string& more) {
  return "[[stand]]\nmark = \"CUL-1\"\nfrom_s = 0\nto_s = 60\nantenna_height_m = 1.871\n"
         "[[use]]\nat_s = 0\nsource = \"network\"\n" +
         more;
}
std::string fault(const std::string& kind, const std::string& more = "") {
  return "[[fault]]\nkind = \"" + kind + "\"\nfrom_s = 20\nto_s = 40\n" + more;
}

struct Heard {
  int observations = 0, station = -1;
  std::vector<rtcm::BasePosition> places;
};
Heard heard_in(const std::string& bytes) {
  Heard out;
  rtcm::Framer framer;
  framer.push(bytes, [&](const rtcm::Frame& frame) {
    const auto message = rtcm::decode(frame.body);
    if (const auto* base = std::get_if<rtcm::BasePosition>(&message.content)) out.places.push_back(*base);
    const auto* observations = std::get_if<rtcm::Observations>(&message.content);
    if (observations == nullptr) return;
    ++out.observations;
    out.station = observations->station;
  });
  CHECK(framer.counters().damage == rtcm::Damage{});
  return out;
}

}  // namespace

TEST_CASE("a base sends observations each second, and where it stands every ten, at any rate of the receiver") {
  for (const char* receiver : {"", "rate_hz = 5"}) {
    CAPTURE(receiver);
    const auto made = made_of(scenario_text("60", receiver, day(kBase)));
    std::string bytes;
    for (const auto& burst : made.bursts) bytes += burst.corrections;
    const Heard heard = heard_in(bytes);
    CHECK(heard.observations == 60);
    CHECK(heard.station == 417);
    REQUIRE(heard.places.size() == 6);
    // VM-11 by PROJ 9.1.1's cs2cs: EPSG:6319 to EPSG:6317, 47.6 -87.4 148.3.
    const std::array<double, 3> by_proj{195458.44215, -4304329.13213, 4687111.41910};
    for (std::size_t i = 0; i < 3; ++i) CHECK(std::abs(heard.places[0].ecef_m[i] - by_proj[i]) < 0.0002);
    CHECK(made.bursts.front().base_ecef_m);
    CHECK_FALSE(made.bursts.back().base_ecef_m);
  }
}

TEST_CASE("a day without a base brings no corrections, and the receiver's bytes are the same with one") {
  const auto without = made_of(scenario_text("60", "", day("")));
  const auto with = made_of(scenario_text("60", "", day(kBase)));
  CHECK(without.bytes == with.bytes);
  for (const auto& burst : without.bursts) CHECK(burst.corrections.empty());
}

TEST_CASE("a base says where it stands in the frame it works in") {
  const std::string moved = std::string(kBase) + "frame = \"EPSG:9989\"\n";
  const Heard own = heard_in(made_of(scenario_text("1", "", day(kBase))).bursts[0].corrections);
  const Heard other = heard_in(made_of(scenario_text("1", "", day(moved))).bursts[0].corrections);
  REQUIRE((own.places.size() == 1 && other.places.size() == 1));
  double square_m2 = 0;
  for (std::size_t i = 0; i < 3; ++i) square_m2 += std::pow(other.places[0].ecef_m[i] - own.places[0].ecef_m[i], 2);
  // NAD83(2011) minus ITRF2020 there in June 2026: E +1.038, N -0.988, U +0.906 m (EPSG's parameters in PROJ 9.1.1).
  CHECK(std::abs(std::sqrt(square_m2) - std::hypot(1.038, 0.988, 0.906)) < 0.005);
}

TEST_CASE("in an outage the base falls silent, and with corrections that are not used only the age tells") {
  struct Row {
    const char* kind;
    bool sends;
  };
  for (const Row& row : {Row{"outage", false}, Row{"unused", true}}) {
    CAPTURE(row.kind);
    const auto made = made_of(scenario_text("60", "", day(kBase + fault(row.kind))));
    for (std::size_t i = 0; i < 60; ++i) {
      CAPTURE(i);
      const bool is_on = i < 20 || i >= 40;
      CHECK(made.bursts[i].corrections.empty() == !(is_on || row.sends));
    }
    const auto age_in = [&](std::size_t second) { return made.bursts[second].bytes.find(",20.0,0417*"); };
    CHECK(age_in(39) != std::string::npos);  // 1 s when it began, and 19 s on
    CHECK(age_in(45) == std::string::npos);
  }
}

TEST_CASE("another base says at once who it is and where it stands, and the first one does when it is back") {
  const auto made =
      made_of(scenario_text("60", "", day(kBase + fault("other-base", "text = \"CUL-1\"\ncount = 418\n"))));
  for (const std::size_t second : {0U, 20U, 40U}) {
    CAPTURE(second);
    const Heard heard = heard_in(made.bursts[second].corrections);
    CHECK(heard.station == (second == 20U ? 418 : 417));
    REQUIRE(heard.places.size() == 1);
    CHECK(heard.places[0].station == heard.station);
    CHECK(made.bursts[second].base_ecef_m);
  }
  CHECK(heard_in(made.bursts[25].corrections).station == 418);
}

TEST_CASE("a base that cannot be is said with its line and what to give") {
  struct Row {
    std::string more;
    const char* words;
  };
  const Row rows[] = {
      {"[corrections]\nbase = \"NONE\"\nstation = 1\n", "NONE"},
      {"[corrections]\nbase = \"VM-11\"\nstation = 4096\n", "0 to 4095"},
      {"[corrections]\nstation = 1\n", "base"},
      {kBase + fault("other-base", "count = 418\n"), "text"},
      {kBase + fault("other-base", "text = \"CUL-1\"\n"), "number of the other base"},
      {kBase + fault("other-base", "text = \"CUL-1\"\ncount = -1\n"), "0 to 4095"},
      {kBase + fault("other-base", "text = \"NONE\"\ncount = 1\n"), "NONE"},
      {fault("other-base", "text = \"CUL-1\"\ncount = 1\n"), "[corrections]"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.more);
    const auto parsed = simulate::parse_scenario(scenario_text("60", "", day(row.more)), "trial.toml");
    REQUIRE_FALSE(parsed.errors.empty());
    std::string all;
    for (const Error& error : parsed.errors) all += error.text + "\n";
    CAPTURE(all);
    CHECK(all.find(row.words) != std::string::npos);
  }
}
