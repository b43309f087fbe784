// A scenario's mistakes are told with line, key, value and what to give instead.

#include <algorithm>
#include <string>

#include "simulate/support.hpp"

using namespace stillpoint;
using test::scenario_text;

namespace {

const std::string kRest = R"(
[[stand]]
mark = "VM-11"
from_s = 0
to_s = 60
antenna_height_m = 1.871
[[use]]
at_s = 0
source = "network"
)";

}  // namespace

TEST_CASE("a scenario without mistakes is read whole") {
  const auto s = test::scenario_of(scenario_text("60", "rate_hz = 5\nevery = { GSV = 10 }", kRest));
  CHECK(s.marks.size() == 2);
  CHECK(s.find_mark("VM-11")->known);
  CHECK(s.find_mark("CUL-1")->wanted);
  CHECK(s.sources[1].quality == Quality::sbas);
  CHECK(s.sources[1].errors.tau_s.up == 150);
  CHECK(s.receiver.every.front().epochs == 10);
  CHECK(to_text(s.utc_at(61.5)) == "2026-06-03T14:01:01.500Z");
}

TEST_CASE("what is wrong is said in one sentence each") {
  struct Row {
    const char* name;
    std::string receiver, more, expected;
  };
  const std::string stand = "[[stand]]\nmark = \"VM-11\"\nfrom_s = 0\nto_s = 60\nantenna_height_m = 1.8\n";
  const std::string use = "[[use]]\nat_s = 0\nsource = \"network\"\n";
  const Row rows[] = {
      {"an unknown key has a suggestion", "rate_hzz = 1", kRest,
       "trial.toml, line 8: receiver.rate_hzz is 1, but there is no such key; did you mean rate_hz?"},
      {"a rate out of range", "rate_hz = 50", kRest, "receiver.rate_hz is 50, give a number from 0.1 to 20 Hz"},
      {"a sentence nobody writes", "sentences = [\"GGA\", \"GLL\"]", kRest,
       "receiver.sentences holds \"GLL\", give sentence of \"GGA\""},
      {"a stand on no mark", "", "[[stand]]\nmark = \"X\"\nfrom_s=0\nto_s=1\nantenna_height_m=1\n" + use,
       "stand 1: mark is \"X\", give the name of a mark; there are VM-11, CUL-1"},
      {"a stand without end", "", "[[stand]]\nmark = \"VM-11\"\nfrom_s=0\nantenna_height_m=1\n" + use,
       "stand 1: to_s is missing, give a number from 0 to 86400 s"},
      {"a span that ends before it starts", "", kRest + "[[fault]]\nkind = \"outage\"\nfrom_s = 30\nto_s = 20\n",
       "fault 1: to_s is not after from_s"},
      {"stands that overlap", "",
       stand + "[[stand]]\nmark = \"CUL-1\"\nfrom_s = 50\nto_s = 70\nantenna_height_m = 1.8\n" + use,
       "stand number 2 begins before the one before it has ended"},
      {"a fault that does not exist", "", kRest + "[[fault]]\nkind = \"meteor\"\n",
       "fault 1: kind is \"meteor\", give \"outage\""},
      {"a false fix without its offset", "", kRest + "[[fault]]\nkind = \"false-fix\"\n",
       "fault 1: offset_m is missing"},
      {"a source used but not defined", "", stand + "[[use]]\nat_s = 0\nsource = \"base\"\n",
       "use 1: source is \"base\", give the name of a source, or \"none\"; there are network, sbas, none"},
      {"tails without a variance", "", kRest + "[[source]]\nname = \"x\"\nquality = \"sbas\"\ntail_freedom = 2\n",
       "source \"x\": tail_freedom is below 3"},
      {"an action without a name", "", kRest + "[[crew]]\nname = \"a\"\nactions = [ { at_s = 1, do = \"begin\" } ]\n",
       "crew \"a\": actions: name is missing"},
      {"an answer about an unknown mark", "",
       kRest + "[[hazard]]\nid=\"h\"\nwhat=\"w\"\nmove=\"m\"\nfrom_s=0\nto_s=5\nmark=\"Z\"\nright=\"again\"\n",
       "hazard \"h\": mark is \"Z\""},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const auto parsed = simulate::parse_scenario(scenario_text("60", row.receiver, row.more), "trial.toml");
    std::string all;
    for (const Error& error : parsed.errors) all += error.text + "\n";
    CAPTURE(all);
    CHECK(all.find(row.expected) != std::string::npos);
  }
}

// The geoid lies at most some 110 m from the ellipsoid (EGM2008, from memory), so 200 m leave room on both sides.
TEST_CASE("the separation of the geoid is taken from -200 m to 200 m, both ends too") {
  for (const double separation_m : {-200.0, 0.0, 200.0}) {
    CAPTURE(separation_m);
    const auto s = test::scenario_of(scenario_text("60", "separation_m = " + std::to_string(separation_m), kRest));
    CHECK(s.receiver.separation_m == separation_m);
  }
  for (const char* separation : {"-200.1", "200.1"}) {
    CAPTURE(separation);
    const auto parsed =
        simulate::parse_scenario(scenario_text("60", std::string("separation_m = ") + separation, kRest), "trial.toml");
    REQUIRE(parsed.errors.size() == 1);
    CHECK(parsed.errors.front().text.find("give a number from -200 to 200 m") != std::string::npos);
  }
}

TEST_CASE("every fault and right move of the help can be written") {
  const std::string help = simulate::scenario_help();
  for (int i = 0; i <= static_cast<int>(simulate::FaultKind::other_base); ++i) {
    const std::string word(to_word(static_cast<simulate::FaultKind>(i)));
    CAPTURE(word);
    CHECK(help.find(word) != std::string::npos);
  }
}
