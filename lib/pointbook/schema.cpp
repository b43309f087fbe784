#include "pointbook/schema.hpp"

#include <sqlite3.h>

#include <algorithm>
#include <array>
#include <span>

#include "pointbook/fields.hpp"
#include "pointbook/metadata.hpp"
#include "pointbook/sentences.hpp"
#include "pointbook/spatial_index.hpp"
#include "pointbook/standard_tables.hpp"

namespace stillpoint::pointbook {
namespace {

// The view has the newest version of each point, whatever it was called before, with the flag `day-not-closed` while no closing covers it
// (closings.hpp). It has the same columns as `points`, so that what is written down for one serves the other, and from
// schema 7 on those that people look for come first; GIS programs want each column's type, and a view of two halves has
// the types of its first. Between the parts of its text stand the columns and what is newer.
constexpr std::string_view kViewBegins = R"sql(CREATE VIEW current_points AS
  WITH closings AS MATERIALIZED (
    SELECT julianday(utc) AS day FROM events AS closing WHERE kind = 'day-closed' AND NOT EXISTS (
      SELECT 1 FROM events AS merged WHERE merged.kind = 'merged' AND merged.id > closing.id
        AND (coalesce(merged.details, '') NOT LIKE '%"closed":true%' OR merged.details LIKE '%"closed":false%')))
)sql";
constexpr std::string_view kViewClosed = R"sql()
    AND EXISTS (SELECT 1 FROM closings WHERE day - julianday(p.finished_utc) BETWEEN 0.0 AND 1.0)
  UNION ALL
)sql";
constexpr std::string_view kViewFrom = R"sql( FROM points AS p WHERE NOT EXISTS (
    SELECT 1 FROM points AS newer WHERE )sql";
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

/// Since when a book has what GIS programs and catalogues look for beside the rows: spatial indexes, titles of columns,
/// styles and a metadata record.
constexpr int kForOthers = 7;
constexpr std::array<std::string_view, 2> kFeatureTables{"points", "check_shots"};

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

/// Since when the view begins with what people look for in a map's table.
constexpr int kUsefulFirst = 7;
constexpr std::array<std::string_view, 17> kUseful{"geom",
                                                   "name",
                                                   "code",
                                                   "status",
                                                   "easting_m",
                                                   "northing_m",
                                                   "latitude_deg",
                                                   "longitude_deg",
                                                   "orthometric_height_m",
                                                   "ellipsoid_height_m",
                                                   "error95_horizontal_m",
                                                   "error95_vertical_m",
                                                   "finished_utc",
                                                   "note",
                                                   "crew",
                                                   "visit",
                                                   "flags"};

std::vector<std::string> columns_of_view(int schema) {
  std::vector<std::string> out{"id"};
  if (schema >= kUsefulFirst) out.insert(out.end(), kUseful.begin(), kUseful.end());
  for (const Column& column : tables().front().columns) {
    if (column.since > schema || std::find(out.begin(), out.end(), column.name) != out.end()) continue;
    out.push_back(column.name);
  }
  return out;
}

/// `flags`: what stands for the column of this name.
std::string select_columns(const std::vector<std::string>& columns, std::string_view flags) {
  std::string out = "  SELECT " + columns.front();
  for (std::size_t i = 1; i < columns.size(); ++i) add_part(out, columns[i] == "flags" ? flags : columns[i], "    ");
  return out;
}

std::string create_view(int schema) {
  const std::vector<std::string> columns = columns_of_view(schema);
  std::string sql(kViewBegins);
  sql += schema < kUsefulFirst ? "  SELECT p.*" : select_columns(columns, "flags");
  sql.append(kViewFrom).append(what_is_newer(schema)).append(kViewClosed);
  sql += select_columns(columns, "ltrim(coalesce(flags, '') || ' day-not-closed')");
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
  if (schema < kForOthers) return objects;
  objects.push_back(styles_table());
  for (const std::string_view table : kFeatureTables) {
    for (Object& object : index_objects(table)) objects.push_back(std::move(object));
  }
  return objects;
}

int create_schema(Database& database, const Identity& identity) {
  const std::string marks = "PRAGMA application_id = " + std::string(kApplicationId) +
                            ";PRAGMA user_version = " + std::to_string(kGeoPackageVersion);
  const std::vector<Object> objects = objects_of(kSchemaVersion);
  const auto make = [&](bool triggers) {
    for (const Object& object : objects) {
      if (object.by_module || (object.type == "trigger") != triggers) continue;
      if (const int code = database.run(object.sql); code != SQLITE_OK) return code;
    }
    return SQLITE_OK;
  };
  int code = database.run(marks);
  if (code == SQLITE_OK) code = create_standard_tables(database, identity);
  if (code == SQLITE_OK) code = make(false);
  if (code == SQLITE_OK) code = fill_standard_tables(database, identity);
  if (code == SQLITE_OK) code = insert_book_row(database, identity);
  if (code == SQLITE_OK) code = write_record(database, identity);
  return code == SQLITE_OK ? make(true) : code;
}

bool is_of_today(Database& database, int* code) {
  const auto row = read_book_row(database, code);
  if (!row) return false;
  const auto view = database.value("SELECT sql FROM sqlite_schema WHERE name = 'current_points'", code);
  return *code == SQLITE_OK && row->schema_version == kSchemaVersion && view == create_view(kSchemaVersion);
}

namespace {

int add_indexes(Database& database) {
  for (const std::string_view table : kFeatureTables) {
    // Another program may have left one, whose triggers were taken out because they are not on our list.
    int code = database.run("DROP TABLE IF EXISTS " + index_of(table));
    for (const Object& object : index_objects(table)) {
      if (code == SQLITE_OK && !object.by_module) code = database.run(object.sql);
    }
    if (code == SQLITE_OK) code = fill_index(database, table);
    if (code != SQLITE_OK) return code;
  }
  return SQLITE_OK;
}

}  // namespace

int bring_up_to_date(Database& database, const Identity& identity) {
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
  code = database.run(sql);
  if (row->schema_version >= kForOthers || code != SQLITE_OK) return code;
  code = add_indexes(database);
  if (code == SQLITE_OK) code = add_standard_tables(database, identity);
  return code == SQLITE_OK ? write_record(database, identity) : code;
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
