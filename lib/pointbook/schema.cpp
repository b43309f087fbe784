#include "pointbook/schema.hpp"

#include <sqlite3.h>

#include <array>

#include "pointbook/geometry.hpp"
#include "pointbook/words.hpp"

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

constexpr std::string_view kPoints = R"sql(
CREATE TABLE points (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, geom POINT,
  name TEXT NOT NULL, visit INTEGER NOT NULL, version INTEGER NOT NULL, uuid TEXT NOT NULL UNIQUE, supersedes TEXT,
  status TEXT NOT NULL, code TEXT, note TEXT, reasons TEXT, reason_texts TEXT,
  frame TEXT NOT NULL, coordinate_epoch DOUBLE, latitude_deg DOUBLE, longitude_deg DOUBLE,
  easting_m DOUBLE, northing_m DOUBLE, ellipsoid_height_m DOUBLE, orthometric_height_m DOUBLE, geoid TEXT,
  error95_horizontal_m DOUBLE, error95_vertical_m DOUBLE,
  covariance_ee_m2 DOUBLE, covariance_en_m2 DOUBLE, covariance_nn_m2 DOUBLE, covariance_uu_m2 DOUBLE,
  repeatability_m DOUBLE, effective_epochs DOUBLE,
  epochs_used INTEGER NOT NULL, epochs_refused INTEGER NOT NULL, refused TEXT NOT NULL,
  source TEXT, station INTEGER, quality TEXT, antenna_height_m DOUBLE NOT NULL,
  started_utc DATETIME, finished_utc DATETIME, flags TEXT, error_scale DOUBLE,
  changed_by TEXT, change_reason TEXT, training BOOLEAN NOT NULL,
  epochs_kept INTEGER NOT NULL, epochs_sha256 TEXT NOT NULL, content_sha256 TEXT NOT NULL,
  stored_at DATETIME NOT NULL,
  UNIQUE (name, visit, version));
)sql";

// The newest version of each point, with the flag `day-not-closed` while no closing covers it (closings.hpp). The same
// columns as `points`, so that what is written down for one serves the other; GIS programs want each column's type, and
// a view of two halves has the types of its first.
constexpr std::string_view kCurrentPoints = R"sql(
CREATE VIEW current_points AS
  WITH closings AS MATERIALIZED (
    SELECT julianday(utc) AS day FROM events AS closing WHERE kind = 'day-closed' AND NOT EXISTS (
      SELECT 1 FROM events AS merged WHERE merged.kind = 'merged' AND merged.id > closing.id
        AND (coalesce(merged.details, '') NOT LIKE '%"closed":true%' OR merged.details LIKE '%"closed":false%')))
  SELECT p.* FROM points AS p WHERE NOT EXISTS (
    SELECT 1 FROM points AS newer WHERE newer.name = p.name AND newer.visit = p.visit AND newer.version > p.version)
    AND EXISTS (SELECT 1 FROM closings WHERE day - julianday(p.finished_utc) BETWEEN 0.0 AND 1.0)
  UNION ALL
  SELECT id, geom, name, visit, version, uuid, supersedes, status, code, note, reasons, reason_texts, frame,
    coordinate_epoch, latitude_deg, longitude_deg, easting_m, northing_m, ellipsoid_height_m, orthometric_height_m,
    geoid, error95_horizontal_m, error95_vertical_m, covariance_ee_m2, covariance_en_m2, covariance_nn_m2,
    covariance_uu_m2, repeatability_m, effective_epochs, epochs_used, epochs_refused, refused, source, station, quality,
    antenna_height_m, started_utc, finished_utc, ltrim(coalesce(flags, '') || ' day-not-closed'), error_scale,
    changed_by, change_reason, training, epochs_kept, epochs_sha256, content_sha256, stored_at
  FROM points AS p WHERE NOT EXISTS (
    SELECT 1 FROM points AS newer WHERE newer.name = p.name AND newer.visit = p.visit AND newer.version > p.version)
    AND NOT EXISTS (SELECT 1 FROM closings WHERE day - julianday(p.finished_utc) BETWEEN 0.0 AND 1.0);
)sql";

constexpr std::string_view kOtherTables = R"sql(
CREATE TABLE check_shots (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, geom POINT,
  uuid TEXT NOT NULL UNIQUE, version INTEGER NOT NULL, supersedes TEXT,
  mark TEXT NOT NULL, kind TEXT NOT NULL, utc DATETIME NOT NULL, passed BOOLEAN NOT NULL,
  frame TEXT NOT NULL, coordinate_epoch DOUBLE NOT NULL, latitude_deg DOUBLE NOT NULL, longitude_deg DOUBLE NOT NULL,
  easting_m DOUBLE, northing_m DOUBLE, ellipsoid_height_m DOUBLE NOT NULL,
  off_east_m DOUBLE NOT NULL, off_north_m DOUBLE NOT NULL, off_up_m DOUBLE,
  limit_horizontal_m DOUBLE NOT NULL, limit_vertical_m DOUBLE,
  source TEXT, antenna_height_m DOUBLE NOT NULL, text TEXT NOT NULL, diagnosis TEXT, point_uuid TEXT,
  training BOOLEAN NOT NULL, content_sha256 TEXT NOT NULL, stored_at DATETIME NOT NULL);
CREATE TABLE epochs (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, point_uuid TEXT NOT NULL, utc DATETIME, quality TEXT NOT NULL,
  station INTEGER, source TEXT, age_s DOUBLE, correction TEXT NOT NULL, verdict TEXT NOT NULL, reasons TEXT,
  latitude_deg DOUBLE, longitude_deg DOUBLE, ellipsoid_height_m DOUBLE,
  sigma_east_m DOUBLE, sigma_north_m DOUBLE, sigma_up_m DOUBLE);
CREATE INDEX epochs_of_point ON epochs (point_uuid);
CREATE TABLE events (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, utc DATETIME NOT NULL, kind TEXT NOT NULL, text TEXT NOT NULL,
  details TEXT);
CREATE TABLE antenna_setups (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, uuid TEXT NOT NULL UNIQUE, utc DATETIME NOT NULL,
  height_m DOUBLE NOT NULL, vertical_parts_m TEXT, slant_length_m DOUBLE, slant_radius_m DOUBLE,
  slant_plane_to_phase_centre_m DOUBLE, also_measured_ft DOUBLE, already_reduced_by_receiver BOOLEAN NOT NULL,
  reason TEXT);
CREATE TABLE pointbook (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, schema_version INTEGER NOT NULL, project TEXT NOT NULL,
  frame TEXT NOT NULL, frame_wkt TEXT NOT NULL, training BOOLEAN NOT NULL);
)sql";

struct Content {
  std::string_view table;
  std::string_view identifier;
  std::string_view description;
  bool feature;
};
constexpr std::array kContents{
    Content{"current_points", "Current points", "The newest version of every point", true},
    Content{"points", "Points, every version", "Every version of every point, never changed", true},
    Content{"check_shots", "Check shots", "Shots on control marks", true},
    Content{"epochs", "Epochs", "Every observed epoch with its verdict", false},
    Content{"events", "Events", "What happened during the work", false},
    Content{"antenna_setups", "Antenna setups", "How high the antenna stood", false},
    Content{"pointbook", "Pointbook", "What this file is locked to", false},
};
constexpr std::array<std::string_view, 6> kAppendOnly{"points", "check_shots",    "epochs",
                                                      "events", "antenna_setups", "pointbook"};

/// REPLACE deletes rows without asking the DELETE trigger, so an insert over an existing row is refused as well.
std::string append_only_triggers(std::string_view table) {
  const std::string name(table);
  const std::string refuse = " BEGIN SELECT RAISE(ABORT, '" + name +
                             " is append-only: a correction is a new row, made by the program that keeps this file');"
                             " END;";
  std::string taken = "id = NEW.id";
  if (table == "points")
    taken += " OR uuid = NEW.uuid OR (name = NEW.name AND visit = NEW.visit AND version = NEW.version)";
  if (table == "check_shots" || table == "antenna_setups") taken += " OR uuid = NEW.uuid";
  return "CREATE TRIGGER " + name + "_no_update BEFORE UPDATE ON " + name + refuse + "CREATE TRIGGER " + name +
         "_no_delete BEFORE DELETE ON " + name + refuse + "CREATE TRIGGER " + name + "_no_replace BEFORE INSERT ON " +
         name + " WHEN EXISTS (SELECT 1 FROM " + name + " WHERE " + taken + ")" + refuse;
}

int insert_frame(Database& database, const Identity& identity, const SrsName& srs) {
  Statement insert =
      database.prepare("INSERT OR IGNORE INTO gpkg_spatial_ref_sys VALUES (?, ?, ?, ?, 'undefined', ?, ?)");
  const std::string name = name_in_wkt(identity.frame_wkt);
  insert.text(name.empty() ? identity.frame : name).integer(std::int64_t{srs.srs_id});
  insert.text(srs.organization).integer(std::int64_t{srs.organization_id});
  insert.text("project frame " + identity.frame + "; x is longitude or easting, z is ellipsoid height");
  return insert.text(identity.frame_wkt.empty() ? "undefined" : identity.frame_wkt).run();
}

int insert_contents(Database& database, const Identity& identity, const SrsName& srs) {
  Statement contents = database.prepare(
      "INSERT INTO gpkg_contents (table_name, data_type, identifier, description, last_change, srs_id)"
      " VALUES (?, ?, ?, ?, ?, ?)");
  Statement geometry = database.prepare("INSERT INTO gpkg_geometry_columns VALUES (?, 'geom', 'POINT', ?, 1, 0)");
  for (const Content& content : kContents) {
    contents.text(content.table).text(content.feature ? "features" : "attributes").text(content.identifier);
    contents.text(content.description).time(identity.created_at);
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

int create_schema(Database& database, const Identity& identity) {
  const std::string marks = "PRAGMA application_id = " + std::string(kApplicationId) +
                            ";PRAGMA user_version = " + std::to_string(kGeoPackageVersion);
  std::string triggers;
  for (const std::string_view table : kAppendOnly) triggers += append_only_triggers(table);
  for (const std::string_view sql : {std::string_view(marks), kStandardTables, kPoints, kOtherTables, kCurrentPoints}) {
    if (const int code = database.run(sql); code != SQLITE_OK) return code;
  }
  const SrsName srs = srs_name(identity.frame);
  int code = insert_frame(database, identity, srs);
  if (code == SQLITE_OK) code = insert_contents(database, identity, srs);
  if (code == SQLITE_OK) code = insert_book_row(database, identity);
  return code == SQLITE_OK ? database.run(triggers) : code;
}

int renew_view(Database& database) {
  int code = SQLITE_OK;
  const auto there = database.value("SELECT sql FROM sqlite_schema WHERE name = 'current_points'", &code);
  if (code != SQLITE_OK) return code;
  std::string_view wanted = kCurrentPoints;
  wanted.remove_prefix(1);                       // the line before it
  wanted = wanted.substr(0, wanted.rfind(';'));  // SQLite keeps it without
  if (there == wanted) return SQLITE_OK;
  code = database.run("BEGIN IMMEDIATE");
  if (code == SQLITE_OK) code = database.run("DROP VIEW IF EXISTS current_points");
  if (code == SQLITE_OK) code = database.run(kCurrentPoints);
  if (code == SQLITE_OK) code = database.run("COMMIT");
  if (code != SQLITE_OK) database.roll_back();
  return code;
}

std::optional<BookRow> read_book_row(Database& database, int* code) {
  Statement select = database.prepare("SELECT schema_version, frame, training FROM pointbook ORDER BY id LIMIT 1");
  const int result = select.valid() ? select.step() : SQLITE_ERROR;
  *code = result;
  if (result != SQLITE_ROW) return std::nullopt;
  BookRow row;
  row.schema_version = static_cast<int>(select.next_integer());
  row.frame = select.next_text();
  row.training = select.next_integer() != 0;
  return row;
}

}  // namespace stillpoint::pointbook
