#include <doctest/doctest.h>
#include <sqlite3.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <set>

#include "pointbook/compare.hpp"
#include "pointbook/content.hpp"
#include "pointbook/forgetful.hpp"
#include "pointbook/old_book.hpp"
#include "pointbook/process.hpp"
#include "pointbook/reader.hpp"
#include "pointbook/samples.hpp"
#include "pointbook/schema.hpp"
#include "pointbook/spatial_index.hpp"
#include "pointbook/spool.hpp"

namespace {

using namespace stillpoint;
using pointbook::Book;

/// Every row of an answer, its values with `|` between them.
std::vector<std::string> rows_of(const std::string& file, const std::string& sql) {
  sqlite3* database = nullptr;
  std::vector<std::string> rows;
  const auto note = [](void* out, int count, char** values, char**) {
    std::string row;
    for (int i = 0; i < count; ++i) row.append(i == 0 ? "" : "|").append(values[i] == nullptr ? "NULL" : values[i]);
    static_cast<std::vector<std::string>*>(out)->push_back(row);
    return 0;
  };
  REQUIRE(sqlite3_open(file.c_str(), &database) == SQLITE_OK);
  REQUIRE(pointbook::add_spatial_functions(database) == SQLITE_OK);
  REQUIRE(sqlite3_exec(database, sql.c_str(), note, &rows, nullptr) == SQLITE_OK);
  sqlite3_close(database);
  return rows;
}

/// Line breaks and spaces mean nothing to SQLite.
std::string squeezed(const std::string& text) {
  std::string out;
  for (const char c : text) {
    if (c != ' ' && c != '\n')
      out.push_back(c);
    else if (!out.empty() && out.back() != ' ')
      out.push_back(' ');
  }
  return out;
}

constexpr const char* kOurs =
    "SELECT type, name, sql FROM sqlite_schema WHERE name NOT LIKE 'gpkg%' AND name NOT LIKE 'sqlite%'"
    " ORDER BY type, name";
constexpr const char* kSums =
    "SELECT uuid, content_sha256, epochs_sha256 FROM points UNION ALL"
    " SELECT uuid, content_sha256, '' FROM check_shots ORDER BY 1";
const std::string kToday = std::to_string(pointbook::kSchemaVersion);
constexpr const char* kNewColumns = "SELECT estimator, rules, crew FROM points ORDER BY id";

std::vector<std::string> squeezed(std::vector<std::string> rows) {
  for (std::string& row : rows) row = squeezed(row);
  return rows;
}

std::vector<std::string> listed(int schema) {
  std::vector<std::string> rows;
  for (const auto& object : pointbook::objects_of(schema)) {
    rows.push_back(object.type + "|" + object.name + "|" + object.sql);
  }
  std::sort(rows.begin(), rows.end());
  return rows;
}

occupation::StoredPoint newer_point() {
  auto stored = samples::point(101);
  stored.point.estimator = 2;
  stored.point.rules = 3;
  stored.point.crew = "A";
  return stored;
}

constexpr std::array kOfSchema2{"points ADD COLUMN estimator INTEGER NOT NULL DEFAULT 1",
                                "points ADD COLUMN rules INTEGER NOT NULL DEFAULT 1", "points ADD COLUMN crew TEXT"};
constexpr std::array kOfSchema3{"check_shots ADD COLUMN error_scale DOUBLE",
                                "check_shots ADD COLUMN claim_plan_m2 DOUBLE",
                                "check_shots ADD COLUMN claim_up_m2 DOUBLE",
                                "check_shots ADD COLUMN scatter_plan_m2 DOUBLE",
                                "check_shots ADD COLUMN scatter_up_m2 DOUBLE",
                                "check_shots ADD COLUMN mark_sigma_plan_m DOUBLE",
                                "check_shots ADD COLUMN mark_sigma_up_m DOUBLE",
                                "check_shots ADD COLUMN orthometric_height_m DOUBLE",
                                "check_shots ADD COLUMN geoid TEXT"};

constexpr std::array kOfSchema4{"check_shots ADD COLUMN suspect TEXT"};

/// As a program of between wrote it: the tables of schema 2, 3, 4 or 5 with the rows of schema 1.
void write_book_of_schema(int schema, const std::string& file) {
  samples::write_book_of_schema_1(file);
  std::string sql = "DROP VIEW current_points; DROP TRIGGER pointbook_no_update;";
  for (const char* column : kOfSchema2) sql += "ALTER TABLE " + std::string(column) + ";";
  for (const char* column : kOfSchema3)
    if (schema > 2) sql += "ALTER TABLE " + std::string(column) + ";";
  for (const char* column : kOfSchema4)
    if (schema > 3) sql += "ALTER TABLE " + std::string(column) + ";";
  sql += "UPDATE pointbook SET schema_version = " + std::to_string(schema) + ";";
  for (const auto& object : pointbook::objects_of(schema))
    if (object.type == "view" || object.name == "pointbook_no_update" || object.name == "points_superseded")
      sql += object.sql + ";";
  rows_of(file, sql);
}

}  // namespace

TEST_CASE("a book holds what the list of its schema says, and nothing else") {
  const samples::Folder folder;
  const std::string today = folder.file("today.gpkg"), before = folder.file("before.gpkg");
  REQUIRE(Book::open(today, samples::geographic()).has_value());
  auto found = rows_of(today, kOurs);
  std::sort(found.begin(), found.end());
  CHECK(found == listed(pointbook::kSchemaVersion));
  samples::write_book_of_schema_1(before);
  CHECK(squeezed(rows_of(before, kOurs)) == squeezed(listed(1)));
}

TEST_CASE("a book of schema 1 is read as it is, and its rows keep their sums when it is brought up to date") {
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg"), today = folder.file("today.gpkg");
  samples::write_book_of_schema_1(file);
  const auto sums = rows_of(file, kSums);
  REQUIRE(sums.size() == 10);
  const auto read = pointbook::read_contents(file);
  REQUIRE(read.has_value());
  CHECK(read->damage.empty());
  CHECK(read->versions.size() == 8);
  CHECK(read->versions.front().point.rules == 1);
  CHECK(rows_of(file, "SELECT schema_version FROM pointbook") == std::vector<std::string>{"1"});
  for (int start = 0; start < 2; ++start) {
    CAPTURE(start);
    auto book = Book::open(file, samples::geographic());
    REQUIRE(book.has_value());
    CHECK(book->audit().value().empty());
    CHECK(rows_of(file, kSums) == sums);
    CHECK(rows_of(file, kNewColumns) == std::vector<std::string>(8, "1|1|NULL"));
  }
  CHECK(rows_of(file, "SELECT schema_version FROM pointbook") == std::vector<std::string>{kToday});
  REQUIRE(Book::open(today, samples::geographic()).has_value());
  for (const char* table : {"points", "current_points", "check_shots", "epochs", "events", "antenna_setups"}) {
    CAPTURE(table);
    const std::string columns =
        "SELECT name, type, \"notnull\", dflt_value FROM pragma_table_info('" + std::string(table) + "')";
    CHECK(rows_of(file, columns) == rows_of(today, columns));
  }
  CHECK(rows_of(file, "SELECT count(*) FROM current_points") == std::vector<std::string>{"8"});
}

TEST_CASE("what came with version 2 is stored, read, hashed and spooled") {
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  samples::write_book_of_schema_1(file);
  const auto stored = newer_point();
  {
    auto book = Book::open(file, samples::geographic());
    REQUIRE(book.has_value());
    REQUIRE(book->append(stored).has_value());
    CHECK(book->audit().value().empty());
    auto back = book->read_all_versions().value().back();
    back.epochs = book->read_epochs(stored.uuid).value();
    CHECK(pointbook::encode(back) == pointbook::encode(stored));
  }
  CHECK(rows_of(file, kNewColumns).back() == "2|3|A");
  const auto content = pointbook::canonical_content(stored, pointbook::digest_of(stored.epochs));
  CHECK(content.starts_with("stillpoint-content 2\n"));
  CHECK(content.find("\nerror_scale=1.000000\nestimator=2\nrules=3\n") != std::string::npos);
  CHECK(content.find("\ncrew=A\n") != std::string::npos);
  const auto bytes = pointbook::encode(stored);
  CHECK(bytes.starts_with("stillpoint-point 2\n"));
  const auto read = pointbook::decode_stored_point(bytes);
  REQUIRE(read.has_value());
  CHECK(read->point.estimator == 2);
  CHECK(read->point.rules == 3);
  CHECK(read->point.crew == "A");
  CHECK_FALSE(pointbook::decode_stored_point("stillpoint-point 9\n" + bytes.substr(19)).has_value());
}

TEST_CASE("a book of schema 2 is brought up to date, and a shot says what its source's scale can be worked out from") {
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  write_book_of_schema(2, file);
  const auto sums = rows_of(file, kSums);
  REQUIRE(rows_of(file, "SELECT schema_version FROM pointbook") == std::vector<std::string>{"2"});
  const auto read = pointbook::read_contents(file);
  REQUIRE(read.has_value());
  CHECK(read->damage.empty());
  CHECK_FALSE(read->checks.front().error_scale.has_value());
  const auto shot = samples::claiming_shot(9);
  {
    auto book = Book::open(file, samples::geographic());
    REQUIRE(book.has_value());
    CHECK(rows_of(file, kSums) == sums);
    REQUIRE(book->append(shot).has_value());
    CHECK(book->audit().value().empty());
    CHECK(pointbook::differences(book->read_checks().value().back(), shot).empty());
  }
  CHECK(rows_of(file, "SELECT schema_version FROM pointbook") == std::vector<std::string>{kToday});
  CHECK(rows_of(file, "SELECT error_scale, claim_plan_m2, mark_sigma_up_m FROM check_shots ORDER BY id").front() ==
        "NULL|NULL|NULL");
  CHECK(rows_of(file, "SELECT error_scale, claim_plan_m2, mark_sigma_up_m FROM check_shots ORDER BY id").back() ==
        "1.25|0.000128|NULL");
  CHECK(pointbook::encode(shot).starts_with("stillpoint-check 3\n"));
  const auto spooled = pointbook::decode_check_shot(pointbook::encode(shot));
  REQUIRE(spooled.has_value());
  CHECK(pointbook::differences(*spooled, shot).empty());
  CHECK(pointbook::encode(samples::shot(9)).starts_with("stillpoint-check 1\n"));
}

TEST_CASE("a book of schema 3 is brought up to date, and a shot that failed says which mistake is suspected") {
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  write_book_of_schema(3, file);
  CHECK(squeezed(rows_of(file, kOurs)) == squeezed(listed(3)));
  const auto sums = rows_of(file, kSums);
  const auto read = pointbook::read_contents(file);
  REQUIRE(read.has_value());
  CHECK(read->damage.empty());
  CHECK(read->checks.front().suspect.empty());
  auto shot = samples::claiming_shot(9);
  CHECK(pointbook::encode(shot).starts_with("stillpoint-check 3\n"));
  CHECK(pointbook::canonical_content(shot).starts_with("stillpoint-content 3\n"));
  shot.suspect = "mark-frame";
  {
    auto book = Book::open(file, samples::geographic());
    REQUIRE(book.has_value());
    CHECK(rows_of(file, kSums) == sums);
    REQUIRE(book->append(shot).has_value());
    CHECK(book->audit().value().empty());
    CHECK(pointbook::differences(book->read_checks().value().back(), shot).empty());
  }
  CHECK(rows_of(file, "SELECT schema_version FROM pointbook") == std::vector<std::string>{kToday});
  CHECK(rows_of(file, "SELECT suspect FROM check_shots ORDER BY id") ==
        std::vector<std::string>{"NULL", "NULL", "mark-frame"});
  const auto content = pointbook::canonical_content(shot);
  CHECK(content.starts_with("stillpoint-content 4\n"));
  CHECK(content.ends_with("\nmark_sigma_up_m=\nsuspect=mark-frame\n"));
  const auto spooled = pointbook::decode_check_shot(pointbook::encode(shot));
  REQUIRE(spooled.has_value());
  CHECK(spooled->suspect == "mark-frame");
}

TEST_CASE("a book of schema 4 is brought up to date, and a point in it can be renamed") {
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  write_book_of_schema(4, file);
  CHECK(squeezed(rows_of(file, kOurs)) == squeezed(listed(4)));
  const auto sums = rows_of(file, kSums);
  const auto read = pointbook::read_contents(file);
  REQUIRE(read.has_value());
  CHECK(read->damage.empty());
  auto renamed = read->versions.front();
  const std::string before = renamed.point.name;
  renamed.supersedes = std::exchange(renamed.uuid, samples::uuid(900));
  renamed.version = 2;
  renamed.point.name = "CUL-900";
  {
    auto book = Book::open(file, samples::geographic());
    REQUIRE(book.has_value());
    CHECK(rows_of(file, kSums) == sums);
    REQUIRE(book->append(renamed).has_value());
    CHECK(book->audit().value().empty());
  }
  CHECK(squeezed(rows_of(file, kOurs)).size() == listed(pointbook::kSchemaVersion).size());
  CHECK(rows_of(file, "SELECT schema_version FROM pointbook") == std::vector<std::string>{kToday});
  const std::string of_it = "SELECT name FROM current_points WHERE name IN ('CUL-900', '" + before + "') AND visit = 1";
  CHECK(rows_of(file, of_it) == std::vector<std::string>{"CUL-900"});
  CHECK(rows_of(file, "SELECT count(*) FROM current_points") == std::vector<std::string>{"8"});
}

TEST_CASE("a book of schema 5 is brought up to date, and an offset point says what it comes from") {
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  write_book_of_schema(5, file);
  CHECK(squeezed(rows_of(file, kOurs)) == squeezed(listed(5)));
  const auto sums = rows_of(file, kSums);
  auto offset = samples::point(901);
  offset.point.measures = {{{"CUL-7", 2, samples::uuid(7), 4.205, 0.02}}, 123.4, 2.0, -4.5, Side::left, 0.35, 0.05};
  {
    auto book = Book::open(file, samples::geographic());
    REQUIRE(book.has_value());
    CHECK(rows_of(file, kSums) == sums);
    REQUIRE(book->append(offset).has_value());
    CHECK(book->audit().value().empty());
  }
  CHECK(rows_of(file, "SELECT schema_version FROM pointbook") == std::vector<std::string>{kToday});
  CHECK(rows_of(file, "SELECT count(*) FROM points WHERE offset_measures IS NULL") == std::vector<std::string>{"8"});
  const auto read = pointbook::read_contents(file);
  REQUIRE(read.has_value());
  CHECK(read->damage.empty());
  CHECK(read->versions.back().point.measures == offset.point.measures);
  const auto spooled = pointbook::decode_stored_point(pointbook::encode(offset));
  REQUIRE(spooled.has_value());
  CHECK(spooled->point.measures == offset.point.measures);
}

constexpr const char* kStandardRows =
    "SELECT srs_name, srs_id, definition, definition_12_063, epoch, description FROM gpkg_spatial_ref_sys UNION ALL"
    " SELECT table_name, column_name, extension_name, definition, scope, '' FROM gpkg_extensions UNION ALL"
    " SELECT table_name, column_name, name, title, description, '' FROM gpkg_data_columns UNION ALL"
    " SELECT f_table_name, f_geometry_column, styleName, styleSLD, useAsDefault, description FROM layer_styles UNION "
    "ALL"
    " SELECT table_name, data_type, identifier, description, '', srs_id FROM gpkg_contents ORDER BY 1, 2, 3";

TEST_CASE("a book of schema 6 gets all that others look for, and its rows keep their identities and sums") {
  for (const int schema : {1, 6}) {
    CAPTURE(schema);
    const samples::Folder folder;
    const std::string file = folder.file("day.gpkg"), today = folder.file("today.gpkg");
    samples::write_kept_book(schema, file);
    CHECK(squeezed(rows_of(file, kOurs)) == squeezed(listed(schema)));
    const auto sums = rows_of(file, kSums);
    const std::string order = "SELECT id, uuid, name, geom FROM points ORDER BY id";
    const auto rows = rows_of(file, order);
    const auto read = pointbook::read_contents(file);
    REQUIRE(read.has_value());
    CHECK(read->damage.empty());
    CHECK(rows_of(file, "SELECT schema_version FROM pointbook") == std::vector<std::string>{std::to_string(schema)});
    for (int start = 0; start < 2; ++start) {
      auto book = Book::open(file, samples::geographic());
      REQUIRE_MESSAGE(book.has_value(), book.error().text);
      CHECK(book->audit().value().empty());
    }
    REQUIRE(Book::open(today, samples::geographic()).has_value());
    CHECK(rows_of(file, kSums) == sums);
    CHECK(rows_of(file, order) == rows);
    CHECK(squeezed(rows_of(file, kOurs)).size() == listed(pointbook::kSchemaVersion).size());
    CHECK(rows_of(file, kStandardRows) == rows_of(today, kStandardRows));
    for (const std::string table : {"points", "check_shots"}) {
      CAPTURE(table);
      CHECK(rows_of(file, "SELECT count(*) FROM " + table + " AS t WHERE geom IS NOT NULL") ==
            rows_of(file, "SELECT count(*) FROM rtree_" + table + "_geom JOIN " + table + " ON rtree_" + table +
                              "_geom.id = " + table +
                              ".id WHERE minx <= longitude_deg AND"
                              " longitude_deg <= maxx AND miny <= latitude_deg AND latitude_deg <= maxy"));
    }
    CHECK(rows_of(file, "SELECT count(*) FROM gpkg_metadata") == std::vector<std::string>{"1"});
  }
}

TEST_CASE("what others have written into an old book's tables of the standard stays when it is brought up to date") {
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  samples::write_kept_book(6, file);
  rows_of(
      file,
      "CREATE TABLE layer_styles (id INTEGER PRIMARY KEY, styleName TEXT); INSERT INTO layer_styles VALUES (1, 'mine');"
      "CREATE VIRTUAL TABLE rtree_points_geom USING rtree(id, minx, maxx, miny, maxy);"
      "CREATE TABLE gpkg_metadata (id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, md_scope TEXT NOT NULL DEFAULT"
      " 'dataset', md_standard_uri TEXT NOT NULL, mime_type TEXT NOT NULL DEFAULT 'text/xml', metadata TEXT NOT NULL"
      " DEFAULT ''); INSERT INTO gpkg_metadata VALUES (7, 'dataset', 'http://example.org', 'text/plain', 'mine')");
  {
    auto book = Book::open(file, samples::geographic());
    REQUIRE_MESSAGE(book.has_value(), book.error().text);
    REQUIRE(book->append(newer_point()).has_value());
    CHECK(book->audit().value().empty());
  }
  CHECK(rows_of(file, "SELECT * FROM layer_styles") == std::vector<std::string>{"1|mine"});
  CHECK(rows_of(file, "SELECT id, mime_type FROM gpkg_metadata") ==
        std::vector<std::string>{"7|text/plain", "8|text/xml"});
  CHECK(rows_of(file, "SELECT count(*) FROM rtree_points_geom") ==
        rows_of(file, "SELECT count(*) FROM points WHERE geom IS NOT NULL"));
}

TEST_CASE("the view begins with what people look for, and has every column of the points once") {
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  REQUIRE(Book::open(file, samples::geographic()).has_value());
  const auto columns = rows_of(file, "SELECT name FROM pragma_table_info('current_points')");
  const std::vector<std::string> first{"id",
                                       "geom",
                                       "name",
                                       "code",
                                       "status",
                                       "easting_m",
                                       "northing_m",
                                       "latitude_deg",
                                       "longitude_deg",
                                       "orthometric_height_m",
                                       "ellipsoid_height_m"};
  REQUIRE(columns.size() > first.size());
  CHECK(std::vector<std::string>(columns.begin(), columns.begin() + static_cast<std::ptrdiff_t>(first.size())) ==
        first);
  const std::string sorted = " ORDER BY name";
  CHECK(rows_of(file, "SELECT name, type FROM pragma_table_info('current_points')" + sorted) ==
        rows_of(file, "SELECT name, type FROM pragma_table_info('points')" + sorted));
}

TEST_CASE("every column of the book has a title and a description, and nothing else is explained") {
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  REQUIRE(Book::open(file, samples::geographic()).has_value());
  std::vector<std::string> wanted;
  for (const char* table :
       {"antenna_setups", "check_shots", "current_points", "epochs", "events", "pointbook", "points"}) {
    for (const std::string& column : rows_of(file, "SELECT name FROM pragma_table_info('" + std::string(table) + "')"))
      wanted.push_back(std::string(table) + "|" + column);
  }
  auto found =
      rows_of(file, "SELECT table_name, column_name FROM gpkg_data_columns WHERE title <> '' AND description <> ''");
  std::sort(wanted.begin(), wanted.end());
  std::sort(found.begin(), found.end());
  CHECK(found == wanted);
}

TEST_CASE("a point says which base it rests on and where that base said it stands, and one without says nothing") {
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  samples::write_book_of_schema_1(file);
  const auto sums = rows_of(file, kSums);
  auto based = samples::point(901);
  based.point.base_station = 2003;
  based.point.base_x_m = 1114104.5999;
  based.point.base_y_m = -4850729.7108;
  based.point.base_z_m = 3975521.4643;
  {
    auto book = Book::open(file, samples::geographic());
    REQUIRE(book.has_value());
    CHECK(rows_of(file, kSums) == sums);
    REQUIRE(book->append(based).has_value());
    CHECK(book->audit().value().empty());
  }
  CHECK(rows_of(file, "SELECT base_station, printf('%.4f', base_y_m) FROM points WHERE base_z_m IS NOT NULL") ==
        std::vector<std::string>{"2003|-4850729.7108"});
  const auto read = pointbook::read_contents(file);
  REQUIRE(read.has_value());
  CHECK(read->damage.empty());
  CHECK(read->versions.back().point.base_station == 2003);
  CHECK(read->versions.back().point.base_x_m == 1114104.5999);
  const auto spooled = pointbook::decode_stored_point(pointbook::encode(based));
  REQUIRE(spooled.has_value());
  CHECK(spooled->point.base_z_m == 3975521.4643);
  CHECK(pointbook::encode(samples::point(902)).starts_with("stillpoint-point 1\n"));
}

TEST_CASE("the newest of ten thousand points are found by an index") {
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  REQUIRE(Book::open(file, samples::geographic()).has_value());
  std::string plan;
  for (const std::string& row : rows_of(file, "EXPLAIN QUERY PLAN SELECT * FROM current_points")) plan += row + "\n";
  CAPTURE(plan);
  CHECK(plan.find("INDEX points_superseded (supersedes=?)") != std::string::npos);
  CHECK(plan.find("SCAN newer") == std::string::npos);
}

TEST_CASE("what a program of before did not write down about a shot is no difference from the same made anew") {
  auto again = samples::claiming_shot(9);
  CHECK(pointbook::differences(samples::shot(9), again).empty());
  const auto stored = again;
  CHECK(pointbook::differences(stored, again).empty());
  again.claim_plan_m2 = 1;
  CHECK(pointbook::differences(stored, again).front().field == "claim_plan_m2");
  auto suspected = stored;
  suspected.suspect = "mark-frame";
  CHECK(pointbook::differences(stored, suspected).empty());
  CHECK(pointbook::differences(suspected, stored).front().field == "suspect");
}

TEST_CASE("a book that somebody reads stays as it is until the next row is stored") {
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  samples::write_book_of_schema_1(file);
  samples::Process reader({STILLPOINT_NEIGHBOUR, "read", file});
  while (const auto line = reader.line()) {
    if (*line == "ok" && reader.line() == "8") break;
  }
  auto book = Book::open(file, samples::geographic(), {.busy_wait_ms = 1});
  REQUIRE(book.has_value());
  CHECK(rows_of(file, "SELECT schema_version FROM pointbook") == std::vector<std::string>{"1"});
  CHECK(book->read_current().value().size() == 8);
  reader.finish();
  REQUIRE(book->append(newer_point()).has_value());
  CHECK(rows_of(file, "SELECT schema_version FROM pointbook") == std::vector<std::string>{kToday});
  CHECK(book->audit().value().empty());
}

TEST_CASE("after a power cut at any operation of a migration the book is of the one schema or of the other") {
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  samples::write_book_of_schema_1(file);
  const auto sums = rows_of(file, kSums);
  const samples::Files before{{file, samples::read_file(file)}};
  std::set<std::string> found;
  std::uint64_t operation = 1;
  for (bool finished = false; !finished; ++operation) {
    CAPTURE(operation);
    samples::ForgetfulStore store(before);
    const samples::ForgetfulVfs vfs(store);
    store.cut_power_at(operation);
    (void)Book::open(file, samples::geographic(), {.vfs = vfs.name()});
    finished = !store.power_is_off();
    for (const auto loss : {samples::Loss::all, samples::Loss::nothing, samples::Loss::some}) {
      for (const auto& entry : std::filesystem::directory_iterator(folder.path())) std::filesystem::remove(entry);
      for (const auto& [name, bytes] : store.after_power_cut(loss, operation)) samples::write_file(name, bytes);
      REQUIRE(rows_of(file, kSums) == sums);
      const auto schema = rows_of(file, "SELECT schema_version FROM pointbook").front();
      REQUIRE(rows_of(file, kOurs).size() == listed(schema == kToday ? pointbook::kSchemaVersion : 1).size());
      const auto columns = rows_of(file, "SELECT name FROM pragma_table_info('points') WHERE name = 'crew'");
      REQUIRE(columns.size() == (schema == kToday ? 1 : 0));
      found.insert(schema);
      if (finished && loss == samples::Loss::all) REQUIRE(schema == kToday);
      auto book = Book::open(file, samples::geographic());
      REQUIRE(book.has_value());
      REQUIRE(book->audit().value().empty());
      REQUIRE(book->append(newer_point()).has_value());
    }
  }
  MESSAGE((operation - 2) << " operations, each cut in 3 ways");
  CHECK(found == std::set<std::string>{"1", kToday});
}

TEST_CASE("a geometry that was moved away from its row's coordinates is told, by the book and by a reader") {
  struct Row {
    const char* name;
    const char* table;
    const char* geometry;
    std::size_t told;
  };
  // OGC 12-128r17, 2.1.3: 8 bytes of header, then a POINT Z.
  const Row rows[] = {
      {"a point stands elsewhere", "points", "substr(geom, 1, 20) || x'0102030405' || substr(geom, 26)", 1},
      {"a point's geometry is gone", "points", "NULL", 1},
      {"a check shot stands elsewhere", "check_shots", "substr(geom, 1, 36) || x'01'", 1},
      {"nothing was changed", "points", "geom", 0},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const samples::Folder folder;
    const std::string file = folder.file("day.gpkg");
    {
      auto book = Book::open(file, samples::geographic());
      REQUIRE(book->append(samples::point(1)).has_value());
      REQUIRE(book->append(samples::shot(1)).has_value());
    }
    const std::string table = row.table;
    const std::string trigger =
        rows_of(file, "SELECT sql FROM sqlite_schema WHERE name = '" + table + "_no_update'")[0];
    rows_of(file, "DROP TRIGGER " + table + "_no_update; UPDATE " + table + " SET geom = CAST(" + row.geometry +
                      " AS BLOB); " + trigger);
    const auto read = pointbook::read_contents(file);
    REQUIRE(read.has_value());
    CHECK(read->damage.size() == row.told);
    const auto wrong = Book::open(file, samples::geographic())->audit().value();
    REQUIRE(wrong.size() == row.told);
    for (const std::string& sentence : wrong) CHECK(sentence.find("geometry") != std::string::npos);
  }
}
