// What a pointbook holds for other programs beside the rows: the metadata record, the styles, the frame's two definitions
// and the date of coordinates.

#include <doctest/doctest.h>

#include <algorithm>

#include "pointbook/book.hpp"
#include "pointbook/layer_style.hpp"
#include "pointbook/metadata.hpp"
#include "pointbook/process.hpp"
#include "pointbook/samples.hpp"

namespace {

using namespace stillpoint;
using pointbook::Book;

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

std::string sql(const std::string& file, const std::string& query) {
  std::string out = samples::output_of({STILLPOINT_NEIGHBOUR, "sql", file, query});
  return out.ends_with("\nok\n") ? out.substr(0, out.size() - 4) : out;
}

std::string record_in(const std::string& file) {
  return sql(file, "SELECT metadata FROM gpkg_metadata");
}

pointbook::Identity with_contact() {
  auto identity = samples::geographic();
  identity.crew = "A";
  identity.contact = {"A. Brandvold", "Vellin County <GIS> & co", "gis@vellin.example"};
  identity.frame_wkt1 = "GEOGCS[\"NAD83(2011)\"]";
  return identity;
}

occupation::StoredPoint accepted(int number, double error_m = 0.021) {
  auto stored = samples::point(number);
  stored.point.status = occupation::PointStatus::accepted;
  stored.point.reasons.clear();
  stored.point.reason_texts.clear();
  stored.point.at->error95_horizontal_m = error_m;
  return stored;
}

/// ITRF2014 as PROJ 9.1.1 writes it, shortened: the ground moves against it.
pointbook::Identity moving() {
  auto identity = samples::geographic();
  identity.frame = "EPSG:7912";
  identity.frame_wkt =
      "GEOGCRS[\"ITRF2014\",DYNAMIC[FRAMEEPOCH[2010]],DATUM[\"International Terrestrial Reference Frame "
      "2014\",ELLIPSOID["
      "\"GRS 1980\",6378137,298.257222101,LENGTHUNIT[\"metre\",1]]],PRIMEM[\"Greenwich\",0,ANGLEUNIT[\"degree\","
      "0.0174532925199433]],CS[ellipsoidal,3],AXIS[\"geodetic latitude (Lat)\",north,ORDER[1],ANGLEUNIT[\"degree\","
      "0.0174532925199433]],AXIS[\"geodetic longitude (Lon)\",east,ORDER[2],ANGLEUNIT[\"degree\",0.0174532925199433]],"
      "AXIS[\"ellipsoidal height (h)\",up,ORDER[3],LENGTHUNIT[\"metre\",1]],ID[\"EPSG\",7912]]";
  return identity;
}

occupation::StoredPoint of_year(int number, double year) {
  auto stored = accepted(number);
  stored.point.frame = "EPSG:7912";
  stored.point.at->coordinate_epoch = year;
  return stored;
}

constexpr const char* kEpoch =
    "SELECT CASE WHEN epoch IS NULL THEN 'none' ELSE printf('%.2f', epoch) END FROM gpkg_spatial_ref_sys"
    " WHERE srs_id > 4326";

}  // namespace

TEST_CASE("the record has every element that ISO 19115:2003 demands of a dataset, in the order of ISO/TS 19139:2007") {
  // Mandatory and conditional core elements: ISO 19115:2003, table 3, and the obligations of its annex B; their order is
  // that of MD_Metadata_Type and MD_DataIdentification_Type of the schemas of 2007-04-17. Both from memory.
  const std::vector<std::string> wanted{"<gmd:fileIdentifier>",
                                        "<gmd:language>",
                                        "<gmd:characterSet>",
                                        "<gmd:hierarchyLevel>",
                                        "<gmd:contact>",
                                        "<gmd:individualName>",
                                        "<gmd:organisationName>",
                                        "<gmd:electronicMailAddress>",
                                        "<gmd:role>",
                                        "<gmd:dateStamp>",
                                        "<gmd:metadataStandardName>",
                                        "<gmd:metadataStandardVersion>",
                                        "<gmd:referenceSystemInfo>",
                                        "<gmd:identificationInfo>",
                                        "<gmd:citation>",
                                        "<gmd:title>",
                                        "<gmd:date>",
                                        "<gmd:dateType>",
                                        "<gmd:abstract>",
                                        "<gmd:pointOfContact>",
                                        "<gmd:resourceConstraints>",
                                        "<gmd:useLimitation>",
                                        "<gmd:spatialRepresentationType>",
                                        "<gmd:topicCategory>",
                                        "<gmd:extent>",
                                        "<gmd:westBoundLongitude>",
                                        "<gmd:eastBoundLongitude>",
                                        "<gmd:southBoundLatitude>",
                                        "<gmd:northBoundLatitude>",
                                        "<gmd:dataQualityInfo>",
                                        "<gmd:scope>",
                                        "<gmd:DQ_AbsoluteExternalPositionalAccuracy>",
                                        "<gmd:DQ_QuantitativeResult>",
                                        "<gco:Record>",
                                        "<gmd:lineage>",
                                        "<gmd:statement>"};
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  { REQUIRE(Book::open(file, with_contact())->append(accepted(1)).has_value()); }
  REQUIRE(Book::open(file, with_contact()).has_value());
  const std::string record = record_in(file);
  CAPTURE(record);
  std::size_t at = 0;
  for (const std::string& element : wanted) {
    CAPTURE(element);
    const std::size_t found = record.find(element, at);
    REQUIRE(found != std::string::npos);
    at = found;
  }
  CHECK(has(record, "Vellin County &lt;GIS&gt; &amp; co"));
  CHECK(has(record, "not for property boundaries, navigation where lives depend on it"));
  CHECK(has(record, "<gmd:code><gco:CharacterString>6319</gco:CharacterString>"));
  CHECK(sql(file, "SELECT md_scope, md_standard_uri, mime_type FROM gpkg_metadata") ==
        "dataset|http://www.isotc211.org/2005/gmd|text/xml");
  CHECK(sql(file, "SELECT reference_scope, table_name IS NULL, md_parent_id IS NULL FROM gpkg_metadata_reference") ==
        "geopackage|1|1");
}

TEST_CASE(
    "the record tells what the book held when it was opened, when the day was closed, and names no one who is "
    "unknown") {
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  {
    auto book = Book::open(file, samples::geographic());
    REQUIRE(book.has_value());
    CHECK(has(record_in(file), "0 points, 0 of them accepted and 0 held"));
    CHECK(has(record_in(file), "<gmd:contact gco:nilReason=\"missing\"/>"));
    CHECK(has(record_in(file), "<gmd:extent gco:nilReason=\"missing\"/>"));
    CHECK(has(record_in(file), "<gmd:value gco:nilReason=\"missing\"/>"));
    REQUIRE(book->append(accepted(1)).has_value());
    REQUIRE(book->append(samples::point(2)).has_value());
    CHECK(has(record_in(file), "0 points"));
    REQUIRE(
        book->append(pointbook::Event{UtcTime{1'780'499'000'000}, "day-closed", "the day was closed", ""}).has_value());
  }
  const std::string closed = record_in(file);
  CHECK(has(closed, "2 points, 1 of them accepted and 1 held"));
  CHECK(has(closed, "<gco:DateTime>2026-06-03T15:03:20Z</gco:DateTime>"));
  CHECK(has(closed, "<gco:Record>0.021</gco:Record>"));
  CHECK(has(closed, "No control mark was checked."));
  CHECK(has(closed, "not verified yet for at least one point"));
  {
    auto book = Book::open(file, samples::geographic());
    CHECK(record_in(file) == closed);
    REQUIRE(book->append(accepted(3, 0.5)).has_value());
    REQUIRE(book->append(samples::shot(2)).has_value());
    CHECK(has(record_in(file), "2 points"));
    REQUIRE(book->append(pointbook::Event{UtcTime{1'780'499'001'000}, "stopped", "the program ended", ""}).has_value());
    CHECK(has(record_in(file), "3 points"));
  }
  REQUIRE(Book::open(file, with_contact()).has_value());
  const std::string later = record_in(file);
  CHECK(has(later, "3 points, 2 of them accepted and 1 held"));
  CHECK(has(later, "<gco:Record>0.500</gco:Record>"));
  CHECK(has(later, "1 check shots on 1 control marks, 1 passed."));
  CHECK(has(later, "A. Brandvold"));
  CHECK(sql(file, "SELECT count(*) FROM gpkg_metadata") == "1");
  CHECK(sql(file, "SELECT count(*) FROM gpkg_metadata_reference") == "1");
}

TEST_CASE("a training book says in its title and its limits that nothing in it was measured") {
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  auto identity = samples::geographic();
  identity.training = true;
  REQUIRE(Book::open(file, identity).has_value());
  CHECK(has(record_in(file), "TRAINING, no measurements: points of Harrowfen culvert inventory"));
  CHECK(has(record_in(file), "are true nowhere"));
}

TEST_CASE("points on both sides of 180 degrees lie in a narrow box, whose west is the larger number") {
  pointbook::Account account;
  account.begun = account.changed = "2026-06-03T14:05:10.000Z";
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  {
    auto book = Book::open(file, samples::geographic());
    for (const auto& [number, longitude] : {std::pair{1, 179.9}, {2, -179.8}, {3, 179.95}}) {
      auto stored = accepted(number);
      stored.point.at->longitude_deg = longitude;
      REQUIRE(book->append(stored).has_value());
    }
  }
  REQUIRE(Book::open(file, samples::geographic()).has_value());
  CHECK(has(record_in(file), "<gmd:westBoundLongitude><gco:Decimal>179.9000000</gco:Decimal>"));
  CHECK(has(record_in(file), "<gmd:eastBoundLongitude><gco:Decimal>-179.8000000</gco:Decimal>"));
}

TEST_CASE("opening a book writes nothing when its record is as it should be, and runs no trigger when it is not") {
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  { REQUIRE(Book::open(file, with_contact())->append(accepted(1)).has_value()); }
  REQUIRE(Book::open(file, with_contact()).has_value());
  const std::string before = samples::read_file(file);
  REQUIRE(Book::open(file, with_contact()).has_value());
  CHECK(samples::read_file(file) == before);
  sql(file, "CREATE TRIGGER own_bad AFTER UPDATE ON gpkg_metadata BEGIN SELECT RAISE(ABORT, 'ran'); END");
  REQUIRE(Book::open(file, samples::geographic()).has_value());
  CHECK_FALSE(has(record_in(file), "A. Brandvold"));
}

TEST_CASE("while all coordinates are of one date the frame says which, and no longer when they are not") {
  struct Row {
    const char* name;
    std::vector<double> years;
    const char* epoch;
  };
  const Row rows[] = {
      {"no point yet", {}, "none"},
      {"one", {2026.42}, "2026.42"},
      {"a week of work", {2026.42, 2026.43, 2026.44}, "2026.42"},
      {"a season", {2026.42, 2026.60}, "none"},
      {"back to the first date, which is no longer that of all", {2026.42, 2026.60, 2026.42}, "none"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const samples::Folder folder;
    const std::string file = folder.file("day.gpkg");
    auto book = Book::open(file, moving());
    REQUIRE(book.has_value());
    int number = 0;
    for (const double year : row.years) REQUIRE(book->append(of_year(++number, year)).has_value());
    CHECK(sql(file, kEpoch) == row.epoch);
    CHECK(has(sql(file, "SELECT description FROM gpkg_spatial_ref_sys WHERE srs_id = 7912"),
              "the ground moves against it"));
  }
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  REQUIRE(Book::open(file, samples::geographic())->append(accepted(1)).has_value());
  CHECK(sql(file, kEpoch) == "none");  // a frame that moves with its plate needs no date
}

TEST_CASE("GDAL reads the date of the coordinates of a dynamic frame") {
  if (!samples::has_program("ogrinfo")) {
    MESSAGE("SKIPPED: ogrinfo is not installed; install gdal-bin to check the GeoPackage from outside");
    return;
  }
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  auto book = Book::open(file, moving());
  REQUIRE(book->append(of_year(1, 2026.42)).has_value());
  const std::string about = samples::output_of({"ogrinfo", "-ro", "-so", file, "current_points"});
  CAPTURE(about);
  CHECK(has(about, "Coordinate epoch: 2026.42"));
}

TEST_CASE("the frame is defined as WKT 1 where it can be said so, also in a book of before") {
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  const std::string definition = "SELECT definition FROM gpkg_spatial_ref_sys WHERE srs_id = 6319";
  { REQUIRE(Book::open(file, samples::geographic()).has_value()); }
  CHECK(sql(file, definition) == "undefined");
  const std::string other = folder.file("other.gpkg");
  { REQUIRE(Book::open(other, with_contact()).has_value()); }
  CHECK(sql(other, definition) == "GEOGCS[\"NAD83(2011)\"]");
}

TEST_CASE("a layer is drawn by status, each word of it with a shape and a colour of its own") {
  const auto drawn = pointbook::drawn_points("current_points");
  std::vector<std::string> words, shapes, colours;
  for (const auto& value : drawn.values) {
    words.emplace_back(value.value);
    shapes.emplace_back(value.mark);
    colours.emplace_back(value.fill);
  }
  for (const auto status : {occupation::PointStatus::none, occupation::PointStatus::held,
                            occupation::PointStatus::accepted, occupation::PointStatus::rejected}) {
    CHECK(std::count(words.begin(), words.end(), to_word(status)) == 1);
  }
  // The well-known names of Symbology Encoding 1.1.0, 11.3.2.
  for (const std::string& shape : shapes) {
    CHECK(std::count(shapes.begin(), shapes.end(), shape) == 1);
    CHECK(has(" square circle triangle star cross x ", " " + shape + " "));
  }
  for (const std::string& colour : colours) CHECK(std::count(colours.begin(), colours.end(), colour) == 1);
  const std::string document = pointbook::style_document(drawn);
  CHECK(has(document, "<StyledLayerDescriptor xmlns=\"http://www.opengis.net/sld\""));
  CHECK(has(document, "version=\"1.1.0\""));
  CHECK(has(document, "<ogc:PropertyName>status</ogc:PropertyName><ogc:Literal>held</ogc:Literal>"));
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  REQUIRE(Book::open(file, samples::geographic()).has_value());
  CHECK(sql(file, "SELECT f_table_name, f_geometry_column, useAsDefault FROM layer_styles ORDER BY id") ==
        "current_points|geom|1\npoints|geom|1\ncheck_shots|geom|1");
  CHECK(sql(file, "SELECT styleSLD FROM layer_styles WHERE f_table_name = 'current_points'") + "\n" == document + "\n");
}
