#include "pointbook/point_layer.hpp"

#include <sqlite3.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <fstream>

#include "base/plain_file.hpp"
#include "base/utf8.hpp"
#include "pointbook/database.hpp"
#include "pointbook/geometry.hpp"
#include "pointbook/sentences.hpp"

namespace stillpoint::pointbook {
namespace {

constexpr int kWaitForWriterMs = 2000;
constexpr std::string_view kSqliteHead = "SQLite format 3";

struct Found {
  std::string table, geometry_column, system;
};

tl::unexpected<Error> unreadable(const std::string& path, int code) {
  return fail(kSay.layer_unreadable(path, sqlite3_errstr(code)));
}

std::string in_sql(std::string_view name) {
  std::string out("\"");
  for (const char c : name) out += c == '"' ? std::string("\"\"") : std::string(1, c);
  return out + "\"";
}

/// The layers of points that the file says it has, by name.
Result<std::vector<Found>> layers_of(Database& database, const std::string& path) {
  Statement select = database.prepare(
      "SELECT c.table_name, g.column_name, s.organization, s.organization_coordsys_id FROM gpkg_contents AS c"
      " JOIN gpkg_geometry_columns AS g ON g.table_name = c.table_name"
      " LEFT JOIN gpkg_spatial_ref_sys AS s ON s.srs_id = g.srs_id"
      " WHERE c.data_type = 'features' AND upper(g.geometry_type_name) IN ('POINT', 'GEOMETRY')"
      " ORDER BY c.table_name");
  if (!select.valid()) return fail(kSay.no_geopackage(path));
  std::vector<Found> out;
  int code = SQLITE_ROW;
  while ((code = select.step()) == SQLITE_ROW) {
    Found found{select.next_text(), select.next_text(), select.next_text()};
    const auto number = select.next_integer();
    const bool known = number > 0 && !found.system.empty() && found.system != "NONE";
    found.system = known ? found.system + ":" + std::to_string(number) : "";
    out.push_back(std::move(found));
  }
  if (code != SQLITE_DONE) return unreadable(path, code);
  return out;
}

Result<Found> choose(std::vector<Found> layers, const std::string& path, const std::string& called) {
  if (layers.empty()) return fail(kSay.no_layer(path));
  const auto named =
      std::find_if(layers.begin(), layers.end(), [&](const Found& layer) { return layer.table == called; });
  if (named == layers.end() && layers.size() > 1) {
    std::string names;
    for (const Found& layer : layers) names += (names.empty() ? "" : ", ") + shown(layer.table);
    return fail(kSay.several_layers(path, names, called));
  }
  Found chosen = named == layers.end() ? std::move(layers.front()) : std::move(*named);
  if (chosen.system.empty()) {
    return fail(kSay.layer_without_frame(path, chosen.table));
  }
  return chosen;
}

Result<std::vector<std::string>> columns_of(Database& database, const Found& layer, const std::string& path) {
  Statement select = database.prepare("SELECT name FROM pragma_table_info(?)");
  if (select.valid()) select.text(layer.table);
  std::vector<std::string> out;
  bool has_geometry = false;
  int code = select.valid() ? SQLITE_ROW : SQLITE_ERROR;
  while (code == SQLITE_ROW && (code = select.step()) == SQLITE_ROW) {
    std::string name = select.next_text();
    if (name == layer.geometry_column) {
      has_geometry = true;
    } else if (name != "fid") {
      out.push_back(std::move(name));
    }
  }
  if (code != SQLITE_DONE) return unreadable(path, code);
  if (!has_geometry) return fail(kSay.layer_missing(path, layer.table));
  return out;
}

/// As a marks file would hold it: a number with all its digits, whatever kind the column is.
std::string next_cell(Statement& row) {
  const std::string kind = row.next_text();
  if (kind != "real") return row.next_text();
  std::array<char, 400> text{};
  const auto end = std::to_chars(text.data(), text.data() + text.size(), row.next_real(), std::chars_format::fixed).ptr;
  return {text.data(), end};
}

/// Cells are shown on terminals, and some characters would steer one.
bool steers(const std::string& text) {
  return std::any_of(text.begin(), text.end(), [](unsigned char c) { return c < 0x20 || c == 0x7F; });
}

Result<control::Layer> read_rows(Database& database, const Found& found, std::vector<std::string> columns,
                                 const std::string& path) {
  std::string sql = "SELECT " + in_sql(found.geometry_column);
  for (const std::string& name : columns) sql += ", typeof(" + in_sql(name) + "), " + in_sql(name);
  Statement select = database.prepare(sql + " FROM " + in_sql(found.table));
  control::Layer layer;
  layer.system = found.system;
  layer.table.path = path + " (layer " + found.table + ")";
  layer.table.counted = "row";
  layer.table.columns = std::move(columns);
  int code = select.valid() ? SQLITE_ROW : SQLITE_ERROR;
  int number = 0;
  while (code == SQLITE_ROW && (code = select.step()) == SQLITE_ROW) {
    const auto point = read_point_blob(select.next_text());
    control::Table::Row row{++number, {}};
    for (std::size_t i = 0; i < layer.table.columns.size(); ++i) row.cells.push_back(next_cell(select));
    if (std::any_of(row.cells.begin(), row.cells.end(), steers)) {
      return fail(kSay.control_character(layer.table.where(row)));
    }
    const auto other = std::find_if_not(row.cells.begin(), row.cells.end(), is_utf8);
    if (other != row.cells.end()) {
      layer.table.faults.push_back(control::not_utf8(*other, layer.table.where(row)));
      continue;
    }
    layer.places.push_back(point ? std::optional(control::Layer::Place{point->x, point->y, point->z}) : std::nullopt);
    layer.table.rows.push_back(std::move(row));
  }
  if (code != SQLITE_DONE) return unreadable(path, code);
  return layer;
}

}  // namespace

bool is_database(const std::string& path) {
  if (plain_file_fault(path)) return false;
  std::ifstream in(path, std::ios::binary);
  std::string head(kSqliteHead.size(), '\0');
  return in.read(head.data(), static_cast<std::streamsize>(head.size())) && head == kSqliteHead;
}

Result<control::Layer> read_layer(const std::string& path, const std::string& called) {
  Database database;
  int code = database.open_to_read(path);
  if (code != SQLITE_OK) return unreadable(path, code);
  database.set_busy_wait(kWaitForWriterMs);
  // A damaged file shows itself at its first page.
  database.value("SELECT count(*) FROM sqlite_schema", &code);
  if (code != SQLITE_OK) return unreadable(path, code);
  auto layers = layers_of(database, path);
  if (!layers) return tl::unexpected<Error>(layers.error());
  const auto chosen = choose(std::move(*layers), path, called);
  if (!chosen) return tl::unexpected<Error>(chosen.error());
  if (!is_utf8(chosen->table)) return fail(control::not_utf8(chosen->table, kSay.name_of_layer(path)));
  auto columns = columns_of(database, *chosen, path);
  if (!columns) return tl::unexpected<Error>(columns.error());
  const auto other = std::find_if_not(columns->begin(), columns->end(), is_utf8);
  if (other != columns->end()) return fail(control::not_utf8(*other, kSay.column_of_layer(path, chosen->table)));
  return read_rows(database, *chosen, std::move(*columns), path);
}

}  // namespace stillpoint::pointbook
