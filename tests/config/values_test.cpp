#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "config/support.hpp"

namespace stillpoint::config::test {
namespace {

Settings read(const std::string& text, const std::string& path = "/srv/day.toml") {
  const Loaded loaded = parse(text, path);
  REQUIRE_MESSAGE(loaded.errors.empty(), all(loaded));
  return loaded.settings;
}

}  // namespace

TEST_CASE("the wanted error is the project's own, and else that at which stays end by themselves") {
  const std::string finish =
      with(kMinimal, "max_age_s = 10",
           "max_age_s = 10\n[occupation]\nfinish_at_error95_m = { horizontal = 0.5, vertical = 0.8 }");
  const std::string own =
      with(finish, "[project]", "[project]\nwanted_error95_m = { horizontal = 0.05, vertical = 0.08 }");
  CHECK_FALSE(read(kMinimal).wanted_error95_m());
  REQUIRE(read(finish).wanted_error95_m());
  CHECK(read(finish).wanted_error95_m()->horizontal_m == 0.5);
  REQUIRE(read(own).wanted_error95_m());
  CHECK(read(own).wanted_error95_m()->horizontal_m == 0.05);
  CHECK(read(own).wanted_error95_m()->vertical_m == 0.08);
}

TEST_CASE("every limit of the allowed range is itself allowed") {
  struct Row {
    const char* name;
    std::string from, to;
  };
  const std::vector<Row> rows{
      {"port 1", "9001", "1"},
      {"port 65535", "9001", "65535"},
      {"a part of 0", "2.0", "0"},
      {"a part of 30 m", "{ pole = 2.0 }", "{ pole = 30 }\nalso_measured_ft = 98.425"},
      {"no age at all", "fresh_age_s = 3\nmax_age_s = 10", "fresh_age_s = 0\nmax_age_s = 0"},
      {"an oldest age equal to the fresh one", "max_age_s = 10", "max_age_s = 3"},
      {"station 0", "[417]", "[0]"},
      {"station 65535", "[417]", "[65535]"},
      {"a range of one", "[417]", "[\"5-5\"]"},
      {"a station with leading zeros", "[417]", "[\"0417\"]"},
      {"the year 1980", "2010.0", "1980"},
      {"the year 2100", "2010.0", "2100.0"},
      {"a scale of 100", "[source.gate]", "error_scale = 100\n[source.gate]"},
      {"an occupation as short as it is long", "max_age_s = 10",
       "max_age_s = 10\n[occupation]\nmin_duration_s = 60\nmax_duration_s = 60"},
      {"a relay for others, when told so", "max_age_s = 10",
       "max_age_s = 10\n[relay]\nbeyond_this_machine = true\nlisten = \"0.0.0.0:28101\""},
      {"a page for others, when told so", "max_age_s = 10",
       "max_age_s = 10\n[page]\nbeyond_this_machine = true\nlisten = \"192.168.42.2:28100\""},
      {"a relay on the other loopback", "max_age_s = 10", "max_age_s = 10\n[relay]\nlisten = \"[::1]:1\""},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const Loaded loaded = parse(with(kMinimal, row.from, row.to), "day.toml");
    CHECK_MESSAGE(loaded.errors.empty(), all(loaded));
  }
}

TEST_CASE("corrections are brought by the daemon only where a caster is named, and nothing is sent up unasked") {
  const auto corrections = [](const std::string& lines) {
    const Loaded loaded = parse(with(kMinimal, "max_age_s = 10", "max_age_s = 10\n" + lines), "/srv/day.toml");
    REQUIRE_MESSAGE(loaded.errors.empty(), all(loaded));
    return loaded.settings.corrections;
  };
  CHECK_FALSE(corrections("").is_on());
  const Corrections least = corrections("[corrections]\ncaster = \"caster.example:2101\"\nmount = \"VRS32\"");
  CHECK(least.is_on());
  CHECK(least.host == "caster.example");
  CHECK(least.port == 2101);
  CHECK(least.mount == "VRS32");
  CHECK(least.version == CasterVersion::either);
  CHECK_FALSE(least.tls);
  CHECK_FALSE(least.send_position);
  CHECK(least.credentials.empty());
  const Corrections full = corrections(
      "[corrections]\ncaster = \"[2001:db8::1]:443\"\nmount = \"M\"\nversion = 1\ntls = true\n"
      "authority = \"ca.pem\"\ncredentials = \"login\"\nsend_position = true");
  CHECK(full.host == "2001:db8::1");
  CHECK(full.version == CasterVersion::first);
  CHECK(full.tls);
  CHECK(full.authority == "/srv/ca.pem");
  CHECK(full.credentials == "/srv/login");
  CHECK(full.send_position);
}

TEST_CASE("a day whose feeds take no corrections is told so, and is no error") {
  const auto notes = [](const std::string& feed) {
    const std::string text = with(kMinimal, "kind = \"tcp\"\nhost = \"localhost\"\nport = 9001\n", feed);
    const Loaded loaded = parse(
        with(text, "max_age_s = 10", "max_age_s = 10\n[corrections]\ncaster = \"a:1\"\nmount = \"M\""), "day.toml");
    REQUIRE_MESSAGE(loaded.errors.empty(), all(loaded));
    return loaded.notes.empty() ? std::string() : loaded.notes.back();
  };
  const std::string none =
      "corrections: none are brought, for no feed can take them: a receiver is written to over serial or tcp";
  CHECK(notes("kind = \"replay\"\nfile = \"a.nmea\"\n") == none);
  CHECK(notes("kind = \"udp\"\naddress = \"::1\"\nport = 9002\n") == none);
  CHECK(notes("kind = \"serial\"\ndevice = \"/dev/ttyS0\"\n") != none);
}

TEST_CASE("each kind of feed keeps its own values, in order of preference") {
  const std::string feeds = R"(kind = "serial"
device = "/dev/rfcomm0"
baud = 115200
[[feed]]
kind = "serial"
device = "/dev/ttyS0"
baud = "auto"
[[feed]]
kind = "udp"
address = "::1"
port = 9002
from = "fe80::7"
silence_s = 5
[[feed]]
kind = "replay"
file = "logs/../alder.nmea"
pace = "max"
)";
  const Settings s = read(with(kMinimal, "kind = \"tcp\"\nhost = \"localhost\"\nport = 9001\n", feeds));
  REQUIRE(s.feeds.size() == 4);
  CHECK(s.feeds[0].kind == FeedKind::serial);
  CHECK(s.feeds[0].device == "/dev/rfcomm0");
  CHECK(s.feeds[0].baud == 115200);
  CHECK_FALSE(s.feeds[1].baud);
  CHECK(s.feeds[2].kind == FeedKind::udp);
  CHECK(s.feeds[2].address == "::1");
  CHECK(s.feeds[2].port == 9002);
  CHECK(s.feeds[2].from == "fe80::7");
  CHECK(s.feeds[2].silence_s == 5.0);
  CHECK(s.feeds[3].kind == FeedKind::replay);
  CHECK(s.feeds[3].file == "/srv/alder.nmea");
  CHECK_FALSE(s.feeds[3].pace);
}

TEST_CASE("the areas that somebody has looked at are named one by one") {
  const Loaded loaded =
      parse(with(kMinimal, "[[feed]]", "area_looked_at = [\"NAD83(PA11)\", \"Mexico\"]\n[[feed]]"), "day.toml");
  REQUIRE_MESSAGE(loaded.errors.empty(), all(loaded));
  CHECK(loaded.settings.project.area_looked_at == std::vector<std::string>{"NAD83(PA11)", "Mexico"});
  CHECK(parse(kMinimal, "day.toml").settings.project.area_looked_at.empty());
}

TEST_CASE("times and lengths are told to people as the project says, else in UTC and metres") {
  const config::Project absent = parse(kMinimal, "day.toml").settings.project;
  CHECK(absent.local_time.empty());
  CHECK(absent.units == config::LengthUnit::metre);
  const std::string keys = "local_time = \"America/North_Dakota/Center\"\nunits = \"ft-us\"\n[[feed]]";
  const config::Project given = read(with(kMinimal, "[[feed]]", keys)).project;
  CHECK(given.local_time == "America/North_Dakota/Center");
  CHECK(given.units == config::LengthUnit::us_survey_foot);
  CHECK(read(with(kMinimal, "[[feed]]", "units = \"ft\"\n[[feed]]")).project.units == config::LengthUnit::foot);
}

TEST_CASE("whom to ask about the points is a person, an organisation or both") {
  const auto contact = [](const char* keys) {
    return read(with(kMinimal, "[[feed]]", "contact = { " + std::string(keys) + " }\n[[feed]]"))
        .project.contact.value();
  };
  CHECK(contact("name = \"A. Brandvold\"").name == "A. Brandvold");
  const auto whole = contact("name = \"A\", organisation = \"Vellin County\", email = \"gis@vellin.example\"");
  CHECK(whole.organisation == "Vellin County");
  CHECK(whole.email == "gis@vellin.example");
  CHECK(contact("organisation = \"Vellin County\"").name.empty());
}

TEST_CASE("a numeric project epoch comes with its velocity, a geoid with its grid") {
  const std::string project = R"(archive_dates = "rolled-over"
coordinate_epoch = 2020
site_velocity_mm_per_year = { east = -1.5, north = 2, up = 0.0 }
height = "orthometric"
[project.geoid]
grid = "grids/county.tif"
name = "County geoid 2024"
frame = "EPSG:6319"
sha256 = "ABCDEF0123456789abcdef0123456789abcdef0123456789abcdef0123456789"
error_m = 0.05
[[feed]])";
  const Settings s = read(with(kMinimal, "[[feed]]", project));
  CHECK(s.project.archive_dates == config::ArchiveDates::rolled_over);
  CHECK(s.project.coordinate_epoch == 2020.0);
  REQUIRE(s.project.site_velocity_mm_per_year);
  CHECK(s.project.site_velocity_mm_per_year->east_mm_per_year == -1.5);
  CHECK(s.project.site_velocity_mm_per_year->north_mm_per_year == 2.0);
  CHECK(s.project.height == HeightKind::orthometric);
  REQUIRE(s.project.geoid);
  CHECK(s.project.geoid->grid == "/srv/grids/county.tif");
  CHECK(s.project.geoid->name == "County geoid 2024");
  CHECK(s.project.geoid->sha256 == "abcdef0123456789abcdef0123456789abcdef0123456789abcdef0123456789");
  CHECK(s.project.geoid->error_m == 0.05);
}

TEST_CASE("antenna parts keep the order of the file and any name") {
  const Settings s = read(with(kMinimal, "{ pole = 2.0 }", "{ zz = 1.0, \"Ø part\" = 0.5, aa = 0.25 }"));
  REQUIRE(s.antenna.vertical_parts_m.size() == 3);
  CHECK(s.antenna.vertical_parts_m[0].first == "zz");
  CHECK(s.antenna.vertical_parts_m[1].first == "Ø part");
  CHECK(s.antenna.vertical_parts_m[2] == std::pair<std::string, double>("aa", 0.25));
}

TEST_CASE("parts may be given in feet, in metres, or some in each") {
  // 6.5 ft is 1.9812 m exactly: the international foot is 0.3048 m (NIST Special Publication 811, B.6).
  const Settings feet = read(with(kMinimal, "vertical_parts_m = { pole = 2.0 }", "vertical_parts_ft = { pole = 6.5 }"));
  REQUIRE(feet.antenna.vertical_parts_m.size() == 1);
  CHECK(feet.antenna.vertical_parts_m[0].first == "pole");
  CHECK(feet.antenna.vertical_parts_m[0].second == doctest::Approx(1.9812).epsilon(1e-12));
  const Settings both = read(with(kMinimal, "vertical_parts_m = { pole = 2.0 }",
                                  "vertical_parts_m = { adapter = 0.071 }\nvertical_parts_ft = { pole = 6.5 }"));
  REQUIRE(both.antenna.vertical_parts_m.size() == 2);
  CHECK(both.antenna.vertical_parts_m[0] == std::pair<std::string, double>("adapter", 0.071));
  CHECK(both.antenna.vertical_parts_m[1].first == "pole");
}

TEST_CASE("a height of 3.5 m needs no second reading, one above it may have one") {
  CHECK(read(with(kMinimal, "2.0", "3.5")).antenna.vertical_parts_m[0].second == 3.5);
  const Settings high = read(with(kMinimal, "vertical_parts_m = { pole = 2.0 }",
                                  "vertical_parts_m = { pole = 4.0 }\nalso_measured_ft = 13.123"));
  CHECK(high.antenna.also_measured_ft == 13.123);
}

TEST_CASE("a slant replaces the parts, and a reduced height needs neither") {
  const Settings slant = read(with(kMinimal, "vertical_parts_m = { pole = 2.0 }",
                                   "slant_m = { length = 1.85, radius = 0.19, plane_to_phase_centre = -0.035 }"));
  REQUIRE(slant.antenna.slant_m);
  CHECK(slant.antenna.slant_m->length_m == 1.85);
  CHECK(slant.antenna.slant_m->radius_m == 0.19);
  CHECK(slant.antenna.slant_m->plane_to_phase_centre_m == -0.035);
  const Settings reduced =
      read(with(kMinimal, "vertical_parts_m = { pole = 2.0 }", "already_reduced_by_receiver = true"));
  CHECK(reduced.antenna.already_reduced_by_receiver);
  CHECK(reduced.antenna.vertical_parts_m.empty());
}

TEST_CASE("every quality that rests on corrections may be matched") {
  const Settings s = read(with(kMinimal, "quality = [\"rtk-fixed\"]",
                               "quality = [\"differential\", \"pps\", \"rtk-fixed\", \"rtk-float\", \"sbas\"]"));
  CHECK(s.sources[0].gate.quality == std::vector<Quality>{Quality::differential, Quality::pps, Quality::rtk_fixed,
                                                          Quality::rtk_float, Quality::sbas});
}

TEST_CASE("a scale counts as verified only with evidence of ten visits or more, whatever its value") {
  struct Row {
    const char* name;
    const char* lines;
    bool verified;
  };
  const Row rows[] = {
      {"none", "", false},
      {"a bare 1", "error_scale = 1\n", false},
      {"a bare 1.5", "error_scale = 1.5\n", false},
      {"nine visits", "error_scale = 1.5\nerror_scale_evidence = { visits = 9, until = 2026-06-03 }\n", false},
      {"ten visits", "error_scale = 1.5\nerror_scale_evidence = { visits = 10, until = 2026-06-03 }\n", true},
      {"1.00 that was measured", "error_scale = 1.00\nerror_scale_evidence = { visits = 14, until = 2026-06-03 }\n",
       true}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const Settings s = read(with(kMinimal, "[source.gate]", std::string(row.lines) + "[source.gate]"));
    CHECK(s.sources[0].error_scale_verified() == row.verified);
    CHECK(s.sources[0].unproven_margin == 1.5);
  }
  const Settings s =
      read(with(kMinimal, "[source.gate]", std::string(rows[5].lines) + "unproven_margin = 2\n[source.gate]"));
  CHECK(s.sources[0].unproven_margin == 2);
  CHECK(s.sources[0].error_scale_evidence->visits == 14);
  CHECK(s.sources[0].error_scale_evidence->until == "2026-06-03");
}

TEST_CASE("an assumed sigma and an automatic finish are read on both axes") {
  const Settings s = read(with(
      with(kMinimal, "[source.gate]", "assumed_sigma_m = { horizontal = 0.015, vertical = 0.025 }\n[source.gate]"),
      "max_age_s = 10", "max_age_s = 10\n[occupation]\nfinish_at_error95_m = { horizontal = 0.05, vertical = 0.08 }"));
  REQUIRE(s.sources[0].assumed_sigma_m);
  CHECK(s.sources[0].assumed_sigma_m->horizontal_m == 0.015);
  CHECK(s.sources[0].assumed_sigma_m->vertical_m == 0.025);
  REQUIRE(s.occupation.finish_at_error95_m);
  CHECK(s.occupation.finish_at_error95_m->horizontal_m == 0.05);
  CHECK(s.occupation.finish_at_error95_m->vertical_m == 0.08);
}

TEST_CASE("an alert program with a folder starts at the file, a bare name is left to PATH") {
  struct Row {
    const char* name;
    std::string run, program;
  };
  for (const Row& row : {Row{"bare", "beep", "beep"}, Row{"relative", "bin/beep", "/srv/bin/beep"},
                         Row{"absolute", "/usr/bin/beep", "/usr/bin/beep"}}) {
    CAPTURE(row.name);
    const Settings s = read(
        with(kMinimal, "max_age_s = 10", "max_age_s = 10\n[alerts]\nrun = [\"" + row.run + "\", \"{text}\", \"\"]"));
    CHECK(s.alerts.run == std::vector<std::string>{row.program, "{text}", ""});
  }
}

TEST_CASE("a number is shown with the digits it has, and by its size once they say nothing") {
  struct Row {
    const char* written;
    const char* shown;
  };
  for (const Row& row :
       {Row{"-0.5", "-0.5"}, Row{"-2.0", "-2.0"}, Row{"1e6", "1000000.0"}, Row{"2e9", "2000000000.0"},
        Row{"1e-9", "0.000000001"}, Row{"999999999999999.0", "999999999999999.0"},
        Row{"-999999999999999.0", "-999999999999999.0"}, Row{"1e15", "a number above 1e15"},
        Row{"-1e15", "a number below -1e15"}, Row{"inf", "inf"}, Row{"-inf", "-inf"}, Row{"nan", "nan"}}) {
    CAPTURE(std::string(row.written));
    const std::string key = "[alerts]\ncheck_due_min = ";
    const Loaded loaded = parse(with(kMinimal, "max_age_s = 10", "max_age_s = 10\n" + key + row.written), "day.toml");
    REQUIRE(loaded.errors.size() == 1);
    CHECK_MESSAGE(loaded.errors.front().text.find("check_due_min is " + std::string(row.shown) + ", give a number") !=
                      std::string::npos,
                  loaded.errors.front().text);
  }
}

TEST_CASE("what is given but without effect is said") {
  struct Row {
    const char* name;
    std::string from, to, note;
  };
  const std::vector<Row> rows{
      {"a velocity with observation epochs", "[[feed]]",
       "site_velocity_mm_per_year = { east = 0, north = 0, up = 0 }\n[[feed]]",
       "project: site_velocity_mm_per_year is given, but coordinate_epoch is \"observation\", so no point is moved"},
      {"a geoid with ellipsoid heights", "[[feed]]",
       "[project.geoid]\ngrid = \"g\"\nname = \"G\"\nframe = \"F\"\n[[feed]]",
       "project: [project.geoid] is given, but height is \"ellipsoid\", so its heights only stand beside the others"},
      {"a geoid without an error", "[[feed]]", "[project.geoid]\ngrid = \"g\"\nname = \"G\"\nframe = \"F\"\n[[feed]]",
       "project: [project.geoid] error_m is absent, so the geoid is taken as free of error"},
      {"parts with a reduced height", "[[source]]", "already_reduced_by_receiver = true\n[[source]]",
       "antenna: already_reduced_by_receiver is true, so the measured height is not subtracted"},
      {"a gate that its source can never pass", "{ station = [417] }", "{ quality = [\"sbas\"] }",
       "source \"network\": match.quality and gate.quality have no quality in common, so none of its epochs can pass"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const Loaded loaded = parse(with(kMinimal, row.from, row.to), "day.toml");
    REQUIRE_MESSAGE(loaded.errors.empty(), all(loaded));
    CHECK(std::count(loaded.notes.begin(), loaded.notes.end(), row.note) == 1);
    const Loaded plain = parse(kMinimal, "day.toml");
    CHECK(std::count(plain.notes.begin(), plain.notes.end(), row.note) == 0);
  }
}

}  // namespace stillpoint::config::test
