#include "pointbook/standard_tables.hpp"

#include <sqlite3.h>

#include <algorithm>
#include <array>

#include "pointbook/column_sentences.hpp"
#include "pointbook/geometry.hpp"
#include "pointbook/layer_style.hpp"
#include "pointbook/metadata.hpp"
#include "pointbook/schema.hpp"
#include "pointbook/sentences.hpp"

namespace stillpoint::pointbook {
namespace {

// OGC 12-128r18, tables 3 to 6 and 19; annex F.10.
constexpr std::string_view kTables = R"sql(
CREATE TABLE gpkg_spatial_ref_sys (
  srs_name TEXT NOT NULL, srs_id INTEGER NOT NULL PRIMARY KEY, organization TEXT NOT NULL,
  organization_coordsys_id INTEGER NOT NULL, definition TEXT NOT NULL, description TEXT,
  definition_12_063 TEXT NOT NULL, epoch DOUBLE);
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

// Annexes F.9 and F.8. Another program may have made them in a book of before.
constexpr std::string_view kLaterTables = R"sql(
CREATE TABLE IF NOT EXISTS gpkg_data_columns (
  table_name TEXT NOT NULL, column_name TEXT NOT NULL, name TEXT, title TEXT, description TEXT, mime_type TEXT,
  constraint_name TEXT,
  CONSTRAINT pk_gdc PRIMARY KEY (table_name, column_name),
  CONSTRAINT gdc_tn UNIQUE (table_name, name));
CREATE TABLE IF NOT EXISTS gpkg_data_column_constraints (
  constraint_name TEXT NOT NULL, constraint_type TEXT NOT NULL, value TEXT, min NUMERIC, min_is_inclusive BOOLEAN,
  max NUMERIC, max_is_inclusive BOOLEAN, description TEXT,
  CONSTRAINT gdcc_ntv UNIQUE (constraint_name, constraint_type, value));
CREATE TABLE IF NOT EXISTS gpkg_metadata (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, md_scope TEXT NOT NULL DEFAULT 'dataset',
  md_standard_uri TEXT NOT NULL, mime_type TEXT NOT NULL DEFAULT 'text/xml', metadata TEXT NOT NULL DEFAULT '');
CREATE TABLE IF NOT EXISTS gpkg_metadata_reference (
  reference_scope TEXT NOT NULL, table_name TEXT, column_name TEXT, row_id_value INTEGER,
  timestamp DATETIME NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')), md_file_id INTEGER NOT NULL,
  md_parent_id INTEGER,
  CONSTRAINT crmr_mfi_fk FOREIGN KEY (md_file_id) REFERENCES gpkg_metadata(id),
  CONSTRAINT crmr_mpi_fk FOREIGN KEY (md_parent_id) REFERENCES gpkg_metadata(id));
)sql";

constexpr std::string_view kFrameRows = R"sql(
INSERT INTO gpkg_spatial_ref_sys VALUES
  ('Undefined cartesian SRS', -1, 'NONE', -1, 'undefined', 'undefined cartesian coordinate reference system',
   'undefined', NULL),
  ('Undefined geographic SRS', 0, 'NONE', 0, 'undefined', 'undefined geographic coordinate reference system',
   'undefined', NULL),
  ('WGS 84 geodetic', 4326, 'EPSG', 4326,
   'GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563,AUTHORITY["EPSG","7030"]],AUTHORITY["EPSG","6326"]],PRIMEM["Greenwich",0,AUTHORITY["EPSG","8901"]],UNIT["degree",0.0174532925199433,AUTHORITY["EPSG","9122"]],AUTHORITY["EPSG","4326"]]',
   'longitude/latitude coordinates in decimal degrees on the WGS 84 spheroid',
   'GEODCRS["WGS 84",DATUM["World Geodetic System 1984",ELLIPSOID["WGS 84",6378137,298.257223563,LENGTHUNIT["metre",1]]],PRIMEM["Greenwich",0,ANGLEUNIT["degree",0.0174532925199433]],CS[ellipsoidal,2],AXIS["geodetic latitude (Lat)",north,ORDER[1],ANGLEUNIT["degree",0.0174532925199433]],AXIS["geodetic longitude (Lon)",east,ORDER[2],ANGLEUNIT["degree",0.0174532925199433]],ID["EPSG",4326]]',
   NULL);
)sql";

struct Extension {
  std::string_view table, column, name, definition, scope;
};
constexpr std::string_view kCrsWkt = "http://www.geopackage.org/spec/#extension_crs_wkt";
constexpr std::string_view kSchema = "http://www.geopackage.org/spec130/#extension_schema";
constexpr std::string_view kMetadata = "http://www.geopackage.org/spec130/#extension_metadata";
constexpr std::string_view kRtree = "http://www.geopackage.org/spec130/#extension_rtree";
constexpr std::array kExtensions{
    Extension{"gpkg_spatial_ref_sys", "definition_12_063", "gpkg_crs_wkt_1_1", kCrsWkt, "read-write"},
    Extension{"gpkg_spatial_ref_sys", "epoch", "gpkg_crs_wkt_1_1", kCrsWkt, "read-write"},
    Extension{"gpkg_data_columns", "", "gpkg_schema", kSchema, "read-write"},
    Extension{"gpkg_data_column_constraints", "", "gpkg_schema", kSchema, "read-write"},
    Extension{"gpkg_metadata", "", "gpkg_metadata", kMetadata, "read-write"},
    Extension{"gpkg_metadata_reference", "", "gpkg_metadata", kMetadata, "read-write"},
    Extension{"points", "geom", "gpkg_rtree_index", kRtree, "write-only"},
    Extension{"check_shots", "geom", "gpkg_rtree_index", kRtree, "write-only"},
};

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
constexpr Content kStyles{"layer_styles", "layer_styles", kSay.drawn_by_desktops.words(), false};

int register_extensions(Database& database) {
  // NULL is no equal of NULL, so that the table's own constraint would let a row in twice.
  Statement insert = database.prepare(
      "INSERT INTO gpkg_extensions (table_name, column_name, extension_name, definition, scope)"
      " SELECT ?1, ?2, ?3, ?4, ?5 WHERE NOT EXISTS (SELECT 1 FROM gpkg_extensions"
      " WHERE table_name = ?1 AND column_name IS ?2 AND extension_name = ?3)");
  for (const Extension& e : kExtensions) {
    insert.text(e.table).text_or_null(e.column).text(e.name).text(e.definition).text(e.scope);
    if (const int code = insert.run(); code != SQLITE_OK) return code;
  }
  return SQLITE_OK;
}

int insert_frame(Database& database, const Identity& identity) {
  const SrsName srs = frame_of(identity).srs;
  Statement insert = database.prepare("INSERT OR IGNORE INTO gpkg_spatial_ref_sys VALUES (?, ?, ?, ?, ?, ?, ?, NULL)");
  const std::string name = name_in_wkt(identity.frame_wkt);
  insert.text(name.empty() ? identity.frame : name).integer(std::int64_t{srs.srs_id});
  insert.text(srs.organization).integer(std::int64_t{srs.organization_id});
  insert.text(identity.frame_wkt1.empty() ? "undefined" : identity.frame_wkt1);
  const std::string geoid = geoid_in_wkt(identity.frame_wkt);
  std::string about =
      geoid.empty() ? kSay.project_frame(identity.frame) : kSay.project_frame_above(identity.frame, geoid);
  if (is_dynamic(identity.frame_wkt)) about += kSay.date_in_epoch();
  insert.text(about);
  return insert.text(identity.frame_wkt.empty() ? "undefined" : identity.frame_wkt).run();
}

/// `srs_id`: of a table of features; of another it is not read.
int register_content(Database& database, const Content& content, const std::string& description, UtcTime when,
                     std::int32_t srs_id) {
  Statement insert = database.prepare(
      "INSERT OR IGNORE INTO gpkg_contents (table_name, data_type, identifier, description, last_change, srs_id)"
      " VALUES (?, ?, ?, ?, ?, ?)");
  insert.text(content.table).text(content.feature ? "features" : "attributes").text(content.identifier);
  insert.text(description).time(when);
  if (content.feature) insert.integer(std::int64_t{srs_id});
  return insert.run();
}

const ColumnWords* words_of(std::string_view table, std::string_view column) {
  const auto at = std::find_if(kColumnWords.begin(), kColumnWords.end(), [&](const ColumnWords& words) {
    return words.column == column && (words.table.empty() || words.table == table);
  });
  return at == kColumnWords.end() ? nullptr : &*at;
}

int explain_columns(Database& database, std::string_view table) {
  Statement select = database.prepare("SELECT name FROM pragma_table_info(?)");
  Statement insert = database.prepare(
      "INSERT OR IGNORE INTO gpkg_data_columns (table_name, column_name, name, title, description)"
      " VALUES (?1, ?2, ?3, ?3, ?4)");
  if (!select.valid() || !insert.valid()) return SQLITE_ERROR;
  select.text(table);
  int code = SQLITE_ROW;
  while ((code = select.step()) == SQLITE_ROW) {
    const std::string column = select.next_text();
    const ColumnWords* words = words_of(table, column);
    if (words == nullptr) continue;
    code = insert.text(table).text(column).text(words->title).text(words->description).run();
    if (code != SQLITE_OK) return code;
  }
  return code == SQLITE_DONE ? SQLITE_OK : code;
}

int insert_style(Database& database, const DrawnLayer& drawn, UtcTime when) {
  Statement insert = database.prepare(
      "INSERT INTO layer_styles (f_table_catalog, f_table_schema, f_table_name, f_geometry_column, styleName, styleSLD,"
      " useAsDefault, description, owner, update_time) VALUES ('', '', ?, 'geom', ?, ?, 1, ?, '', ?)");
  if (!insert.valid()) return SQLITE_ERROR;
  insert.text(drawn.layer).text(drawn.column).text(style_document(drawn));
  return insert.text(kSay.drawn_by_status()).time(when).run();
}

int insert_styles(Database& database, UtcTime when) {
  for (const DrawnLayer& drawn : {drawn_points("current_points"), drawn_points("points"), drawn_shots()}) {
    if (const int code = insert_style(database, drawn, when); code != SQLITE_OK) return code;
  }
  return register_content(database, kStyles, std::string(kStyles.description), when, 0);
}

int explain(Database& database) {
  for (const Content& content : kContents) {
    if (const int code = explain_columns(database, content.table); code != SQLITE_OK) return code;
  }
  return SQLITE_OK;
}

/// What the frame's row of a book of before lacks.
int complete_frame(Database& database, const Identity& identity, const BookFrame& frame) {
  Statement update = database.prepare(
      "UPDATE gpkg_spatial_ref_sys SET definition = ? WHERE srs_id = ? AND definition = 'undefined' AND srs_id > 0");
  if (!identity.frame_wkt1.empty()) {
    const int code = update.text(identity.frame_wkt1).integer(std::int64_t{frame.srs.srs_id}).run();
    if (code != SQLITE_OK) return code;
  }
  if (!frame.dynamic) return SQLITE_OK;
  Statement epoch = database.prepare(
      "UPDATE gpkg_spatial_ref_sys SET description = description || ?1, epoch = (SELECT CASE WHEN max(year) - min(year)"
      " <= ?2 THEN max(year) END FROM (SELECT coordinate_epoch AS year FROM points UNION ALL SELECT coordinate_epoch"
      " FROM check_shots)) WHERE srs_id = ?3");
  return epoch.text(kSay.date_in_epoch()).real(kOneDate).integer(std::int64_t{frame.srs.srs_id}).run();
}

/// The book's own frame, as the project knows it; its WKT 1 only where both have the same kind of height.
Identity own_identity(const Identity& identity, const BookRow& row) {
  Identity own = identity;
  own.frame_wkt = row.frame_wkt;
  if (geoid_in_wkt(row.frame_wkt) != geoid_in_wkt(identity.frame_wkt)) own.frame_wkt1.clear();
  return own;
}

}  // namespace

Object styles_table() {
  return {"table", "layer_styles",
          "CREATE TABLE layer_styles (\n  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, f_table_catalog TEXT(256), "
          "f_table_schema TEXT(256),\n  f_table_name TEXT(256), f_geometry_column TEXT(256), styleName TEXT(30), "
          "styleQML TEXT, styleSLD TEXT,\n  useAsDefault BOOLEAN, description TEXT, owner TEXT(30), ui TEXT(30), "
          "update_time DATETIME)"};
}

int create_standard_tables(Database& database, const Identity& identity) {
  int code = database.run(kTables);
  if (code == SQLITE_OK) code = database.run(kLaterTables);
  if (code == SQLITE_OK) code = database.run(kFrameRows);
  return code == SQLITE_OK ? insert_frame(database, identity) : code;
}

int fill_standard_tables(Database& database, const Identity& identity) {
  const SrsName srs = frame_of(identity).srs;
  // A point outside the geoid's grid has no height above it: then z is optional (2), else mandatory (1).
  const std::string geoid = geoid_in_wkt(identity.frame_wkt);
  Statement geometry = database.prepare("INSERT INTO gpkg_geometry_columns VALUES (?, 'geom', 'POINT', ?, " +
                                        std::string(geoid.empty() ? "1" : "2") + ", 0)");
  for (const Content& content : kContents) {
    std::string description(content.description);
    if (content.feature && !geoid.empty()) description = kSay.z_above(description, geoid);
    int code = register_content(database, content, description, identity.created_at, srs.srs_id);
    if (code == SQLITE_OK && content.feature) {
      code = geometry.text(content.table).integer(std::int64_t{srs.srs_id}).run();
    }
    if (code != SQLITE_OK) return code;
  }
  int code = register_extensions(database);
  if (code == SQLITE_OK) code = explain(database);
  return code == SQLITE_OK ? insert_styles(database, identity.created_at) : code;
}

int add_standard_tables(Database& database, const Identity& identity) {
  int code = SQLITE_OK;
  const auto row = read_book_row(database, &code);
  if (!row) return code;
  const auto has_epoch =
      database.value("SELECT count(*) FROM pragma_table_info('gpkg_spatial_ref_sys') WHERE name = 'epoch'", &code);
  const auto has_styles = database.value("SELECT count(*) FROM sqlite_schema WHERE name = 'layer_styles'", &code);
  if (code == SQLITE_OK) code = database.run(kLaterTables);
  if (code == SQLITE_OK && has_epoch == "0")
    code = database.run("ALTER TABLE gpkg_spatial_ref_sys ADD COLUMN epoch DOUBLE");
  if (code == SQLITE_OK) code = database.run("DELETE FROM gpkg_extensions WHERE extension_name = 'gpkg_crs_wkt'");
  if (code == SQLITE_OK) code = register_extensions(database);
  const Identity own = own_identity(identity, *row);
  if (code == SQLITE_OK) code = complete_frame(database, own, frame_of(own));
  if (code == SQLITE_OK) code = explain(database);
  // Whoever has kept styles in the book keeps them.
  if (code == SQLITE_OK && has_styles == "0") {
    code = database.run(styles_table().sql);
    if (code == SQLITE_OK) code = insert_styles(database, identity.created_at);
  }
  return code;
}

int note_epoch(Database& database, const BookFrame& frame, double coordinate_epoch) {
  if (!frame.dynamic) return SQLITE_OK;
  Statement update = database.prepare(
      "UPDATE gpkg_spatial_ref_sys SET epoch = CASE WHEN abs(epoch - ?1) <= ?2 THEN epoch"
      " WHEN epoch IS NULL AND NOT EXISTS (SELECT 1 FROM points WHERE coordinate_epoch IS NOT NULL)"
      " AND NOT EXISTS (SELECT 1 FROM check_shots) THEN ?1 END WHERE srs_id = ?3");
  return update.real(coordinate_epoch).real(kOneDate).integer(std::int64_t{frame.srs.srs_id}).run();
}

}  // namespace stillpoint::pointbook
