#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "config/load.hpp"
#include "setup/course.hpp"
#include "support/nmea_text.hpp"

using namespace stillpoint;
using setup::Course;
using setup::Wants;

namespace {

const std::string kPath = "day.toml";

setup::Heard ten_seconds() {
  setup::Listening listening;
  for (int t = 0; t < 10; ++t) {
    support::Second second;
    second.t_s = t;
    listening.push(second.text(), SteadyTime{t * 1000});
  }
  listening.finish();
  return listening.heard();
}

Course::Around around(std::vector<std::string> devices = {}) {
  return {std::move(devices), "America/Detroit", kPath, {}};
}

/// Types the answers and brings what is wanted in between; the last refusal.
std::string lead(Course& course, const std::vector<std::string>& answers) {
  for (const std::string& answer : answers) {
    REQUIRE(course.wants() == Wants::answer);
    if (const auto taken = course.answer(answer); !taken) return taken.error().text;
    if (course.wants() == Wants::hearing) course.hear(ten_seconds(), course.answers().link);
  }
  return {};
}

const std::vector<std::string> kNetwork{
    "192.168.42.1:9001",           "Harrowfen", "A",       "network", "0.05 m", "EPSG:6319", "", "EPSG:6319", "2010.0",
    "operator's page, 2026-05-02", "none",      "2.000 m", "95 mm",   ""};

// Invented streams; the form of a record STR is that of RTCM 10410.1, from memory.
ntrip::SourceTable table() {
  const auto row = [](const char* name, const char* latitude, const char* longitude, const char* position,
                      const char* login) {
    return std::string("STR;") + name + ";Vellin;RTCM 3.2;1005(10);2;GPS;VELLIN;USA;" + latitude + ";" + longitude +
           ";" + position + ";0;x;none;" + login + ";N;4800;\r\n";
  };
  return ntrip::source_table_of(row("FAR", "46.0", "-87.4", "0", "N") + row("NEAR", "47.61", "-87.4", "0", "N") +
                                row("MADE", "47.0", "-87.4", "1", "B") + "ENDSOURCETABLE\r\n");
}

std::string errors_of(const std::string& toml) {
  std::string out;
  for (const Error& error : config::parse(toml, kPath).errors) out += error.text + "\n";
  return out;
}

}  // namespace

TEST_CASE("the course asks fourteen questions from the receiver to the end, then for the file, then to write") {
  Course course(around());
  CHECK(lead(course, kNetwork) == "");
  CHECK(kNetwork.size() == 14);
  CHECK(course.wants() == Wants::file);
  course.find(std::nullopt);
  CHECK(course.wants() == Wants::writing);
  CHECK(errors_of(course.text()) == "");
  CHECK(course.day().size() == 3);
}

// 1,780,000,000 s is a day of 2026 (date -u -d @1780000000).
TEST_CASE(
    "a receiver without a date is offered the frames of the machine's day, and the day is said to count nothing") {
  setup::Listening listening;
  for (int t = 0; t < 10; ++t) {
    support::Second second;
    second.t_s = t;
    second.rmc = false;
    listening.push(second.text(), SteadyTime{t * 1000});
  }
  listening.finish();
  Course::Around here = around();
  here.today = UtcTime{1'780'000'000'000};
  Course course(here);
  REQUIRE(course.answer("192.168.42.1:9001").has_value());
  course.hear(listening.heard(), course.answers().link);
  CHECK(course.known().frames.size() > 3);
  CHECK(course.day()[1].find("no second counts") != std::string::npos);
}

TEST_CASE("a device is chosen by its number, and the one there is is known without asking") {
  Course one(around({"/dev/ttyACM0"}));
  CHECK(one.question().is_known);
  CHECK(one.answer("").has_value());
  CHECK(one.answers().link.device == "/dev/ttyACM0");
  Course two(around({"/dev/ttyACM0", "/dev/rfcomm0"}));
  CHECK_FALSE(two.question().is_known);
  CHECK_FALSE(two.answer("3").has_value());
  CHECK(two.answer("2").has_value());
  CHECK(two.answers().link.device == "/dev/rfcomm0");
}

TEST_CASE("a silent receiver is gone on without, or asked for again") {
  for (const bool goes_on : {true, false}) {
    CAPTURE(goes_on);
    Course course(around());
    REQUIRE(course.answer("192.168.42.1:9001").has_value());
    course.hear(setup::Heard{}, course.answers().link);
    CHECK(course.question().id == "silent");
    CHECK_FALSE(course.answer("perhaps").has_value());
    CHECK(course.answer(goes_on ? "yes" : "no").has_value());
    CHECK(course.question().id == (goes_on ? "project" : "receiver"));
  }
  Course course(around());
  REQUIRE(course.answer("192.168.42.1:9001").has_value());
  CHECK(course.hear(fail("192.168.42.1:9001 does not answer."), {}) ==
        std::vector<std::string>{"192.168.42.1:9001 does not answer."});
  CHECK(course.question().id == "receiver");
}

TEST_CASE("back leads from every question to the receiver, and the same answers give the same bytes") {
  Course straight(around()), other(around());
  REQUIRE(lead(straight, kNetwork) == "");
  REQUIRE(lead(other, {kNetwork.begin(), kNetwork.end() - 1}) == "");
  std::size_t steps = 0;
  while (other.question().id != "receiver" && ++steps < 50) other.back();
  CHECK(steps == 13);
  REQUIRE(lead(other, kNetwork) == "");
  CHECK(other.text() == straight.text());
}

TEST_CASE("everything may be unknown: the course comes to its end, and no day can begin with it") {
  Course course(around());
  std::size_t asked = 0;
  for (; course.wants() == Wants::answer; ++asked) {
    CAPTURE(course.question().id);
    const auto taken = course.answer("?");
    REQUIRE(taken.has_value());
    CHECK_FALSE(taken->empty());
  }
  CHECK(asked == 11);  // satellites: nothing of a network
  CHECK(errors_of(course.text()).find("device is still open") != std::string::npos);
}

TEST_CASE("what an existing configuration would lose is said before it is written over") {
  struct Row {
    const char *name, *old, *said;
  };
  for (const Row& row :
       {Row{"keys", "[project]\nname = \"old\"\n[relay]\nlisten = \"127.0.0.1:28101\"\n",
            "It would lose: relay, relay.listen."},
        Row{"no key", "[project]\nname = \"old\"\n", "It would lose: no key, but the values of today."},
        Row{"no configuration", "[project\n", "It would lose: all of it, which cannot be read as a configuration."}}) {
    CAPTURE(row.name);
    for (const bool yes : {true, false}) {
      Course course(around());
      REQUIRE(lead(course, kNetwork) == "");
      course.find(row.old);
      CHECK(course.question().hints.front() == row.said);
      CHECK(course.question().proposed.empty());
      REQUIRE(course.answer(yes ? "yes" : "no").has_value());
      CHECK(course.wants() == (yes ? Wants::writing : Wants::nothing));
    }
  }
}

TEST_CASE("a caster's streams are offered nearest first, and what each wants is asked for") {
  Course course(around());
  REQUIRE(lead(course, {kNetwork[0], "Harrowfen", "A"}) == "");
  REQUIRE(course.answer("both caster.example.org:2101").has_value());
  CHECK(course.wants() == Wants::mounts);
  course.know_mounts(table());
  const auto question = course.question();
  REQUIRE(question.choices.size() == 3);
  CHECK(question.choices[0].label == "NEAR");
  CHECK(
      question.choices[0].line.starts_with("1.1 km"));  // 0.01 degrees of latitude, 1.11 km on any sphere of the Earth
  CHECK(question.choices[1].label == "MADE");
  CHECK_FALSE(course.answer("near").has_value());
  REQUIRE(course.answer("MADE").has_value());
  CHECK(course.question().proposed.empty());  // it wants a login
  REQUIRE(course.answer("login").has_value());
  CHECK(course.question().id == "position");
  CHECK(course.question().proposed.empty());  // consent is never proposed
  REQUIRE(course.answer("yes").has_value());
  CHECK(lead(course, {kNetwork.begin() + 4, kNetwork.end()}) == "");
  const auto loaded = config::parse(course.text(), kPath);
  CHECK(errors_of(course.text()) == "");
  CHECK(loaded.settings.corrections.host == "caster.example.org");
  CHECK(loaded.settings.corrections.mount == "MADE");
  CHECK(loaded.settings.corrections.send_position);
  CHECK(loaded.settings.sources.size() == 2);
}

TEST_CASE("without the table any stream can be named, and no position leaves the machine") {
  Course course(around());
  REQUIRE(lead(course, {kNetwork[0], "Harrowfen", "A", "caster.example.org:2102 tls"}) == "");
  course.know_mounts(std::nullopt);
  CHECK_FALSE(course.answer("two words").has_value());
  REQUIRE(lead(course, {"VELLIN", "none"}) == "");
  CHECK(course.question().id == "wanted");
  CHECK(lead(course, {kNetwork.begin() + 4, kNetwork.end()}) == "");
  const auto corrections = config::parse(course.text(), kPath).settings.corrections;
  CHECK(errors_of(course.text()) == "");
  CHECK(corrections.tls);
  CHECK_FALSE(corrections.send_position);
  CHECK(corrections.credentials.empty());
}

TEST_CASE("given answers by their ids give the bytes of the same answers typed, and what is not given stays open") {
  const std::string text =
      "# of the office\nreceiver = 192.168.42.1:9001\nproject=Harrowfen\ncrew = A\n\nwanted = 0.05 m\nframe = "
      "EPSG:6319\n"
      "heights = ellipsoid\nnetwork-frame = EPSG:6319\nnetwork-epoch = 2010.0\nevidence = operator's page, 2026-05-02\n"
      "marks = none\npole = 2.000 m\nadapter = 95 mm\n";
  const auto given = setup::given_answers(text, "answers");
  REQUIRE(given.has_value());
  Course typed(around()), written(around());
  REQUIRE(lead(typed, kNetwork) == "");
  REQUIRE(answer_all(written, *given).has_value());
  REQUIRE(written.wants() == Wants::hearing);
  written.hear(ten_seconds(), written.answers().link);
  REQUIRE(answer_all(written, *given).has_value());
  CHECK(written.text() == typed.text());  // corrections were heard, zone and unit are the machine's
  Course open(around());
  REQUIRE(answer_all(open, {{"receiver", "192.168.42.1:9001"}}).has_value());
  open.hear(ten_seconds(), open.answers().link);
  REQUIRE(answer_all(open, {}).has_value());
  CHECK(open.wants() == Wants::file);
  const std::string errors = errors_of(open.text());
  for (const char* key : {"project.frame is still open", "coordinate_epoch is still open", "evidence is still open"}) {
    CAPTURE(key);
    CHECK(errors.find(key) != std::string::npos);
  }
}

TEST_CASE("an answers file that cannot be meant is refused with its line or its word") {
  struct Row {
    const char *text, *helps;
  };
  for (const Row& row :
       {Row{"pole 2.000 m\n", "Line 1 of answers is no answer"}, Row{"\npole_m = 2\n", "no question \"pole_m\""}}) {
    CAPTURE(row.text);
    const auto given = setup::given_answers(row.text, "answers");
    REQUIRE_FALSE(given.has_value());
    CHECK(given.error().text.find(row.helps) != std::string::npos);
  }
  Course course(around());
  const auto done = answer_all(course, {{"receiver", "/dev/ttyACM0 9"}});
  REQUIRE_FALSE(done.has_value());
  CHECK(done.error().text ==
        "receiver: A baud rate of 9 cannot be: give one from 300 to 4000000, or none, and it is found.");
}
