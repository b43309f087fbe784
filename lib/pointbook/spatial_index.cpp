#include "pointbook/spatial_index.hpp"

#include <sqlite3.h>

#include <array>
#include <optional>

#include "pointbook/geometry.hpp"

namespace stillpoint::pointbook {
namespace {

// The standard's own templates, annex F.3 of version 1.3, with <t>, <c> and <i> for table, geometry column and key.
constexpr std::string_view kPut =
    "\n  INSERT OR REPLACE INTO rtree_<t>_<c> VALUES (NEW.<i>, ST_MinX(NEW.<c>), ST_MaxX(NEW.<c>),"
    " ST_MinY(NEW.<c>), ST_MaxY(NEW.<c>));";
constexpr std::string_view kTakeOut = "\n  DELETE FROM rtree_<t>_<c> WHERE id = OLD.<i>;";
constexpr std::string_view kTakeBothOut = "\n  DELETE FROM rtree_<t>_<c> WHERE id IN (OLD.<i>, NEW.<i>);";
constexpr std::string_view kIsPlace = "(NEW.<c> NOTNULL AND NOT ST_IsEmpty(NEW.<c>))";
constexpr std::string_view kIsNone = "(NEW.<c> ISNULL OR ST_IsEmpty(NEW.<c>))";

struct Trigger {
  std::string_view name, event, condition;
  std::array<std::string_view, 2> acts;
};
constexpr std::array kTriggers{
    Trigger{"insert", "AFTER INSERT ON <t>", "(NEW.<c> NOT NULL AND NOT ST_IsEmpty(NEW.<c>))", {kPut}},
    Trigger{"update1", "AFTER UPDATE OF <c> ON <t>", "OLD.<i> = NEW.<i> AND <place>", {kPut}},
    Trigger{"update2", "AFTER UPDATE OF <c> ON <t>", "OLD.<i> = NEW.<i> AND <none>", {kTakeOut}},
    Trigger{"update3", "AFTER UPDATE ON <t>", "OLD.<i> != NEW.<i> AND <place>", {kTakeOut, kPut}},
    Trigger{"update4", "AFTER UPDATE ON <t>", "OLD.<i> != NEW.<i> AND <none>", {kTakeBothOut}},
    Trigger{"delete", "AFTER DELETE ON <t>", "OLD.<c> NOT NULL", {kTakeOut}},
};

void replace(std::string& text, std::string_view what, std::string_view by) {
  for (std::size_t at = 0; (at = text.find(what, at)) != std::string::npos; at += by.size())
    text.replace(at, what.size(), by);
}

/// Of a table of ours.
std::string filled_in(std::string text, std::string_view table) {
  replace(text, "<place>", kIsPlace);
  replace(text, "<none>", kIsNone);
  replace(text, "<t>", table);
  replace(text, "<c>", "geom");
  replace(text, "<i>", "id");
  return text;
}

std::optional<PointXyz> point_of(sqlite3_value* value) {
  const void* bytes = sqlite3_value_blob(value);
  if (bytes == nullptr) return std::nullopt;
  return read_point_blob({static_cast<const char*>(bytes), static_cast<std::size_t>(sqlite3_value_bytes(value))});
}

/// Whether it is a geometry of the standard with the flag for an empty one (2.1.3.1.1, table 5).
bool has_flag_empty(sqlite3_value* value) {
  const auto* bytes = static_cast<const unsigned char*>(sqlite3_value_blob(value));
  return bytes != nullptr && sqlite3_value_bytes(value) >= 8 && bytes[0] == 'G' && bytes[1] == 'P' &&
         (bytes[3] & 0x10U) != 0;
}

/// NULL for what is no point: then it is not indexed.
void is_empty_point(sqlite3_context* context, int, sqlite3_value** values) {
  if (has_flag_empty(values[0])) return sqlite3_result_int(context, 1);
  point_of(values[0]) ? sqlite3_result_int(context, 0) : sqlite3_result_null(context);
}

template <double PointXyz::*kAxis>
void along(sqlite3_context* context, int, sqlite3_value** values) {
  const auto point = point_of(values[0]);
  point ? sqlite3_result_double(context, (*point).*kAxis) : sqlite3_result_null(context);
}

/// As the module writes them itself.
std::vector<Object> made_by_module(const std::string& index) {
  const auto table = [&index](std::string_view part, std::string_view columns) {
    const std::string name = index + std::string(part);
    return Object{"table", name, "CREATE TABLE \"" + name + "\"(" + std::string(columns) + ")", true};
  };
  return {table("_rowid", "rowid INTEGER PRIMARY KEY,nodeno"), table("_node", "nodeno INTEGER PRIMARY KEY,data"),
          table("_parent", "nodeno INTEGER PRIMARY KEY,parentnode")};
}

}  // namespace

bool has_spatial_index() noexcept {
  return sqlite3_compileoption_used("ENABLE_RTREE") == 1;
}

int add_spatial_functions(sqlite3* connection) {
  constexpr int kHow = SQLITE_UTF8 | SQLITE_DETERMINISTIC | SQLITE_INNOCUOUS;
  using Function = void (*)(sqlite3_context*, int, sqlite3_value**);
  constexpr std::array<std::pair<const char*, Function>, 5> kFunctions{{{"ST_IsEmpty", is_empty_point},
                                                                        {"ST_MinX", along<&PointXyz::x>},
                                                                        {"ST_MaxX", along<&PointXyz::x>},
                                                                        {"ST_MinY", along<&PointXyz::y>},
                                                                        {"ST_MaxY", along<&PointXyz::y>}}};
  int code = SQLITE_OK;
  for (const auto& [name, function] : kFunctions) {
    if (code != SQLITE_OK) return code;
    code = sqlite3_create_function(connection, name, 1, kHow, nullptr, function, nullptr, nullptr);
  }
  return code;
}

std::string index_of(std::string_view table) {
  return "rtree_" + std::string(table) + "_geom";
}

std::vector<Object> index_objects(std::string_view table) {
  const std::string index = index_of(table);
  std::vector<Object> out{
      {"table", index, "CREATE VIRTUAL TABLE " + index + " USING rtree(id, minx, maxx, miny, maxy)"}};
  for (Object& object : made_by_module(index)) out.push_back(std::move(object));
  for (const Trigger& trigger : kTriggers) {
    const std::string name = index + '_' + std::string(trigger.name);
    std::string sql = "CREATE TRIGGER " + name + ' ' + std::string(trigger.event) + "\n  WHEN " +
                      std::string(trigger.condition) + "\nBEGIN";
    for (const std::string_view act : trigger.acts) sql += act;
    out.push_back({"trigger", name, filled_in(sql + "\nEND", table)});
  }
  return out;
}

int fill_index(Database& database, std::string_view table) {
  return database.run("INSERT INTO " + index_of(table) +
                      " SELECT id, ST_MinX(geom), ST_MaxX(geom), ST_MinY(geom), ST_MaxY(geom) FROM " +
                      std::string(table) + " WHERE geom NOTNULL AND NOT ST_IsEmpty(geom)");
}

}  // namespace stillpoint::pointbook
