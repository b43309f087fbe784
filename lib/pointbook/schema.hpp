#pragma once
/// The tables, triggers and view of a pointbook, as GeoPackage 1.3 (OGC 12-128r17) wants them.
///
/// Everything is made in one transaction: after a power cut during creation the file is empty or complete.
/// Append-only: triggers refuse UPDATE, DELETE and REPLACE on every table that holds observations.
/// Frame:   a book whose project has orthometric heights when it is begun has them as z, in a compound frame that names
///          the geoid; a book keeps its kind of z (standard_tables.hpp).
/// Index:   each table of features has a spatial index (spatial_index.hpp); a view can have none.
/// Errors:  SQLite's result codes.

#include "pointbook/book.hpp"
#include "pointbook/database.hpp"

namespace stillpoint::pointbook {

/// 5: a new version may have another name, so that the view goes by what a row supersedes.
/// 6: points have the column `offset_measures`, and those of the base that they rest on.
/// 7: spatial indexes, titles of columns, styles, a metadata record, WKT 1 and the date of coordinates of the frame; the
///    view begins with what people look for. No row of an observation has anything new.
inline constexpr int kSchemaVersion = 7;
inline constexpr std::string_view kApplicationId = "1196444487";  ///< `GPKG` as a number
inline constexpr int kGeoPackageVersion = 10300;

/// What a book of one schema holds beside the tables of the standard.
struct Object {
  std::string type;  ///< `table` `index` `view` `trigger`, as SQLite calls them
  std::string name;
  std::string sql;         ///< the text that makes it, as SQLite keeps it
  bool by_module = false;  ///< made by the table that stands before it
};
/// In the order of making.
std::vector<Object> objects_of(int schema);

/// Inside a transaction of the caller.
int create_schema(Database& database, const Identity& identity);

/// Books of earlier versions get today's columns, view and number. No row of an observation is touched: it reads the
/// values that nobody has set from the columns it never had. Inside a transaction of the caller.
int bring_up_to_date(Database& database, const Identity& identity);
/// Whether there is nothing to bring up to date.
bool is_of_today(Database& database, int* code);

/// The version of the fields that the book's tables have columns for.
int fields_version(Database& database);

/// The one row that says what this pointbook is.
struct BookRow {
  int schema_version = 0;
  std::string frame, frame_wkt;
  bool training = false;
};
std::optional<BookRow> read_book_row(Database& database, int* code);

}  // namespace stillpoint::pointbook
