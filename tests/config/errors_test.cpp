#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "config/support.hpp"

namespace stillpoint::config::test {
namespace {

struct Row {
  const char* name;
  std::string from, to;  ///< the edit of the complete file that makes the error
  std::string expected;  ///< the one sentence, without the file's name
};

void check_rows(const std::vector<Row>& rows, const std::string& base) {
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const Loaded loaded = parse(with(base, row.from, row.to), "day.toml");
    CAPTURE(all(loaded));
    REQUIRE(loaded.errors.size() == 1);
    CHECK(loaded.errors[0].text == "day.toml, " + row.expected);
  }
}

}  // namespace

TEST_CASE("a fault of the project is named with line, key, value and what to give") {
  check_rows(
      {
          {"an unknown key", "crew    ", "crw    ",
           "line 5: project.crw is \"A\", but there is no such key; did you mean crew?"},
          {"a key of another table", "crew             = \"A\"", "max_hdop = 2",
           "line 5: project.max_hdop is 2, but there is no such key; it belongs in [source.gate]"},
          {"a key nobody could mean", "crew             = \"A\"", "zebra = []",
           "line 5: project.zebra is an empty array, but there is no such key; the keys here are name, crew, frame, "
           "coordinate_epoch, site_velocity_mm_per_year, height, geoid, pointbook, record, wanted_error95_m, "
           "archive_dates, area_looked_at, local_time, units, plan and contact"},
          {"a contact that names nobody", "crew             = \"A\"", "contact = { email = \"a@vellin.example\" }",
           "line 5: project.contact says neither name nor organisation; metadata without one of them name nobody"},
          {"a contact's address that is none", "crew             = \"A\"", "contact = { name = \"A\", email = \"me\" }",
           "line 5: project.contact.email is \"me\", give a mail address, such as \"gis@vellin.example\""},
          {"a time zone that is no name", "crew             = \"A\"", "local_time = \"../etc/passwd\"",
           "line 5: project.local_time is \"../etc/passwd\", give the name of a time zone, such as "
           "\"America/Detroit\""},
          {"units of another world", "crew             = \"A\"", "units = \"yd\"",
           "line 5: project.units is \"yd\", give \"m\", \"ft\" or \"ft-us\""},
          {"a name that is a number", "\"Harrowfen culvert inventory\"", "7",
           "line 4: project.name is 7, give the name of the project"},
          {"a name with a line break", "\"Harrowfen culvert inventory\"", "\"a\\nb\"",
           "line 4: project.name is \"a?b\", give the name of the project on one line, without tabs or other control "
           "characters"},
          {"a frame that is missing", "frame            = \"EPSG:6319\"        # NAD83", "# ",
           "line 3: project.frame is missing, give the frame every point is delivered in, such as \"EPSG:6319\""},
          {"an empty frame", "\"EPSG:6319\"        # NAD83", "\"\" #",
           "line 6: project.frame is \"\", give the frame every point is delivered in, such as \"EPSG:6319\""},
          {"an epoch that is another word", "\"observation\"      # or", "\"now\" #",
           "line 7: project.coordinate_epoch is \"now\", give a number from 1980 to 2100 (a decimal year), or "
           "\"observation\""},
          {"an epoch that is a date", "\"observation\"      # or", "2026-06-03 #",
           "line 7: project.coordinate_epoch is a date or time, give a number from 1980 to 2100 (a decimal year), or "
           "\"observation\""},
          {"an epoch before all satellites", "\"observation\"      # or", "0.0 #",
           "line 7: project.coordinate_epoch is 0.0, give a number from 1980 to 2100 (a decimal year), or "
           "\"observation\""},
          {"a numeric epoch without a velocity", "\"observation\"      # or", "2010.0 #",
           "line 7: project.coordinate_epoch is a decimal year, so site_velocity_mm_per_year is required; give it, or "
           "\"observation\""},
          {"a velocity without its height part", "# site_velocity_mm_per_year = { east = 0.0, north = 0.0, up = 0.0 }",
           "site_velocity_mm_per_year = { east = 0.0, north = 0.0 }",
           "line 8: project.site_velocity_mm_per_year.up is missing, give a number from -1000 to 1000 mm a year"},
          {"a height of another kind", "\"ellipsoid\"        # or", "\"sea level\" #",
           "line 9: project.height is \"sea level\", give \"ellipsoid\" or \"orthometric\""},
          {"orthometric heights without a geoid", "\"ellipsoid\"        # or", "\"orthometric\" #",
           "line 9: project.height is \"orthometric\", so [project.geoid] is required; give it, or \"ellipsoid\""},
          {"an area that is no name", "\"record\"           # folder for the untouched bytes",
           "\"record\"\narea_looked_at = [7]",
           "line 12: project.area_looked_at holds 7, give an array of the frames and countries whose areas were looked "
           "at, as --check names them"},
          {"a path from a home folder", "\"harrowfen.gpkg\"", "\"~/harrowfen.gpkg\"",
           "line 10: project.pointbook is \"~/harrowfen.gpkg\", but ~ is not expanded; give the whole path, or one "
           "that "
           "starts at this file's folder"},
          {"an empty path", "\"record\"           # folder", "\"\" #", "line 11: project.record is \"\", give a path"},
      },
      read_data("complete.toml"));
}

TEST_CASE("a fault of the geoid is named") {
  const std::string sound = with(
      kMinimal, "[[feed]]",
      "height = \"orthometric\"\n[project.geoid]\ngrid = \"g.tif\"\nname = \"G\"\nframe = \"EPSG:6319\"\n[[feed]]");
  check_rows(
      {
          {"no grid", "grid = \"g.tif\"\n", "",
           "line 4: project.geoid.grid is missing, give the file of the geoid grid"},
          {"no frame", "frame = \"EPSG:6319\"\n[[feed]]", "[[feed]]",
           "line 4: project.geoid.frame is missing, give the frame whose ellipsoid heights the grid is made for, such "
           "as \"EPSG:6319\""},
          {"an error that is none", "name = \"G\"", "name = \"G\"\nerror_m = -0.1",
           "line 7: project.geoid.error_m is -0.1, give a number from 0 to 10 m"},
          {"a checksum cut short", "name = \"G\"", "name = \"G\"\nsha256 = \"abc\"",
           "line 7: project.geoid.sha256 is \"abc\", give the 64 hexadecimal digits of the grid's SHA-256"},
      },
      sound);
}

TEST_CASE("a fault of a feed is named") {
  const std::string serial = "kind = \"serial\"\ndevice = \"/dev/ttyS0\"";
  const std::string tcp = "kind = \"tcp\"\nhost = \"localhost\"\nport = 9001";
  check_rows(
      {
          {"no kind", "kind = \"tcp\"\n", "",
           "line 3: feed 1: kind is missing, give \"replay\", \"serial\", \"tcp\" or \"udp\""},
          {"an unknown kind", "\"tcp\"", "\"usb\"",
           "line 4: feed 1: kind is \"usb\", give \"replay\", \"serial\", \"tcp\" or \"udp\""},
          {"no host", "host = \"localhost\"\n", "", "line 3: feed 1: host is missing, give a host name or an address"},
          {"a host with its scheme", "\"localhost\"", "\"tcp://localhost\"",
           "line 5: feed 1: host is \"tcp://localhost\", give a host name or an address alone"},
          {"port 0", "9001", "0", "line 6: feed 1: port is 0, give a whole number from 1 to 65535"},
          {"a port beyond 16 bits", "9001", "65536",
           "line 6: feed 1: port is 65536, give a whole number from 1 to 65535"},
          {"a port with a fraction", "9001", "9001.5",
           "line 6: feed 1: port is 9001.5, give a whole number from 1 to 65535"},
          {"a port as text", "9001", "\"9001\"",
           "line 6: feed 1: port is \"9001\", give a whole number from 1 to 65535"},
          {"a key of another kind", "port = 9001", "port = 9001\nbaud = 9600",
           "line 7: feed 1: baud does not belong to a feed of the kind \"tcp\", take it out"},
          {"silence that no stream could keep", "port = 9001", "port = 9001\nsilence_s = 0.4",
           "line 7: feed 1: silence_s is 0.4, give a number from 0.5 to 3600 s"},
          {"a serial feed without its device", tcp, "kind = \"serial\"",
           "line 3: feed 1: device is missing, give the device, such as \"/dev/rfcomm0\""},
          {"a device without its folder", tcp, "kind = \"serial\"\ndevice = \"ttyS0\"",
           "line 5: feed 1: device is \"ttyS0\", give the whole path, such as \"/dev/rfcomm0\""},
          {"a speed that is a word", tcp, serial + "\nbaud = \"fast\"",
           "line 6: feed 1: baud is \"fast\", give a number from 300 to 4000000 baud, or \"auto\""},
          {"a speed with a fraction", tcp, serial + "\nbaud = 9600.5",
           "line 6: feed 1: baud is not a whole number, give a whole number from 300 to 4000000 baud, or \"auto\""},
          {"a replay without its file", tcp, "kind = \"replay\"", "line 3: feed 1: file is missing, give a path"},
          {"a pace of 0", tcp, "kind = \"replay\"\nfile = \"a\"\npace = 0",
           "line 6: feed 1: pace is 0, give a number above 0 and at most 100000 times real time, or \"max\""},
          {"an endless pace", tcp, "kind = \"replay\"\nfile = \"a\"\npace = inf",
           "line 6: feed 1: pace is inf, give a number above 0 and at most 100000 times real time, or \"max\""},
          {"an address that is a name", tcp, "kind = \"udp\"\naddress = \"localhost\"\nport = 9001",
           "line 5: feed 1: address is \"localhost\", give an address in figures, such as \"127.0.0.1\""},
          {"a sender that is a name", tcp, "kind = \"udp\"\naddress = \"127.0.0.1\"\nport = 9001\nfrom = \"phone\"",
           "line 7: feed 1: from is \"phone\", give an address in figures, such as \"192.168.42.7\""},
          {"a sender for a connection", tcp, tcp + "\nfrom = \"127.0.0.1\"",
           "line 7: feed 1: from does not belong to a feed of the kind \"tcp\", take it out"},
          {"one table instead of a list", "[[feed]]", "[feed]",
           "line 3: feed is a table, give at least one table that starts with [[feed]]"},
      },
      kMinimal);
}

TEST_CASE("a fault of the antenna is named") {
  const std::string parts = "vertical_parts_m = { pole = 2.0 }";
  const std::string slant = "slant_m = { length = 1.85, radius = 0.19 }";
  check_rows(
      {
          {"neither parts nor slant", parts, "",
           "line 7: antenna.vertical_parts_m is missing, give the parts of the antenna height, or slant_m, or "
           "already_reduced_by_receiver = true"},
          {"both parts and slant", parts, parts + "\n" + slant,
           "line 9: antenna.slant_m is given beside vertical_parts_m, keep the one that was measured"},
          {"no parts at all", parts, "vertical_parts_m = {}",
           "line 8: antenna.vertical_parts_m is an empty table, give each part with its length in metres"},
          {"a negative part", "2.0", "-1.8",
           "line 8: antenna.vertical_parts_m.pole is -1.8, give a number from 0 to 30 m"},
          {"a part in millimetres", "2.0", "2000",
           "line 8: antenna.vertical_parts_m.pole is 2000, give a number from 0 to 30 m"},
          {"a part that is no number", "2.0", "nan",
           "line 8: antenna.vertical_parts_m.pole is nan, give a number from 0 to 30 m"},
          {"a slant without its radius", parts, "slant_m = { length = 1.85 }",
           "line 8: antenna.slant_m.radius is missing, give a number from 0 to 5 m"},
          {"a radius as long as the slant", parts, "slant_m = { length = 1.85, radius = 1.85 }",
           "line 8: antenna.slant_m.radius is not below the length, give the horizontal distance from the axis to the "
           "point that was measured"},
          {"a part whose name says feet", "pole = 2.0", "pole_ft = 6.562",
           "line 8: antenna.vertical_parts_m.pole_ft ends in another unit than metres, in which every part of "
           "vertical_parts_m is taken; put feet into vertical_parts_ft, and name the part without a unit"},
          {"a part whose name says millimetres", "pole = 2.0", "pole = 2.0, tip_mm = 12",
           "line 8: antenna.vertical_parts_m.tip_mm ends in another unit than metres, in which every part of "
           "vertical_parts_m is taken; put feet into vertical_parts_ft, and name the part without a unit"},
          {"a part whose name says inches", "pole = 2.0", "pole_in = 2.0",
           "line 8: antenna.vertical_parts_m.pole_in ends in another unit than metres, in which every part of "
           "vertical_parts_m is taken; put feet into vertical_parts_ft, and name the part without a unit"},
          {"a part in feet whose name says metres", parts, "vertical_parts_ft = { pole_m = 6.562 }",
           "line 8: antenna.vertical_parts_ft.pole_m ends in another unit than feet, in which every part of "
           "vertical_parts_ft is taken; put feet into vertical_parts_ft, and name the part without a unit"},
          {"one part in both units", parts, parts + "\nvertical_parts_ft = { pole = 6.562 }",
           "line 9: antenna.vertical_parts_ft.pole is in vertical_parts_m too, keep the one that was measured"},
          {"a part of a hundred feet", parts, "vertical_parts_ft = { pole = 100 }",
           "line 8: antenna.vertical_parts_ft.pole is 100, give a number from 0 to 98 ft"},
          {"feet beside a slant", parts, "vertical_parts_ft = { pole = 6.562 }\n" + slant,
           "line 9: antenna.slant_m is given beside vertical_parts_ft, keep the one that was measured"},
          {"feet taken for metres", "2.0", "6.562",
           "line 7: antenna.also_measured_ft is missing: the parts add up to 6.562 m, over 3.5 m, so give the whole "
           "height in feet as well"},
          {"a second reading of 0", parts, parts + "\nalso_measured_ft = 0",
           "line 9: antenna.also_measured_ft is 0, give a number above 0 and at most 100 ft"},
          {"a yes", parts, parts + "\nalready_reduced_by_receiver = \"no\"",
           "line 9: antenna.already_reduced_by_receiver is \"no\", give true or false"},
      },
      kMinimal);
}

TEST_CASE("a fault of a source is named with the source") {
  const std::string words = "\"differential\", \"pps\", \"rtk-fixed\", \"rtk-float\", \"sbas\"";
  const std::string station = "give a station number from 0 to 65535, a range such as \"120-158\", or \"blank\"";
  check_rows(
      {
          {"no name", "name = \"network\"\n", "", "line 9: source 1: name is missing, give a name of its own"},
          {"no match", "match = { station = [417] }\n", "",
           "line 9: source \"network\": match is missing, give a table of its own"},
          {"a match that is a text", "{ station = [417] }", "\"417\"",
           "line 11: source \"network\": match is \"417\", give a table of its own"},
          {"no evidence", "evidence = \"operator's page\"\n", "",
           "line 9: source \"network\": evidence is missing, give where the frame is known from"},
          {"no frame", "frame = \"EPSG:6319\"\ncoord", "coord",
           "line 9: source \"network\": frame is missing, give the frame its positions are in, such as \"EPSG:9989\""},
          {"no coordinate epoch", "coordinate_epoch = 2010.0\n", "",
           "line 9: source \"network\": coordinate_epoch is missing, give a number from 1980 to 2100 (a decimal year), "
           "or \"observation\""},
          {"no gate", kMinimal.substr(kMinimal.find("[source.gate]")), "",
           "line 9: source \"network\": gate is missing, give a table of its own"},
          {"any quality without a station list", "{ station = [417] }", "{}",
           "line 11: source \"network\": match matches \"differential\" (match.quality is absent, so every quality "
           "does) without match.station; list the stations of this source"},
          {"differential without a station list", "{ station = [417] }", "{ quality = [\"sbas\", \"differential\"] }",
           "line 11: source \"network\": match matches \"differential\" without match.station; list the stations of "
           "this source"},
          {"a quality nobody knows", "{ station = [417] }", "{ quality = [\"fixed\"] }",
           "line 11: source \"network\": match.quality holds \"fixed\", give one of " + words},
          {"a quality without corrections", "{ station = [417] }", "{ quality = [\"autonomous\"] }",
           "line 11: source \"network\": match.quality holds \"autonomous\", which rests on no corrections and is "
           "always refused; give one of " +
               words},
          {"a quality twice", "{ station = [417] }", "{ quality = [\"sbas\", \"sbas\"] }",
           "line 11: source \"network\": match.quality holds \"sbas\" twice, take one out"},
          {"an empty station list", "[417]", "[]",
           "line 11: source \"network\": match.station is an empty array, " + station + ", or leave the key out"},
          {"a negative station", "[417]", "[-1]",
           "line 11: source \"network\": match.station holds -1, " + station + ", the lower number first"},
          {"a range the wrong way round", "[417]", "[\"158-120\"]",
           "line 11: source \"network\": match.station holds \"158-120\", " + station + ", the lower number first"},
          {"a range without an end", "[417]", "[\"120-\"]",
           "line 11: source \"network\": match.station holds \"120-\", " + station + ", the lower number first"},
          {"a station with a blank", "[417]", "[\" 417\"]",
           "line 11: source \"network\": match.station holds \" 417\", " + station + ", the lower number first"},
          {"a station with a fraction", "[417]", "[417.0]",
           "line 11: source \"network\": match.station holds 417.0, " + station + ", the lower number first"},
          {"an error scale of 0", "[source.gate]", "error_scale = 0\n[source.gate]",
           "line 15: source \"network\": error_scale is 0, give a number above 0 and at most 100"},
          {"a margin below 1", "[source.gate]", "unproven_margin = 0.9\n[source.gate]",
           "line 15: source \"network\": unproven_margin is 0.9, give a number from 1 to 10"},
          {"evidence without a date", "[source.gate]", "error_scale_evidence = { visits = 14 }\n[source.gate]",
           "line 15: source \"network\": error_scale_evidence.until is missing, give a date such as 2026-06-03"},
          {"a date in quotes", "[source.gate]",
           "error_scale_evidence = { visits = 14, until = \"2026-06-03\" }\n[source.gate]",
           "line 15: source \"network\": error_scale_evidence.until is \"2026-06-03\", give a date such as 2026-06-03"},
          {"a time instead of a date", "[source.gate]",
           "error_scale_evidence = { visits = 14, until = 2026-06-03T10:00:00Z }\n[source.gate]",
           "line 15: source \"network\": error_scale_evidence.until is a date or time, give a date such as 2026-06-03"},
          {"half a visit", "[source.gate]",
           "error_scale_evidence = { visits = 9.5, until = 2026-06-03 }\n[source.gate]",
           "line 15: source \"network\": error_scale_evidence.visits is 9.5, give a whole number from 0 to 100000"},
          {"a negative floor", "[source.gate]", "error_floor_m = { horizontal = -0.1, vertical = 0 }\n[source.gate]",
           "line 15: source \"network\": error_floor_m.horizontal is -0.1, give a number from 0 to 1000 m"},
          {"half a floor", "[source.gate]", "error_floor_m = { vertical = 0 }\n[source.gate]",
           "line 15: source \"network\": error_floor_m.horizontal is missing, give a number from 0 to 1000 m"},
          {"an assumed sigma of 0", "[source.gate]",
           "assumed_sigma_m = { horizontal = 0.01, vertical = 0 }\n[source.gate]",
           "line 15: source \"network\": assumed_sigma_m.vertical is 0, give a number above 0 and at most 1000 m"},
      },
      kMinimal);
}

TEST_CASE("a fault of a gate is named with its source") {
  const std::string gate = "source \"network\": gate.";
  const std::string words = "(\"differential\", \"pps\", \"rtk-fixed\", \"rtk-float\", \"sbas\")";
  const std::string last = "max_age_s = 10";
  check_rows(
      {
          {"no quality", "quality = [\"rtk-fixed\"]\n", "",
           "line 15: " + gate + "quality is missing, give an array of quality words " + words},
          {"an empty quality", "[\"rtk-fixed\"]", "[]",
           "line 16: " + gate + "quality is an empty array, give an array of quality words " + words},
          {"a quality that is a text", "[\"rtk-fixed\"]", "\"rtk-fixed\"",
           "line 16: " + gate + "quality is \"rtk-fixed\", give an array of quality words " + words},
          {"no fresh age", "fresh_age_s = 3\n", "",
           "line 15: " + gate + "fresh_age_s is missing, give a number from 0 to 86400 s"},
          {"no oldest age", "max_age_s = 10\n", "",
           "line 15: " + gate + "max_age_s is missing, give a number from 0 to 86400 s"},
          {"a negative age", "fresh_age_s = 3", "fresh_age_s = -3",
           "line 17: " + gate + "fresh_age_s is -3, give a number from 0 to 86400 s"},
          {"an oldest age below the fresh one", "max_age_s = 10", "max_age_s = 2.9",
           "line 18: " + gate + "max_age_s is 2.9, give at least fresh_age_s (3 s); equal means no coasting"},
          {"negative growth", last, last + "\ncoast_growth_m_per_min = -0.1",
           "line 19: " + gate + "coast_growth_m_per_min is -0.1, give a number from 0 to 100 m a minute"},
          {"an age policy nobody knows", last, last + "\nage_missing = \"ignore\"",
           "line 19: " + gate + "age_missing is \"ignore\", give \"refuse\", \"allow\" or \"trust-quality\""},
          {"an HDOP limit of 0", last, last + "\nmax_hdop = 0",
           "line 19: " + gate + "max_hdop is 0, give a number above 0 and at most 100"},
          {"a PDOP limit that is no number", last, last + "\nmax_pdop = nan",
           "line 19: " + gate + "max_pdop is nan, give a number above 0 and at most 100"},
          {"a VDOP limit of 0", last, last + "\nmax_vdop = 0",
           "line 19: " + gate + "max_vdop is 0, give a number above 0 and at most 100"},
          {"no satellites", last, last + "\nmin_satellites = 0",
           "line 19: " + gate + "min_satellites is 0, give a whole number from 1 to 200 satellites"},
          {"a horizontal error as text", last, last + "\nmax_error95_horizontal_m = \"5 cm\"",
           "line 19: " + gate + "max_error95_horizontal_m is \"5 cm\", give a number above 0 and at most 1000 m"},
          {"an endless vertical error", last, last + "\nmax_error95_vertical_m = inf",
           "line 19: " + gate + "max_error95_vertical_m is inf, give a number above 0 and at most 1000 m"},
          {"a speed of 0", last, last + "\nmax_speed_mps = 0.0",
           "line 19: " + gate + "max_speed_mps is 0.0, give a number above 0 and at most 100 m/s"},
          {"negative settling", last, last + "\nsettle_s = -1",
           "line 19: " + gate + "settle_s is -1, give a number from 0 to 3600 s"},
          {"no decimal of the height", last, last + "\nmin_altitude_decimals = 0",
           "line 19: " + gate + "min_altitude_decimals is 0, give a whole number from 1 to 6 decimals"},
          {"half a decimal", last, last + "\nmin_minute_decimals = 5.5",
           "line 19: " + gate + "min_minute_decimals is 5.5, give a whole number from 1 to 12 decimals"},
          {"a misspelt limit", last, last + "\nmax_hodp = 2",
           "line 19: " + gate + "max_hodp is 2, but there is no such key; did you mean max_hdop?"},
      },
      kMinimal);
}

TEST_CASE("a fault of the remaining tables is named") {
  const std::string listen =
      "give an address of this machine with a port, such as \"127.0.0.1:28101\" or \"[::1]:28101\"";
  const std::string others = ", which others can reach, " + listen + ", or set beyond_this_machine = true";
  const auto added = [](const std::string& text) { return "max_age_s = 10\n" + text; };
  check_rows(
      {
          {"no epoch needed", "max_age_s = 10", added("[occupation]\nmin_epochs = 0"),
           "line 20: occupation.min_epochs is 0, give a whole number from 1 to 1000000 epochs"},
          {"an end before enough", "max_age_s = 10", added("[occupation]\nmax_duration_s = 20"),
           "line 20: occupation.max_duration_s leaves max_duration_s below min_duration_s, so no occupation could ever "
           "be long enough; raise max_duration_s or lower min_duration_s"},
          {"half a finish", "max_age_s = 10", added("[occupation]\nfinish_at_error95_m = { horizontal = 0.05 }"),
           "line 20: occupation.finish_at_error95_m.vertical is missing, give a number above 0 and at most 1000 m"},
          {"a relay's secret that can be guessed", "max_age_s = 10", added("[relay]\ntoken = \"short\""),
           "line 20: relay.token is too short to be a secret, give one of 12 characters or more"},
          {"a relay for others without a port", "max_age_s = 10",
           added("[relay]\nbeyond_this_machine = true\nlisten = \"0.0.0.0\""),
           "line 21: relay.listen is \"0.0.0.0\", give an address in figures with a port, such as "
           "\"192.168.42.2:28101\""},
          {"a relay open to others", "max_age_s = 10", added("[relay]\nlisten = \"0.0.0.0:28101\""),
           "line 20: relay.listen is \"0.0.0.0:28101\"" + others},
          {"a caster without a port", "max_age_s = 10", added("[corrections]\ncaster = \"a.example\"\nmount = \"M\""),
           "line 20: corrections.caster is \"a.example\", give a host with a port, such as "
           "\"caster.example.org:2101\""},
          {"a caster with a login in its name", "max_age_s = 10",
           added("[corrections]\ncaster = \"me@a.example:2101\"\nmount = \"M\""),
           "line 20: corrections.caster is \"me@a.example:2101\", give a host with a port, such as "
           "\"caster.example.org:2101\""},
          {"a caster behind a bracket that never closes", "max_age_s = 10",
           added("[corrections]\ncaster = \"[::1:2101\"\nmount = \"M\""),
           "line 20: corrections.caster is \"[::1:2101\", give a host with a port, such as "
           "\"caster.example.org:2101\""},
          {"no mount point", "max_age_s = 10", added("[corrections]\ncaster = \"a.example:2101\""),
           "line 19: corrections.mount is missing, give the name of the mount point"},
          {"a mount point with a slash", "max_age_s = 10",
           added("[corrections]\ncaster = \"a.example:2101\"\nmount = \"/M\""),
           "line 21: corrections.mount is \"/M\", give the mount point's name alone, one word of visible ASCII without "
           "a slash"},
          {"a version between two", "max_age_s = 10",
           added("[corrections]\ncaster = \"a.example:2101\"\nmount = \"M\"\nversion = 1.5"),
           "line 22: corrections.version is no version of the protocol, give 1, 2 or \"auto\""},
          {"certificates without encryption", "max_age_s = 10",
           added("[corrections]\ncaster = \"a.example:2101\"\nmount = \"M\"\nauthority = \"ca.pem\""),
           "line 22: corrections.authority is given without tls = true, which alone needs it; set tls, or take it out"},
          {"a password in the configuration", "max_age_s = 10",
           added("[corrections]\ncaster = \"a.example:2101\"\nmount = \"M\"\npassword = \"p\""),
           "line 22: corrections.password is \"p\", but there is no such key; the keys here are caster, mount, "
           "version, "
           "tls, authority, credentials and send_position"},
          {"a page without a port", "max_age_s = 10", added("[page]\nlisten = \"127.0.0.1\""),
           "line 20: page.listen is \"127.0.0.1\", " + listen},
          {"a page open to others", "max_age_s = 10", added("[page]\nlisten = \"0.0.0.0:28100\""),
           "line 20: page.listen is \"0.0.0.0:28100\"" + others},
          {"a program that is a text", "max_age_s = 10", added("[alerts]\nrun = \"beep\""),
           "line 20: alerts.run is \"beep\", give an array of texts: the program, then its arguments"},
          {"an argument that is a number", "max_age_s = 10", added("[alerts]\nrun = [\"beep\", 3]"),
           "line 20: alerts.run holds 3, give an array of texts: the program, then its arguments"},
          {"an argument of 4097 bytes", "max_age_s = 10",
           added("[alerts]\nrun = [\"beep\", \"" + std::string(4097, 'a') + "\"]"),
           "line 20: alerts.run holds \"" + std::string(48, 'a') +
               "...\", give an array of texts: the program, then its arguments"},
          {"a check that is always due", "max_age_s = 10", added("[alerts]\ncheck_due_min = 0"),
           "line 20: alerts.check_due_min is 0, give a number from 1 to 10080 min"},
          {"a negative disk", "max_age_s = 10", added("[alerts]\ndisk_free_mib = -1"),
           "line 20: alerts.disk_free_mib is -1, give a number from 0 to 10000000 MiB"},
          {"a socket that is a number", "max_age_s = 10", added("[control]\nsocket = 1"),
           "line 20: control.socket is 1, give a path"},
          {"an unknown table", "max_age_s = 10", added("[ocupation]\nmin_epochs = 3"),
           "line 19: ocupation is a table, but there is no such key; did you mean occupation?"},
          {"a table that is a number", "[project]", "relay = 5\n[project]",
           "line 1: relay is 5, give a table of its own"},
      },
      kMinimal);
}

TEST_CASE("an empty file lacks the four tables that every day needs") {
  const Loaded loaded = parse("", "day.toml");
  const std::vector<std::string> expected{
      "day.toml, line 1: project is missing, give a table of its own",
      "day.toml, line 1: feed is missing, give at least one table that starts with [[feed]]",
      "day.toml, line 1: antenna is missing, give a table of its own",
      "day.toml, line 1: source is missing, give at least one table that starts with [[source]]"};
  REQUIRE(loaded.errors.size() == expected.size());
  for (std::size_t i = 0; i < expected.size(); ++i) CHECK(loaded.errors[i].text == expected[i]);
}

TEST_CASE("an argument of the alert program has at most 4096 bytes") {
  const Loaded loaded = parse(kMinimal + "[alerts]\nrun = [\"beep\", \"" + std::string(4096, 'a') + "\"]", "day.toml");
  CHECK(loaded.errors.empty());
}

TEST_CASE("empty lists of feeds and sources are errors") {
  std::string text = kMinimal;
  text = "feed = []\nsource = []\n" + text.substr(0, text.find("[[feed]]")) + "[antenna]\nvertical_parts_m = { a = 1 }";
  const Loaded loaded = parse(text, "day.toml");
  REQUIRE(loaded.errors.size() == 2);
  CHECK(loaded.errors[0].text ==
        "day.toml, line 1: feed is an empty array, give at least one table that starts with [[feed]]");
  CHECK(loaded.errors[1].text ==
        "day.toml, line 2: source is an empty array, give at least one table that starts with [[source]]");
}

TEST_CASE("two sources of one name are an error at the second") {
  const std::string source = kMinimal.substr(kMinimal.find("[[source]]"));
  const Loaded loaded = parse(kMinimal + source, "day.toml");
  REQUIRE(loaded.errors.size() == 1);
  CHECK(loaded.errors[0].text ==
        "day.toml, line 20: source 2: name is \"network\", which an earlier source has, give each source a name of its "
        "own");
}

TEST_CASE("all errors of a file come at once, in file order") {
  std::string text = kMinimal;
  text = with(text, "max_age_s = 10", "max_age_s = -1\nmax_hdop = 0");
  text = with(text, "port = 9001", "port = 0");
  text = with(text, "[project]\n", "[project]\ncolour = 1\n");
  text = with(text, "pole = 2.0", "pole = -2.0");
  const Loaded loaded = parse(text, "day.toml");
  std::vector<std::string> starts;
  for (const Error& error : loaded.errors) starts.push_back(error.text.substr(0, error.text.find(" is ")));
  CHECK(starts == std::vector<std::string>{"day.toml, line 2: project.colour", "day.toml, line 7: feed 1: port",
                                           "day.toml, line 9: antenna.vertical_parts_m.pole",
                                           "day.toml, line 19: source \"network\": gate.max_age_s",
                                           "day.toml, line 20: source \"network\": gate.max_hdop"});
}

TEST_CASE("text that is not TOML is one sentence with line and column") {
  struct TomlRow {
    const char* name;
    std::string text, start;
  };
  const std::vector<TomlRow> rows{
      {"a value cut short", "[project]\nname = \n", "day.toml, line 2, column "},
      {"a key twice", "[project]\nname = \"a\"\nname = \"b\"\n", "day.toml, line 3, column "},
      {"a text without its end", "[project]\nname = \"a\n", "day.toml, line 2, column "},
      {"brackets that do not match", "[[feed]\n", "day.toml, line 1, column "},
      {"nested beyond reason", "a = " + std::string(2000, '['), "day.toml, line 1, column "},
  };
  for (const TomlRow& row : rows) {
    CAPTURE(row.name);
    const Loaded loaded = parse(row.text, "day.toml");
    REQUIRE(loaded.errors.size() == 1);
    CAPTURE(loaded.errors[0].text);
    CHECK(loaded.errors[0].text.rfind(row.start, 0) == 0);
    CHECK(loaded.errors[0].text.find(": this is not valid TOML: ") != std::string::npos);
    CHECK(loaded.errors[0].text.find('\n') == std::string::npos);
  }
}

TEST_CASE("bytes that are not UTF-8 are named with their line") {
  struct ByteRow {
    const char* name;
    std::string bytes;
  };
  // Ill-formed sequences after the table of well-formed byte sequences in RFC 3629, section 4 (from memory).
  const std::vector<ByteRow> rows{
      {"a byte of an old code page", "\xE9"},  {"a lone tail", "\x80"},
      {"an overlong form", "\xC0\xAF"},        {"an overlong form of three", "\xE0\x80\xAF"},
      {"half of a surrogate", "\xED\xA0\x80"}, {"beyond the last code point", "\xF4\x90\x80\x80"},
      {"a sequence cut short", "\xE2\x82"},    {"a byte that never occurs", "\xFF"},
      {"a zero byte", std::string(1, '\0')},
  };
  for (const ByteRow& row : rows) {
    CAPTURE(row.name);
    const Loaded loaded = parse("# first\nname = \"" + row.bytes + "\"\n", "day.toml");
    REQUIRE(loaded.errors.size() == 1);
    CHECK(loaded.errors[0].text == "day.toml, line 2: the text is not valid UTF-8, save the file as UTF-8");
  }
}

TEST_CASE("a letter beyond ASCII outside quotes is an error of the file, not the end of the program") {
  struct StrayRow {
    const char* name;
    std::string text;
    int line;
    std::string letter;
  };
  const std::vector<StrayRow> rows{
      {"as a key", "[project]\n\xC3\xA9 = 1\n", 2, "\xC3\xA9"},
      {"in a key", "[project]\nk\xC3\xA9y = 1\n", 2, "\xC3\xA9"},
      {"as a value", "a = \xEF\xBB\xBD", 1, "\xEF\xBB\xBD"},
      {"behind a value", "a = 1\xC2\xA0\n", 1, "\xC2\xA0"},
      {"behind a text", "a = \"x\"\xE2\x80\x80\n", 1, "\xE2\x80\x80"},
      {"behind a long text with quotes in it", "a = \"\"\"x\n\"\"\"\"\"\xC3\xA9\n", 2, "\xC3\xA9"},
      {"a byte order mark that is not at the start", "a = 1\n\xEF\xBB\xBF", 2, "\xEF\xBB\xBF"},
      {"behind a backslash", "a = \"\\\xC3\xA9\"\n", 1, "\xC3\xA9"},
      {"behind a backslash in a long text", "a = \"\"\"\\\xC3\xA9\"\"\"\n", 1, "\xC3\xA9"},
      {"behind a backslash at the end of a line", "a = \"\"\"\\\n  \xC3\xA9\"\"\"\n", 2, "\xC3\xA9"},
  };
  for (const StrayRow& row : rows) {
    CAPTURE(row.name);
    const Loaded loaded = parse(row.text, "day.toml");
    REQUIRE(loaded.errors.size() == 1);
    CHECK(loaded.errors[0].text == "day.toml, line " + std::to_string(row.line) + ": \"" + row.letter +
                                       "\" may not stand here, outside quotes and behind a backslash TOML takes plain "
                                       "ASCII only");
  }
}

TEST_CASE("the header of a table without a name is an error of the file, not the end of the program") {
  struct HeaderRow {
    const char* name;
    std::string text;
    int line;
  };
  const std::vector<HeaderRow> rows{
      {"a bracket alone", "[\n", 1},
      {"a bracket alone before more", "[project]\nname = \"a\"\n[\nframe = 1\n", 3},
      {"two brackets and a comment", "\xEF\xBB\xBF[[ # feed\n", 1},
      {"an equals sign", "a = [\n  [1], [2]\n]\n  [= 3]\n", 4},
  };
  for (const HeaderRow& row : rows) {
    CAPTURE(row.name);
    const Loaded loaded = parse(row.text, "day.toml");
    REQUIRE(loaded.errors.size() == 1);
    CHECK(loaded.errors[0].text == "day.toml, line " + std::to_string(row.line) +
                                       ": the name of a table must follow the bracket, such as [project]");
  }
}

TEST_CASE("letters beyond ASCII stay allowed where TOML allows them") {
  struct PlaceRow {
    const char* name;
    std::string to;
  };
  const std::vector<PlaceRow> rows{
      {"in a text", "\"Vall\xC3\xA9\""},
      {"behind an escaped quote", R"("a\")"
                                  "\xC3\xA9\""},
      {"behind an escaped backslash", R"("a\\)"
                                      "\xC3\xA9\""},
      {"in a text of single quotes", "'\\\xC3\xA9'"},
      {"in a long text", "\"\"\"a \"\xC3\xA9\" \"\"\""},
      {"in a long text of single quotes", "'''it's \\\xC3\xA9'''"},
      {"in a comment", "\"a\" # it's \"\xC3\xA9"},
      {"in a long text behind quotes of its own", "\"\"\"\"\xC3\xA9\"\"\"\"\" # \xC3\xA9"},
  };
  for (const PlaceRow& row : rows) {
    CAPTURE(row.name);
    const Loaded loaded = parse(with(kMinimal, "\"operator's page\"", row.to), "day.toml");
    CHECK_MESSAGE(loaded.errors.empty(), all(loaded));
  }
}

}  // namespace stillpoint::config::test
