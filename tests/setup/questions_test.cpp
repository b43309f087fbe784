#include <doctest/doctest.h>

#include <cmath>
#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "config/load.hpp"
#include "setup/questions.hpp"
#include "setup/typed.hpp"
#include "support/nmea_text.hpp"

using namespace stillpoint;
using setup::Known;
using setup::Questions;

namespace {

/// A receiver that is listened to for ten seconds.
setup::Heard heard(const std::function<void(support::Second&)>& change = {}) {
  setup::Listening listening;
  for (int t = 0; t < 10; ++t) {
    support::Second second;
    second.t_s = t;
    if (change) change(second);
    listening.push(second.text(), SteadyTime{t * 1000});
  }
  listening.finish();
  return listening.heard();
}

Known known(const std::function<void(support::Second&)>& change = {}) {
  Known out;
  out.heard = heard(change);
  geodesy::FrameHere national, global;
  national.code = "EPSG:6319";
  national.name = "NAD83(2011)";
  global.code = "EPSG:9989";
  global.name = "ITRF2020";
  national.shift = geodesy::Enu{1.1, -0.7, 0.9};
  global.global = true;
  global.shift = geodesy::Enu{};
  out.frames = {national, global};
  out.zone = "America/Detroit";
  return out;
}

setup::Link tcp() {
  return *setup::link_of("192.168.42.1:9001");
}

/// Answers everything; the last error, if one was refused.
std::string answered(Questions& questions, const std::vector<std::string>& answers) {
  for (const std::string& answer : answers) {
    REQUIRE_FALSE(questions.is_over());
    if (const auto taken = questions.answer(answer); !taken) return taken.error().text;
  }
  return {};
}

std::string errors_of(const std::string& toml) {
  std::string out;
  for (const Error& error : config::parse(toml, "day.toml").errors) out += error.text + "\n";
  return out;
}

// In the order of the questions, wanted error 3, frame 4, network's frame 6, epoch 7, evidence 8, marks 9, pole 10.
const std::vector<std::string> kBoth{
    "Harrowfen", "A",       "both",  "0.05 m", "", "", "1", "2010.0", "operator's page, 2026-05-02",
    "marks.csv", "2.000 m", "95 mm", ""};

}  // namespace

TEST_CASE("the answers give a configuration without errors, and each value says where it comes from") {
  const Known here = known();
  Questions questions(here, tcp());
  CHECK(answered(questions, kBoth) == "");
  CHECK(questions.is_over());
  const std::string toml = draft(questions.answers(), here.heard);
  CAPTURE(toml);
  CHECK(errors_of(toml) == "");
  const auto settings = config::parse(toml, "day.toml").settings;
  CHECK(settings.project.frame == "EPSG:6319");
  CHECK(settings.project.local_time == "America/Detroit");
  REQUIRE(settings.sources.size() == 2);
  CHECK(settings.sources[0].frame == "EPSG:6319");
  CHECK(settings.sources[0].coordinate_epoch == 2010.0);
  CHECK(settings.sources[1].frame == "EPSG:9989");
  for (const char* from : {"# heard", "# asked", "# default of the trade", "# asked: what people read"}) {
    CHECK(toml.find(from) != std::string::npos);
  }
  std::size_t values = 0;
  for (std::size_t at = toml.find(" = "); at != std::string::npos;
       at = toml.find('\n', at), at = toml.find(" = ", at)) {
    const std::string line = toml.substr(at, toml.find('\n', at) - at);
    CAPTURE(line);
    CHECK(line.find("# ") != std::string::npos);
    ++values;
  }
  CHECK(values > 40);
}

// A 2.000 m pole and 0.095 m to the antenna's measuring point make 2.095 m: common practice, no source.
TEST_CASE("the pole and the antenna's own offset are kept apart and add up") {
  const Known here = known();
  Questions questions(here, tcp());
  answered(questions, kBoth);
  const auto parts =
      config::parse(draft(questions.answers(), here.heard), "day.toml").settings.antenna.vertical_parts_m;
  double sum = 0;
  for (const auto& part : parts) sum += part.second;
  CHECK(sum == doctest::Approx(2.095).epsilon(1e-12));
}

TEST_CASE("six receivers need at most thirteen questions beside the link, and no edited file") {
  struct Row {
    const char* name;
    std::function<void(support::Second&)> change;
    const char* corrections;
    std::size_t questions;
  };
  for (const Row& row : {
           Row{"a network's rover", {}, "network", 13},
           Row{"satellites only",
               [](support::Second& s) {
                 s.quality = 9;
                 s.station = "0131";
               },
               "satellites", 10},
           Row{"both",
               [](support::Second& s) {
                 s.quality = s.t_s < 5 ? 4 : 2;
                 s.station = s.t_s < 5 ? "0417" : "0131";
               },
               "both", 13},
           Row{"no GST", [](support::Second& s) { s.gst = false; }, "network", 13},
           Row{"no date", [](support::Second& s) { s.rmc = false; }, "network", 13},
           Row{"blank ages and stations",
               [](support::Second& s) {
                 s.quality = 2;
                 s.age = "";
                 s.station = "";
               },
               "satellites", 10},
       }) {
    CAPTURE(row.name);
    const Known here = known(row.change);
    Questions questions(here, tcp());
    std::size_t asked = 0;
    while (!questions.is_over()) {
      const setup::Question question = questions.question();
      CAPTURE(question.ask);
      if (asked == 2) CHECK(question.proposed == row.corrections);
      const std::vector<std::string> typed{"Harrowfen", "A"};
      std::string answer = asked < typed.size() ? typed[asked] : question.proposed;
      if (answer.empty())
        answer = question.ask.find("epoch") != std::string::npos ? "2010.0" : question.id == "pole" ? "2.000 m" : "1";
      if (question.ask.find("measuring point") != std::string::npos) answer = "95 mm";
      const auto taken = questions.answer(answer);
      REQUIRE_MESSAGE(taken.has_value(), taken.error().text);
      ++asked;
    }
    CHECK(asked == row.questions);
    const std::string toml = draft(questions.answers(), here.heard);
    CHECK_MESSAGE(errors_of(toml) == "", errors_of(toml), toml);
  }
}

TEST_CASE("a careless answer is stopped with the sentence that helps, and the question stays") {
  struct Row {
    const char* name;
    std::size_t question;  // counted from 0, in the order of the answers above
    const char* typed;
    const char* helps;
  };
  for (const Row& row : {
           Row{"no name", 0, "  ", "needs an answer"},
           Row{"a name that turns the writing", 0, "Harrow\u202Efen", "cannot be seen (U+202e)"},
           Row{"another word for the corrections", 2, "rtk", "Write satellites, network or both"},
           Row{"a caster with a login in it", 2, "crew:secret@caster.example.org:2101", "a login has no place there"},
           Row{"a caster without its port", 2, "both caster.example.org", "Write satellites, network or both"},
           Row{"a decimal comma", 3, "0,05", "with a point"},
           Row{"an error in the wrong unit", 3, "500", "cannot be right"},
           Row{"three errors", 3, "1 m 2 m 3 m", "more than two lengths"},
           Row{"a name in place of a code", 4, "NAD83", "EPSG:6319"},
           Row{"a number that the list does not have", 4, "7", "no 7 in the list of 2"},
           Row{"an epoch that is a date", 7, "2010-01-01", "a year such as 2010.0"},
           Row{"an epoch long ago", 7, "0", "a year such as 2010.0"},
           Row{"a pole without a number", 10, "long", "is no length"},
           Row{"feet taken for metres", 10, "16.5", "cannot be right"},
           Row{"feet without their unit", 10, "6.562", "6.562 ft if it was read in feet"},
           Row{"a pole with a comma", 10, "1,800 m", "two ways"},
           Row{"millimetres taken for metres", 11, "95", "cannot be right"},
           Row{"a zone that is none", 12, "eastern", "neither a zone nor a unit"},
       }) {
    CAPTURE(row.name);
    const Known here = known();
    Questions questions(here, tcp());
    answered(questions, {kBoth.begin(), kBoth.begin() + static_cast<std::ptrdiff_t>(row.question)});
    const std::string before = questions.question().ask;
    const auto taken = questions.answer(row.typed);
    REQUIRE_FALSE(taken.has_value());
    CHECK(taken.error().text.find(row.helps) != std::string::npos);
    CHECK(questions.question().ask == before);
  }
}

TEST_CASE("what is not known stays open, is said, and is refused by its name") {
  const Known here = known();
  Questions questions(here, tcp());
  while (!questions.is_over()) {
    CAPTURE(questions.question().ask);
    const auto taken = questions.answer("?");
    REQUIRE(taken.has_value());
    CHECK_FALSE(taken->empty());
  }
  const std::string errors = errors_of(draft(questions.answers(), here.heard));
  for (const char* name : {"project.frame is still open", "frame is still open", "coordinate_epoch is still open",
                           "evidence is still open", "pole", "adapter_to_phase_centre"}) {
    CAPTURE(name);
    CHECK(errors.find(name) != std::string::npos);
  }
}

TEST_CASE("going back asks the question before again, and questions that fell away stay away") {
  const Known here = known();
  Questions questions(here, tcp());
  questions.back();  // at the first there is none before
  CHECK(questions.number() == 1);
  answered(questions, {"Harrowfen", "A", "both"});
  questions.back();
  CHECK(questions.number() == 3);
  CHECK(answered(questions, {"satellites", "", "", ""}) == "");
  CHECK(questions.question().ask.find("marks") != std::string::npos);
  questions.back();
  CHECK(questions.question().ask.find("geoid") != std::string::npos);
}

// The international foot of 1959 is 0.3048 m exactly, the US survey foot 1200/3937 m exactly (NIST Special Publication
// 811, B.6; NGS, "The U.S. survey foot is deprecated"). The products are worked out by hand: 1200/3937 = 0.30480060960...
TEST_CASE("lengths are read with their unit, decimal feet to a tenth of a millimetre") {
  struct Row {
    const char* typed;
    double metres;
    setup::Unit unit;
  };
  for (const Row& row :
       {Row{"2", 2.0, setup::Unit::metre}, Row{" 2.000 m", 2.0, setup::Unit::metre},
        Row{"95mm", 0.095, setup::Unit::metre}, Row{"1 ft", 0.3048, setup::Unit::foot},
        Row{"6.562 ft", 2.0000976, setup::Unit::foot}, Row{"6.56 ft", 1.999488, setup::Unit::foot},
        Row{"0.02 ft", 0.006096, setup::Unit::foot}, Row{"32.8 ft", 9.99744, setup::Unit::foot},
        Row{"3937 ft-us", 1200.0, setup::Unit::survey_foot},
        Row{"6.562 ft-us", 2.00010160020, setup::Unit::survey_foot}, Row{"1000000 ft", 304800.0, setup::Unit::foot},
        Row{"1000000 ft-us", 304800.60960122, setup::Unit::survey_foot}}) {
    CAPTURE(row.typed);
    const auto length = setup::length_of(row.typed);
    REQUIRE(length.has_value());
    CHECK(std::abs(length->metres - row.metres) < 1e-7);
    CHECK(length->unit == row.unit);
  }
  for (const char* typed : {"", "m", "2 yd", "1,8", "1.8.0", "--2", "2 m 3"}) {
    CAPTURE(typed);
    CHECK_FALSE(setup::length_of(typed).has_value());
  }
}

TEST_CASE("a receiver is a device or a host with a port") {
  CHECK(setup::link_of("/dev/ttyACM0")->device == "/dev/ttyACM0");
  CHECK(setup::link_of("/dev/ttyACM0 9600")->baud == 9600);
  CHECK(setup::link_of("192.168.42.1:9001")->port == 9001);
  for (const char* typed : {"", "COM3", "192.168.42.1", ":9001", "host:0", "host:70000", "host:x", "/dev/ttyACM0 1",
                            "/dev/ttyACM0 96OO", "/dev/ttyACM0 9600 8N1"}) {
    CAPTURE(typed);
    CHECK_FALSE(setup::link_of(typed).has_value());
  }
}

// The bounds of the answers: 100 m in plan, years from 1980 (GPS time begins there, IS-GPS-200, 3.3.4) to 2100.
TEST_CASE("an answer at the bound is taken, and one beyond it is refused") {
  struct Row {
    const char* name;
    std::size_t at;  ///< place among the answers
    const char *taken, *refused;
  };
  const Row rows[] = {{"the wanted error at most", 3, "100 m", "100.1 m"},
                      {"the wanted error at least", 3, "0.002 m", "0.0019 m"},
                      {"the wanted height error at most", 3, "1 m 200 m", "1 m 200.1 m"},
                      {"the oldest coordinate epoch", 7, "1980.0", "1979.9"},
                      {"the newest coordinate epoch", 7, "2100.0", "2100.1"}};
  const Known here = known();
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Questions questions(here, tcp());
    REQUIRE(answered(questions, {kBoth.begin(), kBoth.begin() + static_cast<std::ptrdiff_t>(row.at)}) == "");
    CHECK_FALSE(questions.answer(row.refused).has_value());
    CHECK(questions.answer(row.taken).has_value());
  }
}

// A height of GNSS is commonly taken as 1.6 times as uncertain as the plan: practice, from memory. 1.6 x 0.05 m = 0.08 m.
TEST_CASE("the height's wanted error is 1.6 times that in plan unless it is given") {
  struct Row {
    const char* typed;
    double horizontal_m, vertical_m;
  };
  for (const Row& row : {Row{"0.05 m", 0.05, 0.08}, Row{"1", 1.0, 1.6}, Row{"50 mm 70 mm", 0.05, 0.07},
                         Row{"50 70 mm", 0.05, 0.07}, Row{"0.1 0.2", 0.1, 0.2}, Row{"0.1 ft", 0.03048, 0.048768}}) {
    CAPTURE(row.typed);
    const Known here = known();
    Questions questions(here, tcp());
    REQUIRE(answered(questions, {"Harrowfen", "A", "both", row.typed}) == "");
    CHECK(*questions.answers().wanted_horizontal_m == doctest::Approx(row.horizontal_m).epsilon(1e-12));
    CHECK(*questions.answers().wanted_vertical_m == doctest::Approx(row.vertical_m).epsilon(1e-12));
  }
}

TEST_CASE("the service's configuration names the folders that the service may write, any other those beside it") {
  const Known here = known();
  Questions questions(here, tcp());
  REQUIRE(answered(questions, kBoth) == "");
  struct Row {
    const char *file, *pointbook, *record, *socket;
  };
  for (const Row& row : {
           Row{"/etc/stillpoint/stillpoint.toml", "/var/lib/stillpoint/points.gpkg", "/var/lib/stillpoint/record",
               "/run/stillpoint/control"},
           Row{"day.toml", "points.gpkg", "record", nullptr},
           Row{"/home/vellin/etc/stillpoint/day.toml", "points.gpkg", "record", nullptr},
       }) {
    CAPTURE(row.file);
    const auto settings =
        config::parse(draft(questions.answers(), here.heard, setup::places_of(row.file)), "day.toml").settings;
    // Loading makes the paths absolute.
    const std::string folder = row.socket != nullptr ? "" : std::filesystem::current_path().string() + "/";
    CHECK(settings.project.pointbook == folder + row.pointbook);
    CHECK(settings.project.record == folder + row.record);
    CHECK((settings.control.socket == "/run/stillpoint/control") == (row.socket != nullptr));
  }
}

TEST_CASE("limits of dilution are written with a decimal, PDOP's only where the receiver tells it") {
  for (const bool told : {true, false}) {
    CAPTURE(told);
    const Known here = known([told](support::Second& second) { second.gsa = told; });
    Questions questions(here, tcp());
    REQUIRE(answered(questions, kBoth) == "");
    const std::string toml = draft(questions.answers(), here.heard);
    const auto written = [&toml](const std::string& key) {
      const auto at = toml.find("\n" + key + " = ");
      if (at == std::string::npos) return std::string();
      const auto from = at + key.size() + 4;
      return toml.substr(from, toml.find_first_of(" \n", from) - from);
    };
    for (const char* key : {"max_hdop", "max_pdop"}) {
      CAPTURE(key);
      const std::string value = written(key);
      if (!told && std::string(key) == "max_pdop") {
        CHECK(value.empty());
      } else {
        REQUIRE(value.size() >= 3);
        CHECK(value[value.size() - 2] == '.');
      }
    }
  }
}
