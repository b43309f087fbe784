#include "pointbook/inspect.hpp"

#include <sqlite3.h>

#include <algorithm>

#include "pointbook/geometry.hpp"
#include "pointbook/schema.hpp"
#include "pointbook/sentences.hpp"

namespace stillpoint::pointbook {
namespace {

constexpr std::string_view kTheirOwn = "own_";
constexpr std::string_view kOurView = "current_points";

bool belongs(const Object& found, const std::vector<Object>& list) {
  if (found.name.starts_with(kTheirOwn)) return true;
  // Books of one schema have had several texts of the view; whoever opens one for writing makes today's.
  if (found.type == "view" && found.name == kOurView) return true;
  return std::any_of(list.begin(), list.end(), [&found](const Object& own) {
    if (own.type != found.type || own.name != found.name) return false;
    // How its module words a plain table is the module's affair.
    return own.sql == found.sql || (own.by_module && found.sql.starts_with("CREATE TABLE"));
  });
}

/// A spatial index and what its module makes: told by `CREATE VIRTUAL TABLE`, or by who made it. Nothing is read from
/// them; the triggers write there.
bool is_of_index(const Object& object) {
  return object.by_module || object.sql.starts_with("CREATE VIRTUAL TABLE");
}

/// Whether a table stands where an index of the list belongs. SQLite takes capital letters for small ones.
bool stands_for_index(const Object& found, const std::vector<Object>& list) {
  return std::any_of(list.begin(), list.end(), [&found](const Object& own) {
    return is_of_index(own) && sqlite3_stricmp(own.name.c_str(), found.name.c_str()) == 0;
  });
}

}  // namespace

Result<void> inspect_tables(Database& database, const std::string& path) {
  for (const Object& object : objects_of(kSchemaVersion)) {
    if (object.type != "table" || is_of_index(object)) continue;
    Statement select = database.prepare(
        "SELECT s.type = 'table' AND s.rootpage > 0 AND NOT EXISTS (SELECT 1 FROM pragma_table_xinfo(s.name)"
        " WHERE hidden <> 0) FROM sqlite_schema AS s WHERE lower(s.name) = ?");
    const int code = select.valid() ? select.text(object.name).step() : SQLITE_ERROR;
    if (code == SQLITE_DONE) continue;  // whoever reads it finds that it is not there
    if (code != SQLITE_ROW) return fail(sentence_of(code, path));
    if (select.next_integer() == 0) {
      return fail(kSay.no_plain_table(path, object.name));
    }
  }
  return {};
}

Result<void> inspect_version(int schema_version, const std::string& path) {
  if (schema_version <= kSchemaVersion) return {};
  return fail(kSay.made_by_newer(path));
}

Result<std::vector<std::string>> strangers(Database& database, int schema_version, const std::string& path) {
  Statement select = database.prepare(
      "SELECT type, name, sql FROM sqlite_schema WHERE type IN ('trigger', 'view') OR lower(name) LIKE 'rtree%'");
  const std::vector<Object> list = objects_of(schema_version);
  std::vector<std::string> out;
  int code = select.valid() ? SQLITE_ROW : SQLITE_ERROR;
  while (code == SQLITE_ROW && (code = select.step()) == SQLITE_ROW) {
    Object found;
    found.type = select.next_text();
    found.name = select.next_text();
    found.sql = select.next_text();
    const bool is_code = found.type == "trigger" || found.type == "view";
    if (belongs(found, list) || (!is_code && !stands_for_index(found, list))) continue;
    out.push_back(kSay.foreign_object(path, found.type, found.name));
  }
  if (code != SQLITE_DONE) return fail(sentence_of(code, path));
  return out;
}

std::string height_note(const std::string& path, std::string_view frame_wkt_of_book, std::string_view frame_wkt) {
  const std::string wanted = geoid_in_wkt(frame_wkt);
  if (wanted.empty() || !geoid_in_wkt(frame_wkt_of_book).empty()) return {};
  return kSay.keeps_ellipsoid_heights(path, wanted);
}

}  // namespace stillpoint::pointbook
