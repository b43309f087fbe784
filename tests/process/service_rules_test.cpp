// What the installed unit lets the daemon reach, by the rules of systemd.resource-control(5).

#include "preflight/service_rules.hpp"

#include <doctest/doctest.h>

#include <filesystem>

#include "pointbook/samples.hpp"

namespace stillpoint {
namespace {

using daemon::installed_unit;
using daemon::lets_out;
using daemon::LetsOut;

std::string packaged() {
  return samples::read_file(std::string(STILLPOINT_TEST_DATA) + "/../daemon/service/stillpointd.service");
}

TEST_CASE("the unit as it is packaged lets nobody out but to this machine and private networks") {
  for (const char* host : {"203.0.113.7", "2001:db8::7", "caster.example"}) {
    CAPTURE(host);
    CHECK(lets_out(packaged(), host) == LetsOut::no);
  }
  for (const char* host : {"127.0.0.1", "::1", "localhost", "192.168.42.7", "10.1.2.3", "172.31.0.1", "fd00::7"}) {
    CAPTURE(host);
    CHECK(lets_out(packaged(), host) == LetsOut::yes);
  }
  CHECK(lets_out(packaged(), "172.32.0.1") == LetsOut::no);
}

TEST_CASE("a drop-in that names the caster's address lets it out to that one, and to no other") {
  const std::string unit = packaged() + "\n[Service]\nIPAddressAllow=203.0.113.0/24 2001:db8::7\n";
  CHECK(lets_out(unit, "203.0.113.7") == LetsOut::yes);
  CHECK(lets_out(unit, "203.0.114.7") == LetsOut::no);
  CHECK(lets_out(unit, "2001:db8::7") == LetsOut::yes);
  CHECK(lets_out(unit, "2001:db8::8") == LetsOut::no);
  CHECK(lets_out(unit, "caster.example") == LetsOut::unknown);
  CHECK(lets_out(packaged() + "\nIPAddressAllow=any\n", "caster.example") == LetsOut::yes);
  CHECK(lets_out(packaged() + "\nIPAddressDeny=\n", "203.0.113.7") == LetsOut::yes);
  CHECK(lets_out("[Service]\n", "203.0.113.7") == LetsOut::yes);
}

TEST_CASE("drop-ins are read after the unit in the order of their names, and the first folder's goes for its name") {
  const samples::Folder folder;
  namespace fs = std::filesystem;
  for (const char* place : {"a", "b"}) fs::create_directories(folder.file(place) + "/stillpointd.service.d");
  const auto write = [&](const std::string& name, const std::string& text) {
    samples::write_file(folder.file(name), text);
  };
  CHECK(installed_unit({folder.file("a"), folder.file("b")}).empty());
  write("b/stillpointd.service", "unit");
  write("b/stillpointd.service.d/20.conf", "late");
  write("b/stillpointd.service.d/10.conf", "hidden");
  write("a/stillpointd.service.d/10.conf", "early");
  write("a/stillpointd.service.d/note.txt", "no drop-in");
  CHECK(installed_unit({folder.file("a"), folder.file("b")}) == "unit\nearly\nlate");
}

}  // namespace
}  // namespace stillpoint
