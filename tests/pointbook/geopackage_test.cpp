// The pointbook as GDAL sees it: an outside reader of the standard.

#include <doctest/doctest.h>

#include "pointbook/book.hpp"
#include "pointbook/process.hpp"
#include "pointbook/samples.hpp"

namespace {

using namespace stillpoint;
using pointbook::Book;

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

bool has_gdal() {
  if (samples::has_program("ogrinfo") && samples::has_program("ogr2ogr")) return true;
  MESSAGE("SKIPPED: ogrinfo and ogr2ogr are not installed; install gdal-bin to check the GeoPackage from outside");
  return false;
}

std::string layer(const std::string& file, const std::string& name, const std::string& how = "-so") {
  return samples::output_of({"ogrinfo", "-ro", how, file, name});
}

/// Three points, one of them without coordinates, one with two versions, and the epochs of all.
void fill(Book& book) {
  auto first = samples::point(1);
  auto nowhere = samples::point(2);
  nowhere.point.at.reset();
  nowhere.point.status = occupation::PointStatus::none;
  auto second = first;
  second.uuid = samples::uuid(101);
  second.version = 2;
  second.supersedes = first.uuid;
  second.epochs.clear();
  for (const auto& point : {first, nowhere, second, samples::point(3)}) REQUIRE(book.append(point).has_value());
}

}  // namespace

TEST_CASE("GDAL finds the layers with the right kind, frame and count while the book is open") {
  if (!has_gdal()) return;
  samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  auto book = Book::open(file, samples::geographic());
  REQUIRE(book.has_value());
  fill(*book);
  struct Row {
    const char* name;
    const char* layer;
    std::vector<std::string> expected;
  };
  const Row rows[] = {
      {"every version of a point is a feature",
       "points",
       {"Geometry: 3D Point", "Feature Count: 4", "ID[\"EPSG\",6319]", "NAD83(2011)", "CS[ellipsoidal,3]",
        "FID Column = id", "Geometry Column = geom", "error95_horizontal_m: Real", "started_utc: DateTime",
        "training: Integer(Boolean)", "content_sha256: String"}},
      {"the view shows the newest version of each",
       "current_points",
       {"Geometry: 3D Point", "Feature Count: 3", "ID[\"EPSG\",6319]", "CS[ellipsoidal,3]"}},
      {"check shots are features", "check_shots", {"Geometry: 3D Point", "Feature Count: 0", "ID[\"EPSG\",6319]"}},
      {"epochs are rows without geometry", "epochs", {"Geometry: None", "Feature Count: 9", "utc: DateTime"}},
      {"events are rows without geometry", "events", {"Geometry: None", "Feature Count: 0"}},
      {"antenna setups are rows without geometry", "antenna_setups", {"Geometry: None", "Feature Count: 0"}},
  };
  for (const Row& row : rows) {
    const std::string answer = layer(file, row.layer);
    CAPTURE(row.name);
    CAPTURE(answer);
    for (const std::string& part : row.expected) {
      CAPTURE(part);
      CHECK(has(answer, part));
    }
    CHECK_FALSE(has(answer, "Warning"));
    CHECK_FALSE(has(answer, "ERROR"));
  }
}

TEST_CASE("GDAL reads a position as longitude, latitude and ellipsoid height, and a missing one as none") {
  if (!has_gdal()) return;
  samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  auto book = Book::open(file, samples::geographic());
  REQUIRE(book.has_value());
  auto placed = samples::point(1);
  placed.point.at->longitude_deg = -87.4;
  placed.point.at->latitude_deg = 47.6;
  placed.point.at->ellipsoid_height_m = 183.25;
  auto nowhere = samples::point(2);
  nowhere.point.at.reset();
  REQUIRE(book->append(placed).has_value());
  REQUIRE(book->append(nowhere).has_value());
  const std::string answer = layer(file, "current_points", "-al");
  CAPTURE(answer);
  CHECK(has(answer, "POINT Z (-87.4 47.6 183.25)"));
  CHECK(answer.find("POINT Z") == answer.rfind("POINT Z"));
  CHECK(has(answer, "Extent: (-87.400000, 47.600000) - (-87.400000, 47.600000)"));
}

// Easting and northing of 47.6 N 87.4 W by PROJ 9.1.1: `cs2cs EPSG:6318 EPSG:6496` gives 26148014.884479 1027440.991279
// international feet. The pointbook is given metres; GDAL brings its geometry back to where it came from.
TEST_CASE("in a frame that counts in feet the geometry is in feet and lies where it should") {
  if (!has_gdal()) return;
  samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  auto book = Book::open(file, samples::projected_in_feet());
  REQUIRE_MESSAGE(book.has_value(), book.error().text);
  auto point = samples::point(1);
  point.point.frame = "EPSG:6496";
  point.point.at->easting_m = 26148014.884479 * 0.3048;
  point.point.at->northing_m = 1027440.991279 * 0.3048;
  auto not_projected = samples::point(2);
  not_projected.point.frame = "EPSG:6496";
  REQUIRE(book->append(point).has_value());
  REQUIRE(book->append(not_projected).has_value());
  const std::string about = layer(file, "points");
  CAPTURE(about);
  CHECK(has(about, "ID[\"EPSG\",6496]"));
  CHECK(has(about, "Extent: (26148014.884479, 1027440.991279)"));
  const std::string back = samples::output_of({"ogr2ogr", "-f", "CSV", "/vsistdout/", file, "points", "-t_srs",
                                               "EPSG:6318", "-lco", "GEOMETRY=AS_XY", "-select", ""});
  CAPTURE(back);
  const std::size_t line = back.find('\n') + 1;
  const std::size_t comma = back.find(',', line);
  CHECK(std::stod(back.substr(line)) == doctest::Approx(-87.4).epsilon(1e-11));
  CHECK(std::stod(back.substr(comma + 1)) == doctest::Approx(47.6).epsilon(1e-11));
}

// The validator that comes with GDAL's Python bindings walks through the requirements of the standard.
TEST_CASE("GDAL's GeoPackage validator finds nothing to say, and would say it") {
  const std::vector<std::string> validator{"/usr/bin/python3", "-m", "osgeo_utils.samples.validate_gpkg"};
  const auto validate = [&](const std::string& file) {
    std::vector<std::string> command = validator;
    command.push_back(file);
    samples::Process process(command);
    const std::string text = process.rest();
    return std::to_string(process.finish()) + " " + text;
  };
  if (has(validate("/nowhere.gpkg"), "No module named")) {
    MESSAGE("SKIPPED: python3-gdal is not installed; install it to validate the GeoPackage from outside");
    return;
  }
  samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  {
    auto book = Book::open(file, samples::geographic());
    REQUIRE(book.has_value());
    fill(*book);
    CHECK(validate(file) == "0 ");
  }
  samples::output_of(
      {STILLPOINT_NEIGHBOUR, "sql", file, "DELETE FROM gpkg_geometry_columns WHERE table_name = 'points'"});
  CHECK(validate(file).rfind("0 ", 0) == std::string::npos);
}

TEST_CASE("the file is what OGC 12-128r17 asks for, table by table") {
  samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  auto book = Book::open(file, samples::geographic());
  REQUIRE(book.has_value());
  fill(*book);
  struct Row {
    const char* name;
    const char* sql;
    const char* answer;
  };
  const Row rows[] = {
      {"application_id is GPKG (requirement 2)", "PRAGMA application_id", "1196444487\n"},
      {"user_version is that of GeoPackage 1.3", "PRAGMA user_version", "10300\n"},
      {"the file is whole (requirement 6)", "PRAGMA integrity_check", "ok\n"},
      {"no foreign key hangs loose (requirement 7)", "PRAGMA foreign_key_check", ""},
      {"the three mandatory frames and the project's own (requirement 11)",
       "SELECT srs_id, organization, organization_coordsys_id FROM gpkg_spatial_ref_sys ORDER BY srs_id",
       "-1|NONE|-1\n0|NONE|0\n4326|EPSG|4326\n6319|EPSG|6319\n"},
      {"each table is registered with its kind (requirement 13)",
       "SELECT table_name, data_type, srs_id FROM gpkg_contents ORDER BY table_name",
       "antenna_setups|attributes|\ncheck_shots|features|6319\ncurrent_points|features|6319\nepochs|attributes|\n"
       "events|attributes|\nlayer_styles|attributes|\npointbook|attributes|\npoints|features|6319\n"},
      {"each feature table has its geometry column, z mandatory, m prohibited (requirements 21 to 28)",
       "SELECT * FROM gpkg_geometry_columns ORDER BY table_name",
       "check_shots|geom|POINT|6319|1|0\ncurrent_points|geom|POINT|6319|1|0\npoints|geom|POINT|6319|1|0\n"},
      {"every extension is declared", "SELECT table_name, column_name, extension_name, scope FROM gpkg_extensions",
       "gpkg_spatial_ref_sys|definition_12_063|gpkg_crs_wkt_1_1|read-write\n"
       "gpkg_spatial_ref_sys|epoch|gpkg_crs_wkt_1_1|read-write\n"
       "gpkg_data_columns||gpkg_schema|read-write\ngpkg_data_column_constraints||gpkg_schema|read-write\n"
       "gpkg_metadata||gpkg_metadata|read-write\ngpkg_metadata_reference||gpkg_metadata|read-write\n"
       "points|geom|gpkg_rtree_index|write-only\ncheck_shots|geom|gpkg_rtree_index|write-only\n"},
      {"the last change is when the newest point was stored",
       "SELECT last_change FROM gpkg_contents WHERE table_name = 'points'", "2026-06-03T14:11:10.000Z\n"},
      {"a table that was never written to has the instant of creation",
       "SELECT last_change FROM gpkg_contents WHERE table_name = 'check_shots'", "2026-06-03T14:05:10.000Z\n"},
      {"the first column of the view is an integer that is unique",
       "SELECT count(DISTINCT id) = count(*), typeof(id) FROM current_points", "1|integer\n"},
      {"columns of dates hold ISO 8601 with milliseconds and Z", "SELECT started_utc, finished_utc FROM points LIMIT 1",
       "2026-06-03T14:06:50.000Z|2026-06-03T14:07:10.250Z\n"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    CHECK(samples::output_of({STILLPOINT_NEIGHBOUR, "sql", file, row.sql}) == std::string(row.answer) + "ok\n");
  }
}

TEST_CASE("each table of the file says when it last changed, and each layer how far its places reach") {
  samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  auto book = Book::open(file, samples::geographic());
  REQUIRE(book.has_value());
  pointbook::AntennaSetup setup;
  setup.uuid = samples::uuid(8);
  setup.utc = UtcTime{1'780'495'511'000};
  REQUIRE(book->append(samples::point(1)).has_value());
  for (const int number : {5, 2}) REQUIRE(book->append(samples::shot(number)).has_value());
  REQUIRE(book->append(setup).has_value());
  REQUIRE(book->append(pointbook::Event{UtcTime{1'780'495'512'000}, "started", "the day began", ""}).has_value());
  const std::string answer = samples::output_of(
      {STILLPOINT_NEIGHBOUR, "sql", file,
       "SELECT table_name, last_change, printf('%.7f %.7f %.7f %.7f', min_x, max_x, min_y, max_y), min_x IS NULL"
       " FROM gpkg_contents ORDER BY table_name"});
  // Places of the samples: 47.6 + n/70000 degrees north, 87.4 + n/30000 degrees west.
  CHECK(answer ==
        "antenna_setups|2026-06-03T14:05:11.000Z|0.0000000 0.0000000 0.0000000 0.0000000|1\n"
        "check_shots|2026-06-03T14:09:30.000Z|-87.4001667 -87.4000667 47.6000286 47.6000714|0\n"
        "current_points|2026-06-03T14:07:50.000Z|-87.4000333 -87.4000333 47.6000143 47.6000143|0\n"
        "epochs|2026-06-03T14:07:50.000Z|0.0000000 0.0000000 0.0000000 0.0000000|1\n"
        "events|2026-06-03T14:05:12.000Z|0.0000000 0.0000000 0.0000000 0.0000000|1\n"
        "layer_styles|2026-06-03T14:05:10.000Z|0.0000000 0.0000000 0.0000000 0.0000000|1\n"
        "pointbook|2026-06-03T14:05:10.000Z|0.0000000 0.0000000 0.0000000 0.0000000|1\n"
        "points|2026-06-03T14:07:50.000Z|-87.4000333 -87.4000333 47.6000143 47.6000143|0\n"
        "ok\n");
}
