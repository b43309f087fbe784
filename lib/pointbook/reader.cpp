#include "pointbook/reader.hpp"

#include <sqlite3.h>

#include <algorithm>
#include <filesystem>

#include "base/identity.hpp"
#include "pointbook/checks.hpp"
#include "pointbook/closings.hpp"
#include "pointbook/content.hpp"
#include "pointbook/database.hpp"
#include "pointbook/disk.hpp"
#include "pointbook/geometry.hpp"
#include "pointbook/inspect.hpp"
#include "pointbook/rows.hpp"
#include "pointbook/schema.hpp"
#include "pointbook/sentences.hpp"

namespace stillpoint::pointbook {
namespace {

namespace fs = std::filesystem;

constexpr int kWaitForWriterMs = 5000;
constexpr std::uintmax_t kEmptySpoolBytes = 19;  // its first line

Result<void> read_identity(Database& database, Contents& out) {
  const auto no_pointbook = [&] { return fail(kSay.no_pointbook(out.path)); };
  int code = SQLITE_OK;
  database.value("SELECT count(*) FROM sqlite_schema", &code);
  if (code == SQLITE_NOTADB) return no_pointbook();
  if (code != SQLITE_OK) return fail(sentence_of(code, out.path));
  if (auto tables = inspect_tables(database, out.path); !tables) return tables;
  const auto row = read_book_row(database, &code);
  if (code == SQLITE_ERROR || code == SQLITE_DONE) return no_pointbook();
  if (!row) return fail(sentence_of(code, out.path));
  if (auto known = inspect_version(row->schema_version, out.path); !known) return known;
  auto strange = strangers(database, row->schema_version, out.path);
  if (!strange) return tl::unexpected<Error>(strange.error());
  out.damage = *std::move(strange);
  out.project = database.value("SELECT project FROM pointbook").value_or("");
  out.frame = database.value("SELECT frame FROM pointbook").value_or("");
  out.frame_wkt = database.value("SELECT frame_wkt FROM pointbook").value_or("");
  // Of a book that has none the standard says so.
  out.frame_wkt1 = database
                       .value(
                           "SELECT nullif(definition, 'undefined') FROM gpkg_spatial_ref_sys WHERE srs_id ="
                           " (SELECT srs_id FROM gpkg_contents WHERE table_name = 'points')")
                       .value_or("");
  out.frame_is_projected = is_projected(out.frame_wkt);
  out.training = database.value("SELECT training FROM pointbook").value_or("0") != "0";
  return {};
}

/// Moves a table's rows into their place, or passes on why there are none.
template <class Rows>
Result<void> take(Result<Rows> rows, Rows& place) {
  if (!rows) return tl::unexpected<Error>(rows.error());
  place = *std::move(rows);
  return {};
}

BookFrame frame_of(const Contents& book) {
  Identity identity;
  identity.frame = book.frame;
  identity.frame_wkt = book.frame_wkt;
  identity.frame_is_projected = book.frame_is_projected;
  identity.training = book.training;
  return pointbook::frame_of(identity);
}

Result<void> read_tables(Database& database, Contents& out) {
  const BookFrame frame = frame_of(out);
  if (auto done = take(read_all_epochs(database, out.path), out.epochs); !done) return done;
  std::vector<ShotRow> shots;
  if (auto done = take(read_check_shots(database, out.path), shots); !done) return done;
  for (ShotRow& row : shots) {
    look_at_row(row, frame, out.damage);
    out.checks.push_back(std::move(row.shot));
  }
  if (auto done = take(read_antenna_setups(database, out.path), out.antennas); !done) return done;
  if (auto done = take(read_events(database, out.path), out.events); !done) return done;
  std::vector<PointRow> rows;
  if (auto done = take(read_points(database, "ORDER BY id", out.path), rows); !done) return done;
  static const std::vector<occupation::EpochRecord> kNone;
  for (PointRow& row : rows) {
    const auto at = out.epochs.find(row.stored.uuid);
    look_at_row(row, digest_of(at == out.epochs.end() ? kNone : at->second), frame, out.damage);
    out.versions.push_back(std::move(row.stored));
  }
  return {};
}

}  // namespace

Result<Contents> read_contents(const std::string& path) {
  std::error_code error;
  if (!fs::is_regular_file(path, error)) return fail(kSay.no_pointbook_at(path));
  Contents out;
  out.path = path;
  Database database;
  if (const int code = database.open_to_read(path); code != SQLITE_OK) {
    if (code == SQLITE_NOTADB) return fail(kSay.no_pointbook(path));
    return fail(sentence_of(code, path));
  }
  database.set_busy_wait(kWaitForWriterMs);
  if (const int code = database.run("BEGIN"); code != SQLITE_OK) return fail(sentence_of(code, path));
  if (auto done = read_identity(database, out); !done) return tl::unexpected<Error>(done.error());
  if (auto done = read_tables(database, out); !done) return tl::unexpected<Error>(done.error());
  for (const std::string& sentence : database.left_out()) out.damage.push_back(sentence);
  const auto spool_bytes = fs::file_size(path + ".spool", error);
  out.spool_waits = !error && spool_bytes > kEmptySpoolBytes;
  return out;
}

Result<void> copy_book(const std::string& path, const std::string& to) {
  Database database;
  int code = database.open_to_read(path);
  if (code != SQLITE_OK) return fail(sentence_of(code, path));
  database.set_busy_wait(kWaitForWriterMs);
  Disk& disk = system_disk();
  const int made = disk.create(to);
  if (made < 0) return fail(kSay.cannot_create(to, disk_words(made)));
  disk.close(made);
  code = database.copy_to(to);
  if (code == SQLITE_OK) return {};
  disk.remove(to);
  return fail(sentence_of(code, code == SQLITE_NOTADB ? path : to));
}

std::vector<CheckShot> newest_checks(const std::vector<CheckShot>& all) {
  std::vector<CheckShot> out;
  for (const CheckShot& shot : all) {
    const bool replaced =
        std::any_of(all.begin(), all.end(), [&](const CheckShot& other) { return other.supersedes == shot.uuid; });
    if (!replaced) out.push_back(shot);
  }
  return out;
}

bool day_is_closed(const Contents& book) {
  const Closings closings(book.events);
  return closings.last() && std::all_of(book.versions.begin(), book.versions.end(),
                                        [&](const auto& stored) { return closings.covers(stored.point.finished_utc); });
}

}  // namespace stillpoint::pointbook
