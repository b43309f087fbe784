// The parts of the link to a caster that need no caster: who may write, which position may be sent, which login is read.

#include <doctest/doctest.h>
#include <sys/stat.h>

#include "feeds/latest_position.hpp"
#include "feeds/login_file.hpp"
#include "feeds/receiver_writer.hpp"
#include "pointbook/samples.hpp"
#include "support/nmea_text.hpp"

namespace stillpoint {
namespace {

using daemon::LatestPosition;
using daemon::MachineTime;
using daemon::ReceiverWriter;

TEST_CASE("a program writes to the receiver before the caster has, and again ten seconds after its last byte") {
  ReceiverWriter writer;
  CHECK(writer.may_program_write(MachineTime{0}));
  writer.caster_writes(MachineTime{1000});
  CHECK_FALSE(writer.may_program_write(MachineTime{1000}));
  CHECK_FALSE(writer.may_program_write(MachineTime{10'999}));
  CHECK(writer.may_program_write(MachineTime{11'000}));
  writer.caster_writes(MachineTime{20'000});
  CHECK_FALSE(writer.may_program_write(MachineTime{20'001}));
}

std::string gga(const char* quality) {
  return support::sentence(std::string("GNGGA,140000.00,4736.0000000,N,08724.0000000,W,") + quality +
                           ",14,0.7,184.500,M,-36.200,M,0.8,0417");
}

TEST_CASE("the newest position is sent as it came, without its line end, for five seconds") {
  LatestPosition position;
  CHECK(position.fresh(MachineTime{0}).empty());
  const std::string sentence = gga("4");
  position.hear(sentence.substr(0, 30), MachineTime{900});
  CHECK(position.fresh(MachineTime{900}).empty());
  position.hear(sentence.substr(30), MachineTime{1000});
  CHECK(position.fresh(MachineTime{6000}) == sentence.substr(0, sentence.size() - 2));
  CHECK(position.fresh(MachineTime{6001}).empty());
}

TEST_CASE("a position that nobody measured is never sent, nor is the one before it") {
  for (const char* quality : {"0", "6", "7", "8"}) {
    CAPTURE(quality);
    LatestPosition position;
    position.hear(gga("4"), MachineTime{0});
    position.hear(gga(quality), MachineTime{1});
    CHECK(position.fresh(MachineTime{2}).empty());
  }
  LatestPosition damaged;
  std::string sentence = gga("4");
  sentence[20] = '9';
  damaged.hear(sentence, MachineTime{0});
  CHECK(damaged.fresh(MachineTime{0}).empty());
}

TEST_CASE("a login has two lines, and no sentence about it says what stands in them") {
  struct Row {
    const char* name;
    const char* text;
    mode_t mode;
    bool is_read;
  };
  for (const Row& row :
       {Row{"two lines", "crew\nsecret word\n", 0600, true},
        Row{"without the last line end", "crew\nsecret word", 0400, true},
        Row{"made elsewhere", "crew\r\nsecret word\r\n", 0600, true}, Row{"no password at all", "crew\n", 0600, true},
        Row{"a third line", "crew\nsecret word\nmore\n", 0600, false}, Row{"nothing", "", 0600, false},
        Row{"read by the group", "crew\nsecret word\n", 0640, false},
        Row{"read by all", "crew\nsecret word\n", 0604, false},
        Row{"written by all", "crew\nsecret word\n", 0602, false}}) {
    CAPTURE(row.name);
    const samples::Folder folder;
    const std::string path = folder.file("login");
    samples::write_file(path, row.text);
    REQUIRE(::chmod(path.c_str(), row.mode) == 0);
    const auto login = daemon::read_login(path);
    REQUIRE(login.has_value() == row.is_read);
    if (login) {
      CHECK(login->user == "crew");
      CHECK(login->password == (std::string(row.text) == "crew\n" ? "" : "secret word"));
    } else {
      CHECK(login.error().text.find(path) != std::string::npos);
      CHECK(login.error().text.find("secret") == std::string::npos);
    }
  }
  CHECK_FALSE(daemon::read_login("/nowhere/login").has_value());
}

}  // namespace
}  // namespace stillpoint
