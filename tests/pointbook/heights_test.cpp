#include <doctest/doctest.h>
#include <sqlite3.h>

#include <string>
#include <vector>

#include "pointbook/book.hpp"
#include "pointbook/geometry.hpp"
#include "pointbook/process.hpp"
#include "pointbook/reader.hpp"
#include "pointbook/samples.hpp"
#include "pointbook/spatial_index.hpp"

namespace {

using namespace stillpoint;
using pointbook::Book;

/// As PROJ 9.1.1 writes NAD83(2011) with heights above a geoid.
std::string compound_wkt(const std::string& geoid) {
  return R"wkt(COMPOUNDCRS["NAD83(2011) + )wkt" + geoid +
         R"wkt( height",GEOGCRS["NAD83(2011)",DATUM["NAD83 (National Spatial Reference System 2011)",ELLIPSOID["GRS 1980",6378137,298.257222101,LENGTHUNIT["metre",1]]],PRIMEM["Greenwich",0,ANGLEUNIT["degree",0.0174532925199433]],CS[ellipsoidal,2],AXIS["geodetic latitude (Lat)",north,ORDER[1],ANGLEUNIT["degree",0.0174532925199433]],AXIS["geodetic longitude (Lon)",east,ORDER[2],ANGLEUNIT["degree",0.0174532925199433]],ID["EPSG",6318]],VERTCRS[")wkt" +
         geoid + R"wkt( height",VDATUM[")wkt" + geoid +
         R"wkt("],CS[vertical,1],AXIS["gravity-related height (H)",up,LENGTHUNIT["metre",1]],GEOIDMODEL[")wkt" + geoid +
         R"wkt("]]])wkt";
}

pointbook::Identity above(const std::string& geoid) {
  pointbook::Identity identity = samples::geographic();
  identity.frame_wkt = compound_wkt(geoid);
  return identity;
}

occupation::StoredPoint at_lake(int number, const char* geoid = "County geoid") {
  auto stored = samples::point(number);
  stored.point.at->longitude_deg = -87.4;
  stored.point.at->latitude_deg = 47.6;
  stored.point.at->ellipsoid_height_m = 183.25;
  stored.point.at->orthometric_height_m = 218.35;
  stored.point.at->geoid = geoid;
  return stored;
}

pointbook::CheckShot shot_at_lake(int number) {
  auto shot = samples::shot(number);
  shot.at = *at_lake(number).point.at;
  return shot;
}

std::string one(const std::string& file, const std::string& sql) {
  sqlite3* database = nullptr;
  std::string out;
  const auto take = [](void* to, int, char** values, char**) {
    *static_cast<std::string*>(to) = values[0] == nullptr ? "NULL" : values[0];
    return 0;
  };
  REQUIRE(sqlite3_open(file.c_str(), &database) == SQLITE_OK);
  REQUIRE(pointbook::add_spatial_functions(database) == SQLITE_OK);
  REQUIRE(sqlite3_exec(database, sql.c_str(), take, &out, nullptr) == SQLITE_OK);
  sqlite3_close(database);
  return out;
}

/// The geometry of the last row of a table.
pointbook::PointXyz place_in(const std::string& file, const std::string& table) {
  const std::string hex = one(file, "SELECT hex(geom) FROM " + table + " ORDER BY id DESC LIMIT 1");
  std::string blob;
  for (std::size_t i = 0; i + 1 < hex.size(); i += 2)
    blob.push_back(static_cast<char>(std::stoi(hex.substr(i, 2), nullptr, 16)));
  const auto point = pointbook::read_point_blob(blob);
  REQUIRE(point.has_value());
  return *point;
}

std::vector<std::string> damage_of(const std::string& file) {
  const auto contents = pointbook::read_contents(file);
  REQUIRE(contents.has_value());
  return contents->damage;
}

}  // namespace

TEST_CASE("the geoid that heights are above is read from a compound frame and from no other") {
  CHECK(pointbook::geoid_in_wkt(compound_wkt("County geoid")) == "County geoid");
  CHECK(pointbook::geoid_in_wkt(compound_wkt("a \"\"new\"\" geoid")) == "a \"new\" geoid");
  CHECK(pointbook::geoid_in_wkt(samples::geographic().frame_wkt).empty());
  CHECK(pointbook::geoid_in_wkt("").empty());
  CHECK(pointbook::geoid_in_wkt("COMPOUNDCRS[\"a\",GEOIDMODEL[\"cut").empty());
}

TEST_CASE("a book begun with heights above a geoid has them as z, of points and of check shots, and says so") {
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  {
    auto book = Book::open(file, above("County geoid"));
    REQUIRE_MESSAGE(book.has_value(), book.error().text);
    CHECK(book->height_note().empty());
    REQUIRE(book->append(at_lake(1)).has_value());
    REQUIRE(book->append(shot_at_lake(2)).has_value());
    CHECK(book->audit().value().empty());
  }
  for (const char* table : {"points", "current_points", "check_shots"}) {
    CAPTURE(table);
    CHECK(place_in(file, table).z == 218.35);
    CHECK(one(file, "SELECT description FROM gpkg_contents WHERE table_name = '" + std::string(table) + "'")
              .ends_with("; z is the height above the geoid County geoid"));
  }
  CHECK(one(file, "SELECT description FROM gpkg_spatial_ref_sys WHERE organization = 'NONE' AND srs_id > 0") ==
        "project frame EPSG:6319; x is longitude or easting, z is the height above the geoid County geoid in metres");
  CHECK(one(file, "SELECT definition_12_063 FROM gpkg_spatial_ref_sys WHERE organization = 'NONE' AND srs_id > 0") ==
        compound_wkt("County geoid"));
  CHECK(damage_of(file).empty());
  auto again = Book::open(file, above("County geoid"));
  REQUIRE(again.has_value());
  CHECK(again->audit().value().empty());
  CHECK(again->read_checks().value().front().at.orthometric_height_m == 218.35);
}

TEST_CASE("a point without a height above the book's geoid is on the map without z, and no damage") {
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  auto outside = at_lake(1);
  outside.point.at->orthometric_height_m.reset();
  outside.point.at->geoid.clear();
  {
    auto book = Book::open(file, above("County geoid"));
    REQUIRE(book.has_value());
    REQUIRE(book->append(outside).has_value());
    CHECK(book->audit().value().empty());
  }
  const auto place = place_in(file, "points");
  CHECK(place.x == -87.4);
  CHECK(place.y == 47.6);
  CHECK_FALSE(place.z.has_value());
  CHECK(damage_of(file).empty());
}

TEST_CASE("a book begun with ellipsoid heights keeps them as z to its end, and says so") {
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  {
    auto book = Book::open(file, samples::geographic());
    REQUIRE(book.has_value());
    REQUIRE(book->append(at_lake(1)).has_value());
  }
  auto book = Book::open(file, above("County geoid"));
  REQUIRE_MESSAGE(book.has_value(), book.error().text);
  CHECK(book->height_note().find("was begun with ellipsoid heights as z and keeps them; the heights above the geoid "
                                 "County geoid are in its column orthometric_height_m") != std::string::npos);
  REQUIRE(book->append(at_lake(2)).has_value());
  REQUIRE(book->append(shot_at_lake(3)).has_value());
  CHECK(place_in(file, "points").z == 183.25);
  CHECK(place_in(file, "check_shots").z == 183.25);
  CHECK(book->audit().value().empty());
  CHECK(damage_of(file).empty());
}

TEST_CASE("a book of one kind of height is refused to a project of another, both named") {
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  { REQUIRE(Book::open(file, above("County geoid")).has_value()); }
  const auto ellipsoid = Book::open(file, samples::geographic());
  REQUIRE_FALSE(ellipsoid.has_value());
  CHECK(ellipsoid.error().text.find("has heights above the geoid County geoid, the project asks for ellipsoid heights; "
                                    "one pointbook has one kind of height") != std::string::npos);
  const auto other = Book::open(file, above("State geoid"));
  REQUIRE_FALSE(other.has_value());
  CHECK(other.error().text.find(
            "above the geoid County geoid, the project asks for heights above the geoid State geoid") !=
        std::string::npos);
}

TEST_CASE("a z that is no longer the row's height is told") {
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  {
    auto book = Book::open(file, above("County geoid"));
    REQUIRE(book.has_value());
    REQUIRE(book->append(at_lake(1)).has_value());
    REQUIRE(book->append(shot_at_lake(2)).has_value());
  }
  for (const char* table : {"points", "check_shots"}) {
    const std::string name(table);
    const std::string trigger = one(file, "SELECT sql FROM sqlite_schema WHERE name = '" + name + "_no_update'");
    one(file, "DROP TRIGGER " + name + "_no_update");
    // The last byte of z decides its sign and size: 218.35 becomes a small number.
    one(file, "UPDATE " + name + " SET geom = substr(geom, 1, length(geom) - 1) || x'3F'");
    one(file, trigger);
  }
  const auto damage = damage_of(file);
  REQUIRE(damage.size() == 2);
  for (const auto& sentence : damage) CHECK(sentence.find("its geometry, which a map shows") != std::string::npos);
}

TEST_CASE("GDAL reads the compound frame, its geoid and z") {
  if (!samples::has_program("ogrinfo")) {
    MESSAGE("SKIPPED: ogrinfo is not installed; install gdal-bin to check the GeoPackage from outside");
    return;
  }
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  auto book = Book::open(file, above("County geoid"));
  REQUIRE(book.has_value());
  REQUIRE(book->append(at_lake(1)).has_value());
  const std::string answer = samples::output_of({"ogrinfo", "-ro", "-al", file, "current_points"});
  CAPTURE(answer);
  for (const char* part : {"COMPOUNDCRS[\"NAD83(2011) + County geoid height\"", "VDATUM[\"County geoid\"]",
                           "GEOIDMODEL[\"County geoid\"]", "POINT Z (-87.4 47.6 218.35)", "Feature Count: 1"}) {
    CAPTURE(part);
    CHECK(answer.find(part) != std::string::npos);
  }
  CHECK(answer.find("Warning") == std::string::npos);
  CHECK(answer.find("ERROR") == std::string::npos);
}
