// What comes out of a scenario: sentences that can be read back, frames that differ as published, faults where and as
// long as they were asked for, and the same bytes every time.

#include <algorithm>
#include <cmath>
#include <fstream>
#include <numbers>
#include <sstream>

#include "base/identity.hpp"
#include "epoch/assembler.hpp"
#include "nmea/decode.hpp"
#include "nmea/framer.hpp"
#include "simulate/support.hpp"
#include "simulate/truth.hpp"

using namespace stillpoint;
using test::made_of;
using test::scenario_text;

namespace {

constexpr double kDeg = std::numbers::pi / 180;

std::string stand(const std::string& mark, int from_s, int to_s, const std::string& more = "") {
  return "[[stand]]\nmark = \"" + mark + "\"\nfrom_s = " + std::to_string(from_s) + "\nto_s = " + std::to_string(to_s) +
         "\nantenna_height_m = 1.871\n" + more + "\n";
}
std::string use(int at_s, const std::string& source) {
  return "[[use]]\nat_s = " + std::to_string(at_s) + "\nsource = \"" + source + "\"\n";
}
std::string fault(const std::string& kind, int from_s, int to_s, const std::string& more = "") {
  return "[[fault]]\nkind = \"" + kind + "\"\nfrom_s = " + std::to_string(from_s) + "\nto_s = " + std::to_string(to_s) +
         "\n" + more + "\n";
}

struct Read {
  std::vector<epoch::Epoch> epochs;
  std::vector<nmea::Gga> ggas;
  nmea::Counters counters;
  int malformed = 0;
};

Read read_back(const std::string& bytes) {
  Read out;
  nmea::Framer framer;
  epoch::Assembler assembler;
  framer.push(bytes, [&](const nmea::Sentence& sentence) {
    const auto decoded = nmea::decode(sentence.body);
    if (std::holds_alternative<nmea::Malformed>(decoded.content)) ++out.malformed;
    if (const auto* gga = std::get_if<nmea::Gga>(&decoded.content)) out.ggas.push_back(*gga);
    if (const auto* closed = assembler.push(decoded, SteadyTime{0})) out.epochs.push_back(*closed);
  });
  if (const auto* closed = assembler.finish()) out.epochs.push_back(*closed);
  framer.finish();
  out.counters = framer.counters();
  return out;
}

/// A position on GRS 80 to Earth-centred metres, and a turn into east, north, up at the place.
using Xyz = std::array<double, 3>;
Xyz to_xyz(const geodesy::Geographic& g) {
  const double a = 6378137.0, f = 1 / 298.257222101, e2 = f * (2 - f);
  const double la = g.latitude_deg * kDeg, lo = g.longitude_deg * kDeg;
  const double n = a / std::sqrt(1 - e2 * std::sin(la) * std::sin(la)), h = g.ellipsoid_height_m;
  return {(n + h) * std::cos(la) * std::cos(lo), (n + h) * std::cos(la) * std::sin(lo),
          (n * (1 - e2) + h) * std::sin(la)};
}

}  // namespace

TEST_CASE("every sentence of every kind reads back, at every rate and order") {
  for (const char* receiver :
       {"rate_hz = 1",
        "rate_hz = 20\nsentences = [\"GST\", \"ZDA\", \"GNS\", \"VTG\", \"RMC\", \"GSA\", \"GSV\", \"DTM\", \"GGA\"]",
        "rate_hz = 5\ntalker = \"GP\"\nminute_decimals = 4\nblank = [\"hdop\", \"ellipse\", \"age\"]\ncrlf = false"}) {
    CAPTURE(receiver);
    const auto made = made_of(scenario_text("20", receiver, stand("VM-11", 0, 20) + use(0, "network")));
    const Read read = read_back(made.bytes);
    CHECK(read.malformed == 0);
    CHECK(read.counters.damage == nmea::Damage{});
    CHECK(read.epochs.size() == made.truth.size());
  }
}

TEST_CASE("a pole that waits between its stands has no negative speed") {
  const auto made = made_of(scenario_text("120", "rate_hz = 10\nsentences = [\"GGA\", \"RMC\", \"VTG\"]",
                                          stand("VM-11", 0, 20) + stand("VM-11", 100, 120) + use(0, "network")));
  CHECK(read_back(made.bytes).malformed == 0);
}

TEST_CASE("the printed position is the mark plus the antenna plus the true error") {
  const auto made = made_of(
      scenario_text("60", "minute_decimals = 8\nheight_decimals = 4", stand("VM-11", 0, 60) + use(0, "network")));
  const Read read = read_back(made.bytes);
  REQUIRE(read.ggas.size() == 60);
  for (std::size_t i = 0; i < 60; ++i) {
    const geodesy::LocalFrame mark({47.6, -87.4, 148.300});
    const auto& gga = read.ggas[i];
    const auto enu = mark.to_enu(
        {gga.position->latitude_deg, gga.position->longitude_deg, *gga.altitude_m + *gga.geoid_separation_m});
    CHECK(std::abs(enu.east_m - made.truth[i].error_m.east) < 2e-5);
    CHECK(std::abs(enu.north_m - made.truth[i].error_m.north) < 2e-5);
    CHECK(std::abs(enu.up_m - 1.871 - made.truth[i].error_m.up) < 2e-4);
  }
}

TEST_CASE("the satellites' frame lies where the published parameters put it") {
  // ITRF2020 to NAD83(2011): EPSG:10334, https://epsgtransform.com/transform/epsg-9988-to-epsg-6317, coordinate frame
  // rotation, epoch 2010.0. PROJ 9.1.1 holds rounded parameters, hence 2 mm.
  const double t = 2026.0 + 153.0 / 365 + 14.0 / 24 / 365 - 2010.0, mas = kDeg / 3600e3;
  const Xyz shift{1.0039 + 0.00079 * t, -1.90961 - 0.0007 * t, -0.54117 - 0.00124 * t};
  const Xyz turn{(26.78138 + 0.06667 * t) * mas, (-0.42027 - 0.75744 * t) * mas, (10.93206 - 0.05133 * t) * mas};
  const double scale = 1 + (-0.05109 - 0.07201 * t) * 1e-9;
  const auto simulation = test::simulation_of(scenario_text("10", "", stand("VM-11", 0, 10) + use(0, "sbas")));
  for (std::size_t m = 0; m < 2; ++m) {
    const Xyz itrf = to_xyz(simulation.marks_of(1)[m].at), nad83 = to_xyz(simulation.marks_of(0)[m].at);
    const Xyz moved{shift[0] + scale * (itrf[0] + turn[2] * itrf[1] - turn[1] * itrf[2]),
                    shift[1] + scale * (-turn[2] * itrf[0] + itrf[1] + turn[0] * itrf[2]),
                    shift[2] + scale * (turn[1] * itrf[0] - turn[0] * itrf[1] + itrf[2])};
    for (std::size_t i = 0; i < 3; ++i) CHECK(std::abs(moved[i] - nad83[i]) < 0.002);
    const double apart_m = std::hypot(itrf[0] - nad83[0], itrf[1] - nad83[1], itrf[2] - nad83[2]);
    CHECK(apart_m == doctest::Approx(1.695).epsilon(0.01));
  }
}

TEST_CASE("printed DOPs are those of the satellites printed") {
  const auto made = made_of(scenario_text("10", "", stand("VM-11", 0, 10) + use(0, "network")));
  std::vector<simulate::Satellite> in_view;
  std::vector<std::pair<int, int>> used;
  double hdop = 0, vdop = 0;
  std::istringstream lines(made.bursts.front().bytes);
  for (std::string line; std::getline(lines, line);) {
    std::vector<std::string> f;
    std::istringstream fields(line.substr(0, line.find('*')));
    for (std::string field; std::getline(fields, field, ',');) f.push_back(field);
    if (line.find("GSA") == 3) {
      for (std::size_t i = 3; i < 15; ++i) {
        if (!f[i].empty()) used.emplace_back(std::stoi(f[18]), std::stoi(f[i]));
      }
      hdop = std::stod(f[16]), vdop = std::stod(f[17]);
    }
    const int system = f[0] == "$GPGSV" ? 1 : f[0] == "$GLGSV" ? 2 : f[0] == "$GAGSV" ? 3 : 0;
    for (std::size_t i = 4; system != 0 && i + 3 < f.size(); i += 4) {
      in_view.push_back({std::stoi(f[i]), system, std::stod(f[i + 1]), std::stod(f[i + 2]), 40});
    }
  }
  std::erase_if(in_view, [&](const auto& s) {
    return std::find(used.begin(), used.end(), std::pair(s.system, s.id)) == used.end();
  });
  REQUIRE(in_view.size() == used.size());
  const auto dops = simulate::dops_of(in_view);
  REQUIRE(dops);
  // Elevations and azimuths are printed in whole degrees.
  CHECK(hdop == doctest::Approx(dops->horizontal).epsilon(0.02));
  CHECK(vdop == doctest::Approx(dops->vertical).epsilon(0.02));
}

TEST_CASE("faults hold from their first second to the one before their end") {
  const std::string day = stand("VM-11", 0, 60) + use(0, "sbas");
  struct Row {
    const char* name;
    std::string fault;
    bool (*shows)(const epoch::Epoch& epoch);
  };
  const Row rows[] = {
      {"outage", fault("outage", 20, 40), [](const epoch::Epoch& e) { return e.age && e.age->seconds >= 8; }},
      {"no GST", fault("no-sentence", 20, 40, "text = \"GST\""), [](const epoch::Epoch& e) { return !e.error; }},
      {"cold start", fault("cold-start", 20, 40), [](const epoch::Epoch& e) { return !e.position; }},
      {"fewer decimals", fault("decimals", 20, 40, "count = 4"),
       [](const epoch::Epoch& e) { return e.position && e.position->minute_decimals == 4; }},
      {"own shift with a datum sentence", fault("own-shift", 20, 40, "text = \"EPSG:6319\"\nsays = true"),
       [](const epoch::Epoch& e) { return e.datum.has_value() && e.datum->local[0] == '9'; }},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const std::string receiver = "sentences = [\"GGA\", \"DTM\", \"RMC\", \"GST\"]";
    const Read read = read_back(made_of(scenario_text("60", receiver, day + row.fault)).bytes);
    REQUIRE(read.epochs.size() == 60);
    for (int i = 0; i < 60; ++i) {
      CAPTURE(i);
      // The assembler takes a second to learn that a sentence is back.
      if (i == 40) continue;
      // An outage begins at an age of 3 to 8 s: it shows beyond doubt from 5 s on.
      if (row.name == std::string("outage") && i >= 20 && i < 26) continue;
      CHECK(row.shows(read.epochs[static_cast<std::size_t>(i)]) == (i >= 20 && i < 40));
    }
  }
}

TEST_CASE("a false fix, a base and a bulge move the truth by what was asked for") {
  const std::string day = stand("VM-11", 0, 100) + use(0, "network");
  const std::string offset = "offset_m = { east = 0.31, north = -0.22, up = 0.58 }";
  const auto base = made_of(scenario_text("100", "", day));
  for (const char* kind : {"false-fix", "base-shift", "multipath"}) {
    CAPTURE(kind);
    const auto made = made_of(scenario_text("100", "", day + fault(kind, 20, 60, offset)));
    for (std::size_t i : {std::size_t{10}, std::size_t{40}, std::size_t{80}}) {
      const double part = i == 40 ? 1 : 0;  // the bulge is at its height half way
      CHECK(made.truth[i].error_m.east - base.truth[i].error_m.east == doctest::Approx(0.31 * part).epsilon(1e-6));
      CHECK(made.truth[i].error_m.up - base.truth[i].error_m.up == doctest::Approx(0.58 * part).epsilon(1e-6));
    }
  }
}

TEST_CASE("a frozen receiver repeats its position while its time runs on") {
  const Read read = read_back(
      made_of(scenario_text("60", "", stand("VM-11", 0, 60) + use(0, "network") + fault("frozen", 20, 40))).bytes);
  for (std::size_t i = 21; i < 40; ++i) {
    CHECK(read.epochs[i].position->digits_hash == read.epochs[19].position->digits_hash);
    CHECK(read.epochs[i].age == read.epochs[19].age);
    CHECK(read.epochs[i].utc->ms == read.epochs[0].utc->ms + 1000 * static_cast<int>(i));
  }
  CHECK(read.epochs[40].position->digits_hash != read.epochs[19].position->digits_hash);
}

TEST_CASE("silence and a cut link send nothing, and say which") {
  const auto made = made_of(scenario_text(
      "60", "", stand("VM-11", 0, 60) + use(0, "network") + fault("silence", 10, 20) + fault("cut", 30, 40)));
  for (std::size_t i = 0; i < 60; ++i) {
    CHECK(made.bursts[i].bytes.empty() == ((i >= 10 && i < 20) || (i >= 30 && i < 40)));
    CHECK(made.bursts[i].cut == (i >= 30 && i < 40));
  }
}

TEST_CASE("a bad link damages sentences at about the rate asked for, and good ones survive between") {
  const std::string day = stand("VM-11", 0, 600) + use(0, "network");
  struct Row {
    const char* name;
    const char* kind;
    const char* rate;
    double low, high;  ///< share of sentences lost
  };
  const Row rows[] = {{"bit errors", "bit-errors", "rate = 0.001", 0.03, 0.15},
                      {"drops", "drops", "rate = 0.1", 0.08, 0.14},
                      {"merged lines lose nothing", "merges", "rate = 0.3", 0, 0},
                      {"garbage between sentences", "garbage", "rate = 0.5", 0, 0.01},
                      {"binary frames between sentences", "binary", "rate = 0.5", 0, 0.01}};
  const double sent = static_cast<double>(read_back(made_of(scenario_text("600", "", day)).bytes).counters.sentences);
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const Read read = read_back(made_of(scenario_text("600", "", day + fault(row.kind, 0, 600, row.rate))).bytes);
    const double lost = 1 - static_cast<double>(read.counters.sentences) / sent;
    CHECK(lost >= row.low);
    CHECK(lost <= row.high);
  }
}

TEST_CASE("the date goes back 1024 weeks and a leap second steps the time back") {
  const std::string day = stand("VM-11", 0, 60) + use(0, "network");
  const auto rolled = made_of(scenario_text("60", "", day + fault("date-step", 0, 60, "count = -7168")));
  CHECK(to_text(rolled.truth[0].printed_utc) == "2006-10-18T14:00:00Z");
  const auto stepped = made_of(scenario_text("60", "", day + fault("time-step", 30, 60, "seconds = -2")));
  CHECK(stepped.truth[30].printed_utc.ms - stepped.truth[29].printed_utc.ms == -1000);
}

TEST_CASE("a link that is late brings everything so much later, in its order, and catches up when it is over") {
  const std::string day = stand("VM-11", 0, 60) + use(0, "network");
  const auto plain = made_of(scenario_text("60", "", day));
  const auto late = made_of(scenario_text("60", "", day + fault("late", 20, 40, "seconds = 8")));
  CHECK(late.bytes == plain.bytes);
  std::int64_t before_ms = 0;
  for (std::size_t i = 0; i < 60; ++i) {
    CAPTURE(i);
    const std::int64_t usual_ms = plain.bursts[i].sent.front().arrived_ms;
    const std::int64_t ms = late.bursts[i].sent.front().arrived_ms - usual_ms;
    CHECK(late.bursts[i].sent.front().arrived_ms >= before_ms);
    before_ms = late.bursts[i].sent.back().arrived_ms;
    if (i < 20 || i > 48) CHECK(ms == 0);
    if (i >= 20 && i < 40) CHECK(ms == 8000);
    CHECK((late.bursts[i].late_ms > 0) == (ms > 0));
  }
  CHECK(late.bursts[40].sent.front().arrived_ms == late.bursts[39].sent.back().arrived_ms);
}

TEST_CASE("errors under an outage grow with the age, and a canopy hides satellites") {
  const std::string day = stand("VM-11", 0, 600);
  const auto late = made_of(scenario_text("600", "", day + use(0, "sbas") + fault("outage", 100, 600)));
  const auto fresh = made_of(scenario_text("600", "", day + use(0, "sbas")));
  const auto off = [&](std::size_t i) {
    return std::hypot(late.truth[i].error_m.east - fresh.truth[i].error_m.east,
                      late.truth[i].error_m.north - fresh.truth[i].error_m.north);
  };
  CHECK(off(90) == 0);
  // The age is 3 s when it begins and counts on; what lies above a cycle (8 s) drifts, in a straight line.
  CHECK(off(200) > 0.01);
  CHECK(off(590) / off(200) == doctest::Approx((590.0 - 105.0) / (200.0 - 105.0)).epsilon(1e-3));
  CHECK(read_back(late.bytes).ggas[599].age->seconds == doctest::Approx(499 + 3).epsilon(0.02));
  const Read open = read_back(made_of(scenario_text("60", "", day + use(0, "network"))).bytes);
  const Read wood = read_back(
      made_of(scenario_text("60", "", day + use(0, "network") + "[[canopy]]\nmask_deg = 30\nkeep = 0.6\n")).bytes);
  CHECK(*wood.ggas[5].satellites < *open.ggas[5].satellites);
  CHECK(*wood.ggas[5].hdop > *open.ggas[5].hdop);
}

TEST_CASE("a receiver may claim less than the truth, or always the same, and needs a while to converge") {
  const std::string day = stand("VM-11", 0, 400);
  const auto network = [](const std::string& more) {
    return "[[source]]\nname = \"n\"\nquality = \"rtk-fixed\"\nstation = \"0417\"\nwhite_m = { east = 0.03, north = "
           "0.04, "
           "up = 0.05 }\n" +
           more + "\n[[use]]\nat_s = 0\nsource = \"n\"\n";
  };
  const auto first = [](const Read& read) { return *read.epochs.front().error; };
  const auto honest = first(read_back(made_of(scenario_text("400", "", day + network(""))).bytes));
  CHECK(*honest.semi_major_m == 0.04);
  CHECK(*honest.semi_minor_m == 0.03);
  CHECK(*honest.orientation_deg == 0);
  CHECK(*honest.sigma_altitude_m == 0.05);
  const auto half = first(read_back(made_of(scenario_text("400", "", day + network("claim_scale = 0.5"))).bytes));
  CHECK(*half.semi_major_m == 0.02);
  const auto fixed_claim = first(read_back(
      made_of(scenario_text("400", "", day + network("claim_m = { east = 0.014, north = 0.014, up = 0.02 }"))).bytes));
  CHECK(*fixed_claim.sigma_longitude_m == 0.014);

  const Read slow =
      read_back(made_of(scenario_text("400", "", day + network("converge_factor = 11\nconverge_s = 20"))).bytes);
  const auto claim = [&](std::size_t i) { return *slow.epochs[i].error->semi_major_m; };
  // 1 + 10 exp(-(i + 1)/20): after 20 s 4.68 times, after 200 s none is left.
  CHECK(claim(19) == doctest::Approx(0.04 * (1 + 10 * std::exp(-1.0))).epsilon(0.01));
  CHECK(claim(399) == doctest::Approx(0.04).epsilon(0.01));
}

TEST_CASE("a shipped scenario gives the same log and truth with every compiler") {
  // Kept digests of log and truth together: GCC 12 and clang 14, optimised and not, must print the same.
  std::ifstream kept(std::string(STILLPOINT_TEST_DATA) + "/simulate/digests.txt");
  int scenarios = 0;
  for (std::string sha256, file; kept >> sha256 >> file; ++scenarios) {
    CAPTURE(file);
    std::ifstream in(std::string(STILLPOINT_REPLAY_LOGS) + "/" + file, std::ios::binary);
    std::ostringstream text;
    text << in.rdbuf();
    auto parsed = simulate::parse_scenario(text.str(), file);
    REQUIRE(parsed.errors.empty());
    auto simulation = simulate::Simulation::open(std::move(parsed.scenario));
    REQUIRE(simulation.has_value());
    std::string log;
    std::vector<simulate::TrueEpoch> epochs;
    simulate::Burst burst;
    while (simulation->next(burst)) {
      simulate::append_log(burst, simulation->scenario().start_by_computer(), log);
      epochs.push_back(simulation->truth());
    }
    CHECK(sha256_hex(log + simulate::truth_json(*simulation, epochs)) == sha256);
  }
  CHECK(scenarios == 20);
}

TEST_CASE("another seed gives other bytes, the same seed the same") {
  const std::string text = scenario_text("30", "", stand("VM-11", 0, 30) + use(0, "sbas"));
  std::string other = text;
  other.replace(other.find("seed = 5"), 8, "seed = 6");
  CHECK(made_of(text).bytes == made_of(text).bytes);
  CHECK(made_of(text).bytes != made_of(other).bytes);
}
