// Records of a source table as RTCM 10410.1 has them, from memory.

#include "ntrip/source_table.hpp"

#include <doctest/doctest.h>

#include <string>

namespace stillpoint::ntrip {
namespace {

TEST_CASE("a stream has its name, format, position and what it asks of the client") {
  const SourceTable table = source_table_of(
      "CAS;caster.example;2101;Vellin;Vellin County;0;XVC;45.10;-86.60;0.0.0.0;0;misc\r\n"
      "NET;VCN;Vellin County;B;N;http://x;none;x@y;none\r\n"
      "STR;VELLIN0;Harrowfen;RTCM 3.2;1005(10),1077(1);2;GPS+GLO;VCN;XVC;45.10;-86.60;0;0;none;none;N;N;9600;\r\n"
      "STR;VELLINN;Vellin County;RTCM 3.2;1006(10);2;GPS;VCN;XVC;45.10;273.40;1;1;none;none;B;Y;9600;misc\n"
      "STR;SHORT\n"
      "ENDSOURCETABLE\r\n");
  REQUIRE(table.mounts.size() == 3);
  CHECK(table.left_out == 0);
  const Mount& base = table.mounts[0];
  CHECK(base.name == "VELLIN0");
  CHECK(base.place == "Harrowfen");
  CHECK(base.format == "RTCM 3.2");
  CHECK(base.details == "1005(10),1077(1)");
  CHECK(base.systems == "GPS+GLO");
  CHECK(base.network == "VCN");
  CHECK(base.country == "XVC");
  CHECK(base.latitude_deg == 45.10);
  CHECK(base.longitude_deg == -86.60);
  CHECK_FALSE(base.wants_position);
  CHECK_FALSE(base.is_network);
  CHECK_FALSE(base.wants_login);
  const Mount& network = table.mounts[1];
  CHECK(network.longitude_deg == doctest::Approx(-86.60));
  CHECK(network.wants_position);
  CHECK(network.is_network);
  CHECK(network.wants_login);
  CHECK(table.mounts[2].name == "SHORT");
  CHECK_FALSE(table.mounts[2].latitude_deg.has_value());
}

TEST_CASE("a position that is none stays empty") {
  for (const char* place : {"0.00;0.00", "91;10", "45;361", "45;", ";10", "north;10", "nan;10", "45;1e3"}) {
    CAPTURE(place);
    const SourceTable table = source_table_of("STR;A;b;c;d;2;GPS;N;C;" + std::string(place) + ";0;0;g;none;N;N;1;\n");
    REQUIRE(table.mounts.size() == 1);
    CHECK_FALSE(table.mounts[0].latitude_deg.has_value());
    CHECK_FALSE(table.mounts[0].longitude_deg.has_value());
  }
}

TEST_CASE("a stream whose name cannot be read is left out, and a text that cannot be read is empty") {
  const SourceTable table = source_table_of("STR;;b\nSTR;A\x1b[2J;b\nSTR;caf\xe9;b\nSTR;" + std::string(200, 'A') +
                                            ";b\nSTR;GOOD;b\xe2\x80\xae;RTCM 3\nSTRANGE;A\n");
  REQUIRE(table.mounts.size() == 1);
  CHECK(table.left_out == 4);
  CHECK(table.mounts[0].name == "GOOD");
  CHECK(table.mounts[0].place.empty());
  CHECK(table.mounts[0].format == "RTCM 3");
}

TEST_CASE("a table is read up to so many streams") {
  std::string text;
  for (std::size_t i = 0; i < kMostMounts + 3; ++i) text += "STR;M" + std::to_string(i) + "\n";
  const SourceTable table = source_table_of(text);
  CHECK(table.mounts.size() == kMostMounts);
  CHECK(table.left_out == 3);
}

}  // namespace
}  // namespace stillpoint::ntrip
