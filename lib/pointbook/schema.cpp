#include "pointbook/schema.hpp"

#include <sqlite3.h>

#include <algorithm>
#include <array>
#include <span>

#include "pointbook/fields.hpp"
#include "pointbook/geometry.hpp"
#include "pointbook/rows.hpp"
#include "pointbook/sentences.hpp"

namespace stillpoint::pointbook {
namespace {

// The tables of the standard, with its own column definitions (OGC 12-128r17, tables 3 to 6 and 19; annex F.10).
constexpr std::string_view kStandardTables = R"sql(
CREATE TABLE gpkg_spatial_ref_sys (
  srs_name TEXT NOT NULL, srs_id INTEGER NOT NULL PRIMARY KEY, organization TEXT NOT NULL,
  organization_coordsys_id INTEGER NOT NULL, definition TEXT NOT NULL, description TEXT,
  definition_12_063 TEXT NOT NULL);
CREATE TABLE gpkg_contents (
  table_name TEXT NOT NULL PRIMARY KEY, data_type TEXT NOT NULL, identifier TEXT UNIQUE, description TEXT DEFAULT '',
  last_change DATETIME NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')),
  min_x DOUBLE, min_y DOUBLE, max_x DOUBLE, max_y DOUBLE, srs_id INTEGER,
  CONSTRAINT fk_gc_r_srs_id FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys(srs_id));
CREATE TABLE gpkg_geometry_columns (
  table_name TEXT NOT NULL, column_name TEXT NOT NULL, geometry_type_name TEXT NOT NULL, srs_id INTEGER NOT NULL,
  z TINYINT NOT NULL, m TINYINT NOT NULL,
  CONSTRAINT pk_geom_cols PRIMARY KEY (table_name, column_name),
  CONSTRAINT uk_gc_table_name UNIQUE (table_name),
  CONSTRAINT fk_gc_tn FOREIGN KEY (table_name) REFERENCES gpkg_contents(table_name),
  CONSTRAINT fk_gc_srs FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys(srs_id));
CREATE TABLE gpkg_extensions (
  table_name TEXT, column_name TEXT, extension_name TEXT NOT NULL, definition TEXT NOT NULL, scope TEXT NOT NULL,
  CONSTRAINT ge_tce UNIQUE (table_name, column_name, extension_name));
)sql";

constexpr std::string_view kStandardRows = R"sql(
INSERT INTO gpkg_extensions VALUES ('gpkg_spatial_ref_sys', 'definition_12_063', 'gpkg_crs_wkt',
  'http://www.geopackage.org/spec120/#extension_crs_wkt', 'read-write');
INSERT INTO gpkg_spatial_ref_sys VALUES
  ('Undefined cartesian SRS', -1, 'NONE', -1, 'undefined', 'undefined cartesian coordinate reference system',
   'undefined'),
  ('Undefined geographic SRS', 0, 'NONE', 0, 'undefined', 'undefined geographic coordinate reference system',
   'undefined'),
  ('WGS 84 geodetic', 4326, 'EPSG', 4326,
   'GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563,AUTHORITY["EPSG","7030"]],AUTHORITY["EPSG","6326"]],PRIMEM["Greenwich",0,AUTHORITY["EPSG","8901"]],UNIT["degree",0.0174532925199433,AUTHORITY["EPSG","9122"]],AUTHORITY["EPSG","4326"]]',
   'longitude/latitude coordinates in decimal degrees on the WGS 84 spheroid',
   'GEODCRS["WGS 84",DATUM["World Geodetic System 1984",ELLIPSOID["WGS 84",6378137,298.257223563,LENGTHUNIT["metre",1]]],PRIMEM["Greenwich",0,ANGLEUNIT["degree",0.0174532925199433]],CS[ellipsoidal,2],AXIS["geodetic latitude (Lat)",north,ORDER[1],ANGLEUNIT["degree",0.0174532925199433]],AXIS["geodetic longitude (Lon)",east,ORDER[2],ANGLEUNIT["degree",0.0174532925199433]],ID["EPSG",4326]]');
)sql";

// The view has the newest version of each point, whatever it was called before, with the flag `day-not-closed` while no closing covers it
// (closings.hpp). It has the same columns as `points`, so that what is written down for one serves the other; GIS
// programs want each column's type, and a view of two halves has the types of its first. Between the
// parts of its text stand what is newer and the columns.
constexpr std::string_view kViewBegins = R"sql(CREATE VIEW current_points AS
  WITH closings AS MATERIALIZED (
    SELECT julianday(utc) AS day FROM events AS closing WHERE kind = 'day-closed' AND NOT EXISTS (
      SELECT 1 FROM events AS merged WHERE merged.kind = 'merged' AND merged.id > closing.id
        AND (coalesce(merged.details, '') NOT LIKE '%"closed":true%' OR merged.details LIKE '%"closed":false%')))
  SELECT p.* FROM points AS p WHERE NOT EXISTS (
    SELECT 1 FROM points AS newer WHERE )sql";
constexpr std::string_view kViewClosed = R"sql()
    AND EXISTS (SELECT 1 FROM closings WHERE day - julianday(p.finished_utc) BETWEEN 0.0 AND 1.0)
  UNION ALL
)sql";
constexpr std::string_view kViewOpen = R"sql(
  FROM points AS p WHERE NOT EXISTS (
    SELECT 1 FROM points AS newer WHERE )sql";
constexpr std::string_view kViewEnds = R"sql()
    AND NOT EXISTS (SELECT 1 FROM closings WHERE day - julianday(p.finished_utc) BETWEEN 0.0 AND 1.0))sql";

/// Since when a point may be renamed: what supersedes a row is found by its uuid, not by its name.
constexpr int kRenames = 5;
std::string_view what_is_newer(int schema) {
  return schema < kRenames ? "newer.name = p.name AND newer.visit = p.visit AND newer.version > p.version"
                           : "newer.supersedes = p.uuid";
}

struct Column {
  std::string name, definition;
  int since = 1;
};

/// The columns of a list, in its order, with the types that follow from its members.
struct Columns {
  std::vector<Column> all;

  template <class Value>
  void operator()(const Field& field, const Value& value) {
    if constexpr (std::is_same_v<Value, Geometry>) {
      add(field, "POINT", true, {});
    } else if constexpr (kIsOptional<Value>) {
      add(field, type_of<typename Value::value_type>(field), true, {});
    } else {
      const std::string unset = content_text(field, value);
      add(field, type_of<Value>(field), field.nullable, kIsText<Value> ? "'" + unset + "'" : unset);
    }
  }

 private:
  template <class Value>
  static std::string type_of(const Field& field) {
    if constexpr (std::is_same_v<Value, double>) return "DOUBLE";
    if constexpr (std::is_same_v<Value, UtcTime>) return "DATETIME";
    if constexpr (std::is_same_v<Value, bool>) return field.words == nullptr ? "BOOLEAN" : "TEXT";
    if constexpr (kIsWholeNumber<Value>) return "INTEGER";
    return "TEXT";
  }
  /// Rows from before a column was there get the value that nobody has set.
  void add(const Field& field, std::string type, bool nullable, const std::string& unset) {
    if (!nullable) type += " NOT NULL";
    if (!nullable && field.since > 1) type += " DEFAULT " + unset;
    if (field.unique) type += " UNIQUE";
    all.push_back({std::string(field.name), std::move(type), field.since});
  }
};

/// A table of ours: the columns that are no fields, the list of the others, and where version 1 placed them.
struct Table {
  std::string_view name;
  std::string_view head{};                   ///< before the list
  std::vector<std::string_view> in_front{};  ///< of the list, in this order
  std::vector<std::string_view> at_end{};    ///< of what version 1 knew, in this order
  std::string_view tail{};                   ///< after all columns
  std::vector<Column> columns{};             ///< of the list, in the table's order
};

std::vector<Column> placed(std::vector<Column> columns, const Table& table) {
  const auto rank = [&table](const Column& column) {
    const auto front = std::find(table.in_front.begin(), table.in_front.end(), column.name);
    if (front != table.in_front.end()) return front - table.in_front.begin() - 1000;
    const auto end = std::find(table.at_end.begin(), table.at_end.end(), column.name);
    return end != table.at_end.end() ? end - table.at_end.begin() + 1000 : 0;
  };
  std::stable_sort(columns.begin(), columns.end(), [&rank](const Column& a, const Column& b) {
    return std::pair{a.since, rank(a)} < std::pair{b.since, rank(b)};
  });
  return columns;
}

template <class Row, class Visit>
Table table_of(Table table, Visit visit) {
  Columns columns;
  const Row row{};
  visit(columns, row);
  table.columns = placed(std::move(columns.all), table);
  return table;
}

/// In the order of making.
const std::vector<Table>& tables() {
  static const std::vector<Table> kTables = [] {
    std::vector<Table> all;
    all.push_back(table_of<PointRow>({.name = "points",
                                      .in_front = {"geom", "name", "visit", "version", "uuid", "supersedes", "status"},
                                      .at_end = {"changed_by", "change_reason", "training", "epochs_kept",
                                                 "epochs_sha256", "content_sha256", "stored_at"},
                                      .tail = ",\n  UNIQUE (name, visit, version)"},
                                     [](auto& io, auto& row) { point_row_fields(io, row); }));
    all.push_back(table_of<ShotRow>({.name = "check_shots", .in_front = {"geom"}},
                                    [](auto& io, auto& row) { shot_row_fields(io, row); }));
    all.push_back(table_of<occupation::EpochRecord>({.name = "epochs", .head = "point_uuid TEXT NOT NULL"},
                                                    [](auto& io, auto& row) { occupation::epoch_fields(io, row); }));
    all.push_back(table_of<Event>({.name = "events"}, [](auto& io, auto& row) { event_fields(io, row); }));
    all.push_back(
        table_of<AntennaSetup>({.name = "antenna_setups"}, [](auto& io, auto& row) { antenna_fields(io, row); }));
    all.push_back({.name = "pointbook",
                   .head = "schema_version INTEGER NOT NULL, project TEXT NOT NULL,\n  frame TEXT NOT NULL, "
                           "frame_wkt TEXT NOT NULL, training BOOLEAN NOT NULL"});
    return all;
  }();
  return kTables;
}

/// For the view, which asks it of every row.
Object index_of_superseded() {
  return {"index", "points_superseded", "CREATE INDEX points_superseded ON points (supersedes)"};
}

/// Adds ", part" to a text of lines that hold at most 120 characters.
void add_part(std::string& text, std::string_view part, std::string_view indent) {
  const std::size_t line_begins = text.rfind('\n') + 1;
  const bool fits = text.size() + 2 + part.size() + 1 - line_begins <= 120;
  text.append(fits ? ", " : ",\n");
  if (!fits) text.append(indent);
  text.append(part);
}

std::string create_table(const Table& table, int schema) {
  std::string sql = "CREATE TABLE " + std::string(table.name) + " (\n  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL";
  if (!table.head.empty()) sql.append(", ").append(table.head);
  for (const Column& column : table.columns) {
    if (column.since <= schema) add_part(sql, column.name + " " + column.definition, "  ");
  }
  return sql.append(table.tail).append(")");
}

std::string create_view(int schema) {
  std::string columns = "  SELECT id";
  for (const Column& column : tables().front().columns) {
    if (column.since > schema) continue;
    const bool flags = column.name == "flags";
    add_part(columns, flags ? "ltrim(coalesce(flags, '') || ' day-not-closed')" : column.name, "    ");
  }
  std::string sql(kViewBegins);
  sql.append(what_is_newer(schema)).append(kViewClosed).append(columns);
  return sql.append(kViewOpen).append(what_is_newer(schema)).append(kViewEnds);
}

/// REPLACE deletes rows without asking the DELETE trigger, so an insert over an existing row is refused as well.
void add_triggers(std::vector<Object>& objects, std::string_view table) {
  const std::string name(table);
  const std::string refuse = " BEGIN SELECT RAISE(ABORT, '" + kSay.append_only(name) + "'); END";
  std::string taken = "id = NEW.id";
  if (table == "points")
    taken += " OR uuid = NEW.uuid OR (name = NEW.name AND visit = NEW.visit AND version = NEW.version)";
  if (table == "check_shots" || table == "antenna_setups") taken += " OR uuid = NEW.uuid";
  const auto add = [&](const std::string& what, const std::string& body) {
    objects.push_back({"trigger", name + what, "CREATE TRIGGER " + name + what + body + refuse});
  };
  add("_no_update", " BEFORE UPDATE ON " + name);
  add("_no_delete", " BEFORE DELETE ON " + name);
  add("_no_replace", " BEFORE INSERT ON " + name + " WHEN EXISTS (SELECT 1 FROM " + name + " WHERE " + taken + ")");
}

struct Content {
  std::string_view table;
  std::string_view identifier;
  std::string_view description;
  bool feature;
};
constexpr std::array kContents{
    Content{"current_points", kSay.current_points.words(), kSay.newest_versions.words(), true},
    Content{"points", kSay.points.words(), kSay.every_version.words(), true},
    Content{"check_shots", kSay.check_shots.words(), kSay.shots_on_marks.words(), true},
    Content{"epochs", "Epochs", kSay.every_epoch.words(), false},
    Content{"events", "Events", kSay.what_happened.words(), false},
    Content{"antenna_setups", kSay.antenna_setups.words(), kSay.how_high.words(), false},
    Content{"pointbook", "Pointbook", kSay.locked_to.words(), false},
};

int insert_frame(Database& database, const Identity& identity, const SrsName& srs) {
  Statement insert =
      database.prepare("INSERT OR IGNORE INTO gpkg_spatial_ref_sys VALUES (?, ?, ?, ?, 'undefined', ?, ?)");
  const std::string name = name_in_wkt(identity.frame_wkt);
  insert.text(name.empty() ? identity.frame : name).integer(std::int64_t{srs.srs_id});
  insert.text(srs.organization).integer(std::int64_t{srs.organization_id});
  const std::string geoid = geoid_in_wkt(identity.frame_wkt);
  insert.text(geoid.empty() ? kSay.project_frame(identity.frame) : kSay.project_frame_above(identity.frame, geoid));
  return insert.text(identity.frame_wkt.empty() ? "undefined" : identity.frame_wkt).run();
}

int insert_contents(Database& database, const Identity& identity, const SrsName& srs) {
  Statement contents = database.prepare(
      "INSERT INTO gpkg_contents (table_name, data_type, identifier, description, last_change, srs_id)"
      " VALUES (?, ?, ?, ?, ?, ?)");
  // A point outside the geoid's grid has no height above it: then z is optional (2), else mandatory (1).
  const std::string geoid = geoid_in_wkt(identity.frame_wkt);
  Statement geometry = database.prepare("INSERT INTO gpkg_geometry_columns VALUES (?, 'geom', 'POINT', ?, " +
                                        std::string(geoid.empty() ? "1" : "2") + ", 0)");
  for (const Content& content : kContents) {
    contents.text(content.table).text(content.feature ? "features" : "attributes").text(content.identifier);
    std::string description(content.description);
    if (content.feature && !geoid.empty()) description = kSay.z_above(description, geoid);
    contents.text(description).time(identity.created_at);
    if (content.feature) contents.integer(std::int64_t{srs.srs_id});
    int code = contents.run();
    if (code == SQLITE_OK && content.feature) {
      code = geometry.text(content.table).integer(std::int64_t{srs.srs_id}).run();
    }
    if (code != SQLITE_OK) return code;
  }
  return SQLITE_OK;
}

int insert_book_row(Database& database, const Identity& identity) {
  Statement insert = database.prepare(
      "INSERT INTO pointbook (schema_version, project, frame, frame_wkt, training) VALUES (?, ?, ?, ?, ?)");
  insert.integer(std::int64_t{kSchemaVersion}).text(identity.project).text(identity.frame).text(identity.frame_wkt);
  return insert.integer(std::int64_t{identity.training ? 1 : 0}).run();
}

}  // namespace

std::vector<Object> objects_of(int schema) {
  std::vector<Object> objects;
  for (const Table& table : tables()) {
    objects.push_back({"table", std::string(table.name), create_table(table, schema)});
    if (table.name == "epochs")
      objects.push_back({"index", "epochs_of_point", "CREATE INDEX epochs_of_point ON epochs (point_uuid)"});
  }
  if (schema >= kRenames) objects.push_back(index_of_superseded());
  objects.push_back({"view", "current_points", create_view(schema)});
  for (const Table& table : tables()) add_triggers(objects, table.name);
  return objects;
}

int create_schema(Database& database, const Identity& identity) {
  const std::string marks = "PRAGMA application_id = " + std::string(kApplicationId) +
                            ";PRAGMA user_version = " + std::to_string(kGeoPackageVersion);
  const SrsName srs = frame_of(identity).srs;
  const std::vector<Object> objects = objects_of(kSchemaVersion);
  const auto make = [&](bool triggers) {
    for (const Object& object : objects) {
      if ((object.type == "trigger") != triggers) continue;
      if (const int code = database.run(object.sql); code != SQLITE_OK) return code;
    }
    return SQLITE_OK;
  };
  int code = database.run(marks);
  if (code == SQLITE_OK) code = database.run(kStandardTables);
  if (code == SQLITE_OK) code = database.run(kStandardRows);
  if (code == SQLITE_OK) code = make(false);
  if (code == SQLITE_OK) code = insert_frame(database, identity, srs);
  if (code == SQLITE_OK) code = insert_contents(database, identity, srs);
  if (code == SQLITE_OK) code = insert_book_row(database, identity);
  return code == SQLITE_OK ? make(true) : code;
}

bool is_of_today(Database& database, int* code) {
  const auto row = read_book_row(database, code);
  if (!row) return false;
  const auto view = database.value("SELECT sql FROM sqlite_schema WHERE name = 'current_points'", code);
  return *code == SQLITE_OK && row->schema_version == kSchemaVersion && view == create_view(kSchemaVersion);
}

int bring_up_to_date(Database& database) {
  int code = SQLITE_OK;
  const auto row = read_book_row(database, &code);
  if (!row) return code;
  std::string sql = "DROP VIEW IF EXISTS current_points;";
  for (const Table& table : tables()) {
    for (const Column& column : table.columns) {
      if (column.since <= row->schema_version) continue;
      sql += "ALTER TABLE " + std::string(table.name) + " ADD COLUMN " + column.name + " " + column.definition + ";";
    }
  }
  if (row->schema_version < kRenames) sql += index_of_superseded().sql + ";";
  // The one row that is ever changed: programs from before must see that they do not know this book.
  const std::string no_update = "pointbook_no_update";
  sql += create_view(kSchemaVersion) + ";DROP TRIGGER IF EXISTS " + no_update +
         ";UPDATE pointbook SET schema_version = " + std::to_string(kSchemaVersion) + ";";
  for (const Object& object : objects_of(kSchemaVersion)) {
    if (object.name == no_update) sql += object.sql + ";";
  }
  return database.run(sql);
}

int fields_version(Database& database) {
  int code = SQLITE_OK;
  const auto row = read_book_row(database, &code);
  return row ? std::clamp(row->schema_version, 1, kNewestFields) : kNewestFields;
}

std::optional<BookRow> read_book_row(Database& database, int* code) {
  Statement select =
      database.prepare("SELECT schema_version, frame, frame_wkt, training FROM pointbook ORDER BY id LIMIT 1");
  const int result = select.valid() ? select.step() : SQLITE_ERROR;
  *code = result == SQLITE_ROW ? SQLITE_OK : result;
  if (result != SQLITE_ROW) return std::nullopt;
  BookRow row;
  row.schema_version = static_cast<int>(select.next_integer());
  row.frame = select.next_text();
  row.frame_wkt = select.next_text();
  row.training = select.next_integer() != 0;
  return row;
}

}  // namespace stillpoint::pointbook
