#include <doctest/doctest.h>

#include "pointbook/book.hpp"
#include "pointbook/old_book.hpp"
#include "pointbook/process.hpp"
#include "pointbook/reader.hpp"
#include "pointbook/samples.hpp"
#include "pointbook/schema.hpp"

namespace {

using namespace stillpoint;
using pointbook::Book;

constexpr const char* kEndless =
    " AS WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT i AS id, 1 AS schema_version,"
    " 'EPSG:6319' AS frame, 0 AS training, '' AS name, 1 AS visit, 1 AS version, '' AS uuid, 'held' AS status FROM n";

std::string book_with(const samples::Folder& folder, const std::string& sql) {
  const std::string file = folder.file("day.gpkg");
  {
    auto book = Book::open(file, samples::geographic());
    REQUIRE(book->append(samples::point(1)).has_value());
  }
  REQUIRE(samples::output_of({STILLPOINT_NEIGHBOUR, "sql", file, sql}) == "ok\n");
  return file;
}

std::string why_not_opened(const std::string& file) {
  const auto book = Book::open(file, samples::geographic());
  return book ? "opened" : book.error().text;
}

std::string why_not_read(const std::string& file) {
  const auto read = pointbook::read_contents(file);
  if (!read) return read.error().text;
  return read->damage.empty() ? "read" : read->damage.front();
}

}  // namespace

TEST_CASE("a table that is no plain table is refused before anything is read from it, by every program") {
  struct Row {
    const char* name;
    std::string sql;
    const char* table;
  };
  const Row rows[] = {
      {"points that never end", std::string("DROP TABLE points; CREATE VIEW points") + kEndless, "points"},
      {"the book's own row never comes", std::string("DROP TABLE pointbook; CREATE VIEW pointbook") + kEndless,
       "pointbook"},
      {"events in another spelling", std::string("DROP TABLE events; CREATE VIEW Events") + kEndless, "events"},
      {"a column that is computed",
       "DROP TABLE events; CREATE TABLE events (id, utc, kind, text, details AS (zeroblob(id)))", "events"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const samples::Folder folder;
    const std::string file = book_with(folder, row.sql);
    const std::string said =
        file + " is not a pointbook: " + row.table + " in it is no plain table; choose another file name";
    CHECK(why_not_opened(file) == said);
    CHECK(why_not_read(file) == said);
  }
}

TEST_CASE("triggers and views that do not belong are named; one's own have a name that says so") {
  struct Row {
    const char* name;
    const char* sql;
    std::string said;  ///< empty: nothing
  };
  const Row rows[] = {
      {"a trigger of somebody",
       "CREATE TRIGGER helper AFTER INSERT ON points BEGIN UPDATE gpkg_contents SET min_x = 0; END",
       "holds the trigger helper, which no version"},
      {"a view of somebody", "CREATE VIEW nice AS SELECT * FROM points", "holds the view nice, which no version"},
      {"a trigger of ours with another text",
       "DROP TRIGGER points_no_delete; CREATE TRIGGER points_no_delete BEFORE DELETE ON points BEGIN SELECT 1; END",
       "holds the trigger points_no_delete, which no version"},
      {"a trigger of the spatial index with another text",
       "DROP TRIGGER rtree_points_geom_insert; CREATE TRIGGER rtree_points_geom_insert AFTER INSERT ON points BEGIN "
       "DELETE FROM rtree_points_geom; END",
       "holds the trigger rtree_points_geom_insert, which no version"},
      {"a trigger like those of the spatial index",
       "CREATE TRIGGER rtree_points_geom_update6 AFTER UPDATE ON points BEGIN SELECT 1; END",
       "holds the trigger rtree_points_geom_update6, which no version"},
      {"another table in place of the spatial index",
       "DROP TABLE rtree_points_geom; CREATE TABLE Rtree_points_geom (id, minx, maxx, miny, maxy)",
       "holds the table Rtree_points_geom, which no version"},
      {"an index of another module in its place",
       "DROP TABLE rtree_points_geom; CREATE VIRTUAL TABLE rtree_points_geom USING fts5(id, minx, maxx, miny, maxy)",
       "holds the table rtree_points_geom, which no version"},
      {"one's own",
       "CREATE VIEW own_nice AS SELECT * FROM points; CREATE TRIGGER own_helper AFTER INSERT ON points BEGIN "
       "UPDATE gpkg_contents SET description = 'seen' WHERE table_name = 'points'; END",
       ""},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const samples::Folder folder;
    const std::string file = book_with(folder, row.sql);
    if (row.said.empty()) {
      CHECK(why_not_read(file) == "read");
      auto book = Book::open(file, samples::geographic());
      REQUIRE(book.has_value());
      CHECK(book->append(samples::point(2)).has_value());
      const char* seen = "SELECT description FROM gpkg_contents WHERE table_name = 'points'";
      CHECK(samples::output_of({STILLPOINT_NEIGHBOUR, "sql", file, seen}) == "seen\nok\n");
      continue;
    }
    CHECK(why_not_opened(file).find(row.said) != std::string::npos);
    CHECK(why_not_read(file).find(row.said) != std::string::npos);
  }
}

TEST_CASE("no trigger runs when a book is opened, not even while it is brought up to date") {
  const samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  samples::write_book_of_schema_1(file);
  REQUIRE(samples::output_of(
              {STILLPOINT_NEIGHBOUR, "sql", file,
               "CREATE TRIGGER own_bad AFTER UPDATE ON pointbook BEGIN SELECT RAISE(ABORT, 'ran'); END"}) == "ok\n");
  REQUIRE(Book::open(file, samples::geographic()).has_value());
  CHECK(samples::output_of({STILLPOINT_NEIGHBOUR, "sql", file, "SELECT schema_version FROM pointbook"}) ==
        std::to_string(pointbook::kSchemaVersion) + "\nok\n");
}

TEST_CASE("a book of a newer schema is refused in the same words by who writes and who reads") {
  const samples::Folder folder;
  const std::string file =
      book_with(folder, "DROP TRIGGER pointbook_no_update; UPDATE pointbook SET schema_version = 9");
  const std::string said =
      file + " was made by a newer version of this program; use that one, or choose another file name";
  CHECK(why_not_opened(file) == said);
  CHECK(why_not_read(file) == said);
}
