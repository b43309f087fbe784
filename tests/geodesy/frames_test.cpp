#include "geodesy/frames.hpp"

#include <doctest/doctest.h>

#include <GeographicLib/LambertConformalConic.hpp>
#include <GeographicLib/TransverseMercator.hpp>
#include <cmath>
#include <limits>
#include <set>
#include <string>
#include <vector>

#include "helpers.hpp"

using namespace stillpoint;
using geodesy::FrameFault;
using geodesy::Frames;
using geodesy::Geographic;
using geodesy::test::settings;
using geodesy::test::some_day;
using geodesy::test::source;

namespace {

const Geographic kLake{47.600, -87.400, 180.0};
const Geographic kParis{48.8566, 2.3522, 80.0};

bool says(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

config::Source within(config::Source made, double max_error95_horizontal_m) {
  made.gate.max_error95_horizontal_m = max_error95_horizontal_m;
  return made;
}

config::Settings with(config::Settings made, void (*change)(config::Settings&)) {
  change(made);
  return made;
}

}  // namespace

TEST_CASE("a configuration that cannot be right is refused, each fault in its own sentence") {
  struct Row {
    std::string name;
    config::Settings settings;
    std::vector<std::string> says;
  };
  const config::Settings good = settings("EPSG:6319", {source("ITRF2020")});
  const std::vector<Row> rows{
      {"a source called WGS 84",
       settings("EPSG:6319", {source("WGS 84")}),
       {"source \"net\"", "\"WGS 84\" does not say which realization", "EPSG:9989", "EPSG:9754", "EPSG:6319"}},
      {"a source in the WGS 84 ensemble, 3D",
       settings("EPSG:6319", {source("EPSG:4979")}),
       {"EPSG:4979 WGS 84 rests on an ensemble", "EPSG:9754"}},
      {"a source in the WGS 84 ensemble, 2D",
       settings("EPSG:6319", {source("epsg:4326")}),
       {"EPSG:4326 WGS 84 rests on an ensemble"}},
      {"an ensemble as target",
       settings("EPSG:4937", {source("ITRF2020")}),
       {"project frame", "EPSG:4937 ETRS89 rests on an ensemble", "EPSG:7931", "EPSG:8403"}},
      {"a projected ensemble as target",
       settings("EPSG:32616", {source("ITRF2020")}),
       {"project frame", "EPSG:32616 WGS 84 / UTM zone 16N rests on an ensemble", "EPSG:6345"}},
      {"a 2D code with a twin",
       settings("EPSG:6319", {source("EPSG:6318")}),
       {"EPSG:6318 NAD83(2011) has no height", "EPSG:6319"}},
      {"a 2D code as target",
       settings("EPSG:7844", {source("ITRF2014")}),
       {"project frame", "EPSG:7844 GDA2020 has no height", "EPSG:7843"}},
      {"a 2D code without a twin",
       settings("EPSG:6319", {source("EPSG:4269")}),
       {"EPSG:4269 NAD83 has no height", "no geographic 3D twin"}},
      {"a geocentric code",
       settings("EPSG:6319", {source("EPSG:7789")}),
       {"EPSG:7789 ITRF2014 is geocentric", "EPSG:7912"}},
      {"a projected frame on a base without a twin",
       settings("EPSG:26916", {source("ITRF2020")}),
       {"EPSG:26916 NAD83 / UTM zone 16N stands on EPSG:4269 NAD83", "EPSG:6345"}},
      {"a state's zone on a base without a twin",
       settings("EPSG:2246", {source("ITRF2020")}),
       {"EPSG:2246 NAD83 / Kentucky North (ftUS) stands on EPSG:4269 NAD83",
        "its twin EPSG:6471 NAD83(2011) / Kentucky North (ftUS)"}},
      {"a zone of Hawaii on a base without a twin",
       settings("EPSG:26963", {source("ITRF2020")}),
       {"its twin EPSG:6630 NAD83(PA11) / Hawaii zone 3"}},
      {"a compound of a 2D frame",
       settings("EPSG:6349", {source("ITRF2020")}),
       {"EPSG:6349 NAD83(2011) + NAVD88 height is a compound frame", "horizontal part EPSG:6319 NAD83(2011) here"}},
      {"a compound on an old base",
       settings("EPSG:5498", {source("ITRF2020")}),
       {"EPSG:5498 NAD83 + NAVD88 height is a compound frame", "\"NAD83(2011)\" (EPSG:6319)"}},
      {"a frame to come",
       settings("NATRF2022", {source("ITRF2020")}),
       {"\"NATRF2022\" is not a frame that PROJ", "it is to replace NAD83(2011)", "EPSG:6319"}},
      {"a frame of heights to come",
       settings("NAPGD2022", {source("ITRF2020")}),
       {"to replace NAVD88", "[project.geoid]"}},
      {"a source in a frame to come", settings("EPSG:6319", {source("PATRF2022")}), {"source \"net\"", "NAD83(PA11)"}},
      {"a projected frame that counts south and west",
       settings("EPSG:2053", {source("ITRF2020")}),
       {"EPSG:2053 Hartebeesthoek94 / Lo29", "does not count east and north"}},
      {"a compound code",
       settings("EPSG:5554", {source("ITRF2020")}),
       {"project frame", "EPSG:5554", "compound frame", "EPSG:25831", "on one realization", "[project.geoid]"}},
      {"two codes joined", settings("EPSG:6319+5703", {source("ITRF2020")}), {"joins two frames", "[project.geoid]"}},
      {"a vertical code",
       settings("EPSG:5703", {source("ITRF2020")}),
       {"EPSG:5703 NAVD88 height is not a frame for positions"}},
      {"a datum that is unknown", settings("EPSG:4019", {source("ITRF2020")}), {"EPSG:4019", "names no datum"}},
      {"a frame on an old ellipsoid", settings("EPSG:4985", {source("ITRF2020")}), {"another ellipsoid than GRS 80"}},
      {"a definition instead of a code",
       settings("EPSG:6319", {source("+proj=longlat +datum=WGS84")}),
       {"is a definition", "authority code"}},
      {"a code that does not exist", settings("EPSG:999999", {source("ITRF2020")}), {"\"EPSG:999999\" is not a frame"}},
      {"a name that does not exist",
       settings("Vellin County grid", {source("ITRF2020")}),
       {"\"Vellin County grid\" is not a frame"}},
      {"no frame at all", settings("", {source("ITRF2020")}), {"no frame is named"}},
      {"a vague NAD83", settings("NAD83", {source("ITRF2020")}), {"does not say which realization", "NAD83(PA11)"}},
      {"a projected source",
       settings("EPSG:6319", {source("EPSG:6345")}),
       {"EPSG:6345 NAD83(2011) / UTM zone 16N is projected", "EPSG:6319"}},
      {"a frame that only a site velocity could reach",
       settings("SIRGAS2000", {source("ITRF2020")}),
       {"no honest way from EPSG:9989 ITRF2020 to EPSG:4989 SIRGAS 2000", "moves nothing"}},
      {"the frame of Mexico",
       settings("Mexico ITRF2008", {source("ITRF2020")}),
       {"no honest way from EPSG:9989 ITRF2020 to EPSG:6364 Mexico ITRF2008", "as it stood at 2010.0"}},
      {"the older frame of Mexico",
       settings("EPSG:4482", {source("ITRF2020")}),
       {"EPSG:4482 Mexico ITRF92", "as it stood at 1988.0"}},
      {"a pair without any operation",
       settings("JGD2011", {source("ITRF2020")}),
       {"no honest way from EPSG:9989 ITRF2020 to EPSG:6667 JGD2011", "has no operation between them"}},
      {"a null operation through the ensemble",
       settings("EPSG:6667", {source("WGS 84 (G2139)")}),
       {"no honest way from EPSG:9754 WGS 84 (G2139)", "EPSG:6667 JGD2011"}},
      {"a null operation between two national frames",
       settings("EPSG:6319", {source("SIRGAS 2000")}),
       {"no honest way from EPSG:4989 SIRGAS 2000", "passes through an ensemble"}},
      {"an operation whose grid is not installed",
       settings("EPSG:7912", {source("EPSG:4977")}),
       {"no honest way from EPSG:4977 SWEREF99", "needs the grid eur_nkg_nkgrf17vel.tif, which is not installed"}},
      {"an operation that leaves heights behind",
       settings("EPSG:7912", {source("EPSG:4957")}),
       {"no honest way from EPSG:4957 NAD83(HARN)", "works on latitude and longitude alone"}},
      {"an accuracy worse than the source's limit",
       settings("GDA2020", {within(source("ITRF2020"), 0.030)}),
       {"ITRF2014 to GDA2020 (1)", "stated accuracy is 0.031 m, worse than the limit of 0.030 m"}},
      {"frames that are the same only within 0.2 m",
       settings("ITRF92", {within(source("WGS 84 (G730)"), 0.05)}),
       {"the same by definition only within 0.200 m, limit 0.050 m"}},
      {"a source epoch of zero",
       settings("EPSG:6319", {source("ITRF2020", 0.0)}),
       {"coordinate_epoch 0.0000 is not between 1980 and 2100"}},
      {"a project epoch without a velocity",
       with(good, [](config::Settings& s) { s.project.coordinate_epoch = 2010.0; }),
       {"project coordinate_epoch 2010.0000 needs site_velocity_mm_per_year"}},
      {"a project epoch out of range",
       with(good,
            [](config::Settings& s) {
              s.project.coordinate_epoch = 20.26;
              s.project.site_velocity_mm_per_year.emplace();
            }),
       {"project coordinate_epoch 20.2600 is not between 1980 and 2100"}},
      {"orthometric heights without a geoid",
       with(good, [](config::Settings& s) { s.project.height = config::HeightKind::orthometric; }),
       {"height = \"orthometric\" needs [project.geoid]"}},
      {"a geoid grid that is not there",
       with(good,
            [](config::Settings& s) {
              s.project.geoid = config::Geoid{"/nowhere/county-geoid.tif", "County geoid", "EPSG:6319", ""};
            }),
       {"geoid grid \"/nowhere/county-geoid.tif\" is missing"}},
      {"a geoid grid that PROJ does not find",
       with(good,
            [](config::Settings& s) {
              s.project.geoid = config::Geoid{"county-geoid.tif", "County geoid", "EPSG:6319", ""};
            }),
       {"geoid grid \"county-geoid.tif\" is not installed"}},
      {"a geoid made for an ensemble",
       with(good,
            [](config::Settings& s) {
              s.project.geoid = config::Geoid{"egm96_15.gtx", "EGM96", "EPSG:4979", ""};
            }),
       {"geoid frame", "EPSG:4979 WGS 84 rests on an ensemble"}},
  };
  std::set<std::string> sentences;
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const auto frames = Frames::open(row.settings);
    REQUIRE_FALSE(frames.has_value());
    const std::string& text = frames.error().text;
    CAPTURE(text);
    for (const std::string& part : row.says) {
      CAPTURE(part);
      CHECK(says(text, part));
    }
    CHECK(text.find('\n') == std::string::npos);
    sentences.insert(text);
  }
  CHECK(sentences.size() == rows.size());
}

TEST_CASE("an epoch that cannot be brought into the project frame says why") {
  struct Row {
    std::string name;
    Geographic position;
    std::optional<UtcTime> utc;
    FrameFault fault;
    std::string says;
  };
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const std::vector<Row> rows{
      {"the date is missing", kLake, std::nullopt, FrameFault::no_date, "has not said the date"},
      {"the date is zero", kLake, UtcTime{0}, FrameFault::no_date, "1970-01-01T00:00:00Z cannot be right"},
      {"the date is before 1980", kLake, parse_utc("1979-12-31T23:59:59Z"), FrameFault::no_date, "cannot be right"},
      {"the date is the first moment of 1980", kLake, parse_utc("1980-01-01T00:00:00Z"), FrameFault::no_date,
       "cannot be right"},
      {"the date is the year 2100", kLake, parse_utc("2100-01-01T00:00:00Z"), FrameFault::no_date, "cannot be right"},
      {"the place is on the wrong continent", kParis, some_day(), FrameFault::frame,
       "48.856600 N 2.352200 E is outside the area of use of \"Inverse of ITRF2014 to ITRF2020 (1) + ITRF2014 to "
       "NAD83(2011) (1)\""},
      {"the latitude is no number", {nan, -87.4, 180.0}, some_day(), FrameFault::frame, "not a place on Earth"},
      {"the longitude is no number", {47.6, nan, 180.0}, some_day(), FrameFault::frame, "not a place on Earth"},
      {"the height is no number", {47.6, -87.4, nan}, some_day(), FrameFault::frame, "not a place on Earth"},
      {"the latitude is past the pole", {90.1, -87.4, 0.0}, some_day(), FrameFault::frame, "not a place on Earth"},
  };
  for (const auto epoch : {std::optional<double>(), std::optional<double>(2010.0)}) {
    const auto frames = Frames::open(settings("EPSG:6319", {source("ITRF2020", epoch)}));
    REQUIRE(frames.has_value());
    for (const Row& row : rows) {
      CAPTURE(row.name);
      const auto result = frames->to_project(0, row.position, row.utc);
      REQUIRE_FALSE(result.has_value());
      CHECK(result.error().fault == row.fault);
      CAPTURE(result.error().text);
      CHECK(says(result.error().text, row.says));
    }
    CHECK_FALSE(frames->to_project(1, kLake, some_day()).has_value());
    CHECK(frames->to_project(0, kLake, parse_utc("1980-01-01T00:00:00.001Z")).has_value());
    CHECK(frames->to_project(0, kLake, parse_utc("2099-12-31T23:59:59.999Z")).has_value());
  }
}

TEST_CASE("a date is needed even where nothing moves") {
  const auto frames = Frames::open(settings("EPSG:6319", {source("EPSG:6319", 2010.0)}));
  REQUIRE(frames.has_value());
  const auto undated = frames->to_project(0, kLake, std::nullopt);
  REQUIRE_FALSE(undated.has_value());
  CHECK(undated.error().fault == FrameFault::no_date);
  const auto dated = frames->to_project(0, kLake, some_day());
  REQUIRE(dated.has_value());
  CHECK(dated->position.latitude_deg == kLake.latitude_deg);
  CHECK(dated->position.longitude_deg == kLake.longitude_deg);
  CHECK(dated->position.ellipsoid_height_m == kLake.ellipsoid_height_m);
  CHECK(dated->coordinate_epoch == 2010.0);
}

TEST_CASE("the area of use is a box whose edge still belongs to it, also across the antimeridian") {
  // NAD83(2011) in the EPSG data set: 14.92 N to 74.71 N, 167.65 E to 63.88 W.
  struct Row {
    std::string name;
    double latitude_deg, longitude_deg;
    bool inside;
  };
  const std::vector<Row> rows{
      {"the lake", 47.6, -87.4, true},
      {"the southern edge", 14.92, -87.4, true},
      {"past the southern edge", 14.91, -87.4, false},
      {"the northern edge", 74.71, -150.0, true},
      {"past the northern edge", 74.72, -150.0, false},
      {"the eastern edge", 47.6, -63.88, true},
      {"past the eastern edge", 47.6, -63.87, false},
      {"the western edge beyond the antimeridian", 52.0, 167.65, true},
      {"past the western edge", 52.0, 167.64, false},
      {"the antimeridian from the east", 52.0, 180.0, true},
      {"the antimeridian from the west", 52.0, -180.0, true},
      {"a longitude counted to 360", 47.6, 272.6, true},
      {"Paris", 48.8566, 2.3522, false},
  };
  const auto frames = Frames::open(settings("EPSG:6319", {source("ITRF2020")}));
  REQUIRE(frames.has_value());
  for (const Row& row : rows) {
    CAPTURE(row.name);
    CHECK(frames->why_not_here(0, row.latitude_deg, row.longitude_deg).has_value() != row.inside);
    CHECK(frames->to_project(0, {row.latitude_deg, row.longitude_deg, 0.0}, some_day()).has_value() == row.inside);
  }
}

TEST_CASE("what is no place on Earth is served by no source") {
  const auto frames = Frames::open(settings("EPSG:6319", {source("ITRF2020")}));
  REQUIRE(frames.has_value());
  const double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK(frames->why_not_here(0, nan, -87.4) == "the position is not a place on Earth");
  CHECK(frames->why_not_here(0, 47.6, nan) == "the position is not a place on Earth");
  CHECK(frames->why_not_here(0, 91.0, -87.4) == "the position is not a place on Earth");
  CHECK(frames->why_not_here(1, 47.6, -87.4) == "no source has the number 1");
}

TEST_CASE("a frame may be called by its code or by its plain name") {
  struct Row {
    std::string said;
    std::string code;
    std::string note;
  };
  const std::vector<Row> rows{
      {"EPSG:9989", "EPSG:9989", ""},
      {"epsg:9989", "EPSG:9989", ""},
      {"ITRF2020", "EPSG:9989", ""},
      {"itrf 2020", "EPSG:9989", ""},
      {"ITRF2014", "EPSG:7912", ""},
      {"ITRF2008", "EPSG:7911", ""},
      {"ITRF2005", "EPSG:7910", ""},
      {"ITRF2000", "EPSG:7909", ""},
      {"IGS20", "EPSG:9989", "IGS20 is taken as ITRF2020"},
      {"IGS14", "EPSG:7912", "IGS14 is taken as ITRF2014"},
      {"EPSG:9018", "EPSG:7912", "IGS14 is taken as ITRF2014"},
      {"IGb14", "EPSG:7912", "IGb14 is taken as ITRF2014"},
      {"EPSG:9379", "EPSG:7912", "IGb14 is taken as ITRF2014"},
      {"IGS08", "EPSG:7911", "IGS08 is taken as ITRF2008"},
      {"EPSG:9013", "EPSG:7911", "IGS08 is taken as ITRF2008"},
      {"WGS 84 (G2139)", "EPSG:9754", "WGS 84 (G2139) is transformed as ITRF2014"},
      {"wgs84(g1762)", "EPSG:7665", "WGS 84 (G1762) is transformed as ITRF2008"},
      {"WGS 84 (G1674)", "EPSG:7663", "WGS 84 (G1674) is transformed as ITRF2008"},
      {"WGS 84 (G1150)", "EPSG:7661", "WGS 84 (G1150) is transformed as ITRF2000"},
      {"NAD83(2011)", "EPSG:6319", ""},
      {"nad83 (2011)", "EPSG:6319", ""},
      {"NAD83(CSRS)v7", "EPSG:8254", ""},
  };
  for (const Row& row : rows) {
    CAPTURE(row.said);
    const auto frames = Frames::open(settings("EPSG:6319", {source(row.said)}));
    REQUIRE(frames.has_value());
    const geodesy::Operation& operation = frames->operations().front();
    CHECK(operation.from.starts_with(row.code + ' '));
    CHECK(operation.to == "EPSG:6319 NAD83(2011)");
    if (row.note.empty()) continue;
    REQUIRE_FALSE(operation.notes.empty());
    CHECK(says(operation.notes.front(), row.note));
  }
}

TEST_CASE("names of whole frames in the data set are found without a table of ours") {
  const auto frames = Frames::open(settings("NAD83(2011) / UTM zone 16N", {source("RGF93 v2b")}));
  REQUIRE_FALSE(frames.has_value());
  CHECK(says(frames.error().text, "EPSG:9781 RGF93 v2b to EPSG:6319 NAD83(2011)"));
}

TEST_CASE("moving nothing passes only where the frames are one by definition, and says so") {
  struct Row {
    std::string name;
    std::string from, to;
    std::string description, note;
  };
  const std::vector<Row> rows{
      {"one frame under one name", "NAD83(2011)", "EPSG:6319", "the same frame", ""},
      {"a WGS 84 realization and its ITRF", "WGS 84 (G2139)", "ITRF2014",
       "the same frame by definition: WGS 84 (G2139) and ITRF2014 are both ITRF2014", "is transformed as ITRF2014"},
      {"two WGS 84 realizations of one ITRF", "WGS 84 (G1674)", "WGS 84 (G1762)", "the same frame by definition", ""},
      {"two frames tied to ITRF2014 by the same numbers", "NAD83(CSRS)v7", "NAD83(2011)", "ITRF2014 to NAD83(2011) (1)",
       "moves nothing: both frames are tied to the same ITRF"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const auto frames = Frames::open(settings(row.to, {source(row.from)}));
    REQUIRE(frames.has_value());
    const geodesy::Operation& operation = frames->operations().front();
    CHECK(says(operation.description, row.description));
    bool noted = row.note.empty();
    for (const std::string& note : operation.notes) noted = noted || says(note, row.note);
    CHECK(noted);
    const auto shift = frames->shift_at(0, kLake, some_day());
    REQUIRE(shift.has_value());
    CHECK(std::hypot(shift->east_m, shift->north_m, shift->up_m) < 1e-6);
  }
}

TEST_CASE("an operation that PROJ lists only from the other end is used backwards") {
  const auto frames = Frames::open(settings("ITRF2014", {source("GDA94")}));
  REQUIRE(frames.has_value());
  CHECK(frames->operations().front().description == "the inverse of ITRF2014 to GDA94 (1)");
  const auto there = Frames::open(settings("GDA94", {source("ITRF2014")}));
  REQUIRE(there.has_value());
  const Geographic sydney{-33.87, 151.21, 20.0};
  const auto moved = there->to_project(0, sydney, some_day());
  REQUIRE(moved.has_value());
  const auto back = frames->to_project(0, moved->position, some_day());
  REQUIRE(back.has_value());
  CHECK(geodesy::test::distance_m(geodesy::test::to_xyz(back->position), geodesy::test::to_xyz(sydney)) < 1e-4);
}

TEST_CASE("an operation is described with what a person must know before the day") {
  const auto frames = Frames::open(
      settings("EPSG:6319", {source("EPSG:6319", 2010.0, "county network"), source("EPSG:9989", {}, "sbas"),
                             source("ITRF2014", 2010.0, "temporary base")}));
  REQUIRE(frames.has_value());
  const auto& operations = frames->operations();
  REQUIRE(operations.size() == 3);
  CHECK(operations[0].source == "county network");
  CHECK(operations[0].description == "the same frame");
  CHECK_FALSE(operations[0].accuracy_m.has_value());
  CHECK_FALSE(operations[0].time_dependent);
  CHECK(operations[1].source == "sbas");
  CHECK(operations[1].from == "EPSG:9989 ITRF2020");
  CHECK(operations[1].to == "EPSG:6319 NAD83(2011)");
  CHECK(operations[1].description == "Inverse of ITRF2014 to ITRF2020 (1) + ITRF2014 to NAD83(2011) (1)");
  CHECK(operations[1].accuracy_m == doctest::Approx(0.001));  // as `projinfo -s EPSG:9989 -t EPSG:6319` prints
  CHECK(operations[1].time_dependent);
  CHECK(says(operations[1].area, "14.92 N to 74.71 N, 167.65 E to 63.88 W"));
  REQUIRE(operations[2].notes.size() == 1);
  CHECK(operations[2].notes[0] == "taken at the source's own epoch 2010.00");
}

TEST_CASE("the shift from ITRF2020 to NAD83(2011) on the lake in May 2026 is known") {
  // Computed from the EPSG parameters at 47.6 N 87.4 W for 2026.40.
  const auto frames = Frames::open(settings("EPSG:6319", {source("ITRF2020")}));
  REQUIRE(frames.has_value());
  const auto shift = frames->shift_at(0, kLake, geodesy::test::at_year(2026.40));
  REQUIRE(shift.has_value());
  CHECK(std::abs(shift->east_m - 1.038) < 0.002);
  CHECK(std::abs(shift->north_m - -0.988) < 0.002);
  CHECK(std::abs(shift->up_m - 0.906) < 0.002);
}

TEST_CASE("a projected frame delivers metres east and north that GeographicLib confirms") {
  const double a = 6378137.0;
  const double f = 1.0 / 298.257222101;
  struct Row {
    std::string name;
    std::string frame;
    Geographic place;
    double easting_m, northing_m;
  };
  std::vector<Row> rows;
  double x = 0.0, y = 0.0;
  const GeographicLib::TransverseMercator utm(a, f, 0.9996);
  utm.Forward(-87.0, kLake.latitude_deg, kLake.longitude_deg, x, y);
  rows.push_back({"UTM zone 16N in metres", "EPSG:6345", kLake, 500000.0 + x, y});
  // Zone constants from memory of NOAA Manual NOS NGS 5: Georgia West, central meridian 84°10' W, 30° N, 1:10000.
  const GeographicLib::TransverseMercator georgia(a, f, 0.9999);
  const Geographic atlanta{33.75, -84.39, 300.0};
  double y0 = 0.0, unused = 0.0;
  georgia.Forward(-84.0 - 10.0 / 60.0, 30.0, -84.0 - 10.0 / 60.0, unused, y0);
  georgia.Forward(-84.0 - 10.0 / 60.0, atlanta.latitude_deg, atlanta.longitude_deg, x, y);
  rows.push_back({"state plane in metres", "EPSG:6446", atlanta, 700000.0 + x, y - y0});
  rows.push_back({"state plane counted in US survey feet", "EPSG:6447", atlanta, 2296583.333 * 1200.0 / 3937.0 + x,
                  y - y0});  // the data set rounds the false easting to 0.001 ft
  // Michigan North: parallels 45°29' and 47°05', origin 44°47' N 87° W, 8,000,000 m; in international feet.
  const GeographicLib::LambertConformalConic michigan(a, f, 45.0 + 29.0 / 60.0, 47.0 + 5.0 / 60.0, 1.0);
  michigan.Forward(-87.0, 44.0 + 47.0 / 60.0, -87.0, unused, y0);
  michigan.Forward(-87.0, kLake.latitude_deg, kLake.longitude_deg, x, y);
  rows.push_back({"state plane counted in international feet", "EPSG:6495", kLake, 8000000.0 + x, y - y0});
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const auto frames = Frames::open(settings(row.frame, {source("EPSG:6319", 2010.0)}));
    REQUIRE(frames.has_value());
    CHECK(frames->project_frame() == row.frame);
    CHECK(frames->project_frame_is_projected());
    CHECK(frames->project_frame_wkt().starts_with("PROJCRS[\"NAD83(2011) / "));
    CHECK(frames->project_frame_wkt1().starts_with("PROJCS[\"NAD83(2011) / "));
    const auto delivered = frames->deliver(row.place, 2010.0);
    REQUIRE(delivered.has_value());
    REQUIRE(delivered->easting_m.has_value());
    CHECK(std::abs(*delivered->easting_m - row.easting_m) < 1e-4);
    CHECK(std::abs(*delivered->northing_m - row.northing_m) < 1e-4);
    CHECK_FALSE(delivered->orthometric_height_m.has_value());
  }
}

TEST_CASE("a projected frame still gives latitude and longitude of its 3D base") {
  const auto projected = Frames::open(settings("EPSG:6345", {source("ITRF2020")}));
  const auto geographic = Frames::open(settings("EPSG:6319", {source("ITRF2020")}));
  REQUIRE(projected.has_value());
  REQUIRE(geographic.has_value());
  CHECK(projected->operations().front().to == "EPSG:6345 NAD83(2011) / UTM zone 16N on EPSG:6319 NAD83(2011)");
  const auto a = projected->to_project(0, kLake, some_day());
  const auto b = geographic->to_project(0, kLake, some_day());
  REQUIRE(a.has_value());
  REQUIRE(b.has_value());
  CHECK(a->position.latitude_deg == b->position.latitude_deg);
  CHECK(a->position.longitude_deg == b->position.longitude_deg);
  CHECK(a->position.ellipsoid_height_m == b->position.ellipsoid_height_m);
}

TEST_CASE("a place far from the projected zone is refused, its edge is not") {
  // Zone 16N of NAD83(2011): 90 W to 84 W; one degree more is allowed on each side.
  const auto frames = Frames::open(settings("EPSG:6345", {source("EPSG:6319", 2010.0)}));
  REQUIRE(frames.has_value());
  CHECK_FALSE(frames->why_not_here(0, 45.0, -83.2).has_value());
  const auto reason = frames->why_not_here(0, 45.0, -82.9);
  REQUIRE(reason.has_value());
  CHECK(says(*reason, "is outside EPSG:6345 NAD83(2011) / UTM zone 16N"));
}

TEST_CASE("a geographic frame has no easting and northing") {
  const auto frames = Frames::open(settings("EPSG:6319", {source("EPSG:6319", 2010.0)}));
  REQUIRE(frames.has_value());
  CHECK_FALSE(frames->project_frame_is_projected());
  CHECK(frames->project_frame_wkt().starts_with("GEOGCRS[\"NAD83(2011)\""));
  CHECK(says(frames->project_frame_wkt(), "CS[ellipsoidal,3]"));
  CHECK(says(frames->project_frame_wkt(), "ID[\"EPSG\",6319]"));
  CHECK(frames->project_frame_wkt().find('\n') == std::string::npos);
  // OGC 01-009 knows no frame of three geographic axes: a vertical datum of type 2002 is an ellipsoidal one.
  const std::string& wkt1 = frames->project_frame_wkt1();
  CAPTURE(wkt1);
  CHECK(wkt1.starts_with("COMPD_CS[\"NAD83(2011)"));
  CHECK(says(wkt1, "GEOGCS[\"NAD83(2011)\""));
  CHECK(says(wkt1, "VERT_DATUM[\"Ellipsoid\",2002]"));
  CHECK(wkt1.find('\n') == std::string::npos);
  const auto delivered = frames->deliver(kLake, 2010.0);
  REQUIRE(delivered.has_value());
  CHECK_FALSE(delivered->easting_m.has_value());
  CHECK_FALSE(delivered->northing_m.has_value());
  CHECK_FALSE(delivered->orthometric_height_m.has_value());
  CHECK(delivered->geoid.empty());
}

TEST_CASE("one Frames can be moved and goes on working") {
  auto first = Frames::open(settings("EPSG:6319", {source("ITRF2020")}));
  REQUIRE(first.has_value());
  const auto before = first->to_project(0, kLake, some_day());
  Frames second = std::move(*first);
  const auto after = second.to_project(0, kLake, some_day());
  REQUIRE(before.has_value());
  REQUIRE(after.has_value());
  CHECK(after->position.latitude_deg == before->position.latitude_deg);
}
