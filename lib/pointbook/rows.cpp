#include "pointbook/rows.hpp"

#include <sqlite3.h>

#include "base/identity.hpp"
#include "pointbook/closings.hpp"
#include "pointbook/fields.hpp"
#include "pointbook/schema.hpp"
#include "pointbook/sentences.hpp"
#include "pointbook/standard_tables.hpp"

namespace stillpoint::pointbook {
namespace {

/// Binds each field in the order of the list.
struct Binder {
  Statement& row;
  template <class Value>
  void operator()(const Field& field, const Value& value) {
    if constexpr (kIsOptional<Value>) {
      if (value) return (*this)(field, *value);
      row.null();
    } else if constexpr (std::is_same_v<Value, double>) {
      row.real(value);
    } else if constexpr (std::is_same_v<Value, UtcTime>) {
      row.time(value);
    } else if constexpr (std::is_same_v<Value, Geometry>) {
      value.bytes.empty() ? row.null() : row.blob(value.bytes);
    } else if constexpr (kIsWholeNumber<Value>) {
      row.integer(static_cast<std::int64_t>(value));
    } else if constexpr (std::is_same_v<Value, bool>) {
      if (field.words != nullptr) return void(row.text(field.words[value ? 1 : 0]));
      row.integer(std::int64_t{value ? 1 : 0});
    } else {
      const std::string text = text_of(field, value);
      field.nullable ? row.text_or_null(text) : row.text(text);
    }
  }
};

/// Takes each field of a row that was selected in the order of the list; `good` tells whether all could be read.
struct Taker {
  Statement& row;
  int version = 0;
  bool good = true;

  bool next_is_null() const { return row.next_is_null(); }
  template <class Value>
  void operator()(const Field& field, Value& value) {
    if (field.since <= version) take(field, value);
  }

 private:
  template <class Value>
  void take(const Field& field, std::optional<Value>& value) {
    if (row.next_is_null()) return row.skip();
    take(field, value.emplace());
  }
  void take(const Field&, double& value) { value = row.next_real(); }
  void take(const Field&, int& value) { value = static_cast<int>(row.next_integer()); }
  void take(const Field&, std::uint64_t& value) { value = static_cast<std::uint64_t>(row.next_integer()); }
  void take(const Field& field, bool& value) {
    value = field.words != nullptr ? row.next_text() == field.words[1] : row.next_integer() != 0;
  }
  void take(const Field&, Geometry& value) { value.bytes = row.next_blob(); }
  void take(const Field&, UtcTime& value) {
    const auto time = row.next_time();
    if (time) value = *time;
    good = good && time;
  }
  template <class Value>
  void take(const Field& field, Value& value) {
    good = take_text(field, row.next_text(), value) && good;
  }
};

/// The names of a list's columns, and as many question marks.
struct Names {
  int version;
  std::string names, marks;
  template <class Value>
  void operator()(const Field& field, const Value&) {
    if (field.since > version) return;
    names.append(names.empty() ? "" : ", ").append(field.name);
    marks.append(marks.empty() ? "?" : ", ?");
  }
};

template <class Row, class Visit>
Names names_of(Visit visit, int version) {
  Names names{version, {}, {}};
  const Row row{};
  visit(names, row);
  return names;
}

/// `first`: a column before those of the list, as `point_uuid, `.
template <class Row, class Visit>
std::string insert_sql(std::string_view table, std::string_view first, Visit visit) {
  const Names names = names_of<Row>(visit, kNewestFields);
  return "INSERT INTO " + std::string(table) + " (" + std::string(first) + names.names + ") VALUES (" +
         (first.empty() ? "" : "?, ") + names.marks + ")";
}

constexpr auto kPointList = [](auto& io, auto& row) { point_row_fields(io, row); };
constexpr auto kEpochList = [](auto& io, auto& row) { occupation::epoch_fields(io, row); };
constexpr auto kOwnedEpochList = [](auto& io, auto& row) {
  io(Field{"point_uuid"}, row.point_uuid);
  occupation::epoch_fields(io, row.epoch);
};
constexpr auto kShotList = [](auto& io, auto& row) { shot_row_fields(io, row); };
constexpr auto kAntennaList = [](auto& io, auto& row) { antenna_fields(io, row); };
constexpr auto kEventList = [](auto& io, auto& row) { event_fields(io, row); };

struct OwnedEpoch {
  std::string point_uuid;
  occupation::EpochRecord epoch;
};

/// A point or a shot that is to become a row.
struct NewPoint {
  const occupation::StoredPoint& stored;
  EpochsDigest epochs;
  Geometry geometry;
  bool training = false;
  std::string content_sha256{};
};
struct NewShot {
  const CheckShot& shot;
  Geometry geometry;
  bool training = false;
  std::string content_sha256{};
};

int grow_extent(Database& database, std::string_view table, const MapPosition& at) {
  Statement update = database.prepare(
      "UPDATE gpkg_contents SET min_x = min(coalesce(min_x, ?1), ?1), max_x = max(coalesce(max_x, ?1), ?1),"
      " min_y = min(coalesce(min_y, ?2), ?2), max_y = max(coalesce(max_y, ?2), ?2) WHERE table_name = ?3");
  return update.real(at.x).real(at.y).text(table).run();
}

int note_change(Database& database, std::string_view table, UtcTime when) {
  Statement update = database.prepare("UPDATE gpkg_contents SET last_change = ? WHERE table_name = ?");
  return update.time(when).text(table).run();
}

int note_feature(Database& database, std::string_view table, UtcTime when, const std::optional<MapPosition>& at) {
  const int code = note_change(database, table, when);
  return code == SQLITE_OK && at ? grow_extent(database, table, *at) : code;
}

std::string unreadable_row(const std::string& path, const std::string& table, std::int64_t id) {
  return kSay.row_unreadable(path, std::to_string(id), table);
}

/// What a row says, or nothing when no version of this program wrote it.
template <class Row, class Visit>
std::optional<Row> take_row(Statement& select, Visit visit, int version) {
  Row row{};
  Taker taker{select, version};
  visit(taker, row);
  return taker.good ? std::optional(std::move(row)) : std::nullopt;
}

/// Every row of a list that can be read; what cannot is left out. `from` is what follows FROM, and `bound` its one
/// value, if it has one.
template <class Row, class Visit>
Result<std::vector<Row>> read_rows(Database& database, Visit visit, const std::string& from, const std::string& path,
                                   std::optional<std::string_view> bound = {}) {
  const int version = fields_version(database);
  Statement select = database.prepare("SELECT id, " + names_of<Row>(visit, version).names + " FROM " + from);
  if (select.valid() && bound) select.text(*bound);
  std::vector<Row> out;
  int code = select.valid() ? SQLITE_ROW : SQLITE_ERROR;
  while (code == SQLITE_ROW && (code = select.step()) == SQLITE_ROW) {
    const std::int64_t id = select.next_integer();
    if (auto row = take_row<Row>(select, visit, version)) {
      out.push_back(*std::move(row));
    } else {
      database.leave_out(unreadable_row(path, from.substr(0, from.find(' ')), id));
    }
  }
  if (code != SQLITE_DONE) return fail(sentence_of(code, path));
  return out;
}

}  // namespace

BookFrame frame_of(const Identity& identity) {
  BookFrame frame;
  frame.geoid = geoid_in_wkt(identity.frame_wkt);
  frame.srs = frame.geoid.empty() ? srs_name(identity.frame) : srs_name_of_compound();
  frame.projected = identity.frame_is_projected;
  frame.unit_m = axis_unit_m(identity.frame_wkt);
  frame.training = identity.training;
  frame.dynamic = is_dynamic(identity.frame_wkt);
  return frame;
}

std::optional<MapPosition> map_position(const BookFrame& frame, const std::optional<occupation::Coordinates>& at) {
  if (!at) return std::nullopt;
  const bool by_geoid = !frame.geoid.empty();
  std::optional<double> z = at->ellipsoid_height_m;
  if (by_geoid) z = at->geoid == frame.geoid ? at->orthometric_height_m : std::nullopt;
  if (!frame.projected) return MapPosition{at->longitude_deg, at->latitude_deg, z};
  if (!at->easting_m || !at->northing_m) return std::nullopt;
  return MapPosition{*at->easting_m / frame.unit_m, *at->northing_m / frame.unit_m, z};
}

Geometry geometry_of(const BookFrame& frame, const std::optional<occupation::Coordinates>& at) {
  const auto place = map_position(frame, at);
  if (!place) return {};
  const auto& [x, y, z] = *place;
  return {z ? point_z_blob(frame.srs.srs_id, x, y, *z) : point_blob(frame.srs.srs_id, x, y)};
}

int insert_point(Database& database, const BookFrame& frame, const occupation::StoredPoint& stored) {
  static const std::string sql = insert_sql<PointRow>("points", "", kPointList);
  Statement row = database.prepare(sql);
  const auto at = map_position(frame, stored.point.at);
  NewPoint point{stored, digest_of(stored.epochs), geometry_of(frame, stored.point.at), frame.training};
  point.content_sha256 = sha256_hex(canonical_content(stored, point.epochs));
  Binder binder{row};
  kPointList(binder, std::as_const(point));
  int code = stored.point.at ? note_epoch(database, frame, stored.point.at->coordinate_epoch) : SQLITE_OK;
  if (code == SQLITE_OK) code = row.run();
  for (const std::string_view table : {"points", "current_points"}) {
    if (code == SQLITE_OK) code = note_feature(database, table, stored.stored_at, at);
  }
  return code;
}

int insert_epochs(Database& database, const occupation::StoredPoint& stored) {
  if (stored.epochs.empty()) return SQLITE_OK;
  static const std::string sql = insert_sql<occupation::EpochRecord>("epochs", "point_uuid, ", kEpochList);
  Statement row = database.prepare(sql);
  for (const occupation::EpochRecord& epoch : stored.epochs) {
    row.text(stored.uuid);
    Binder binder{row};
    kEpochList(binder, epoch);
    if (const int code = row.run(); code != SQLITE_OK) return code;
  }
  return note_change(database, "epochs", stored.stored_at);
}

int insert_check_shot(Database& database, const BookFrame& frame, const CheckShot& shot) {
  static const std::string sql = insert_sql<ShotRow>("check_shots", "", kShotList);
  Statement row = database.prepare(sql);
  const auto at = map_position(frame, shot.at);
  const NewShot made{shot, geometry_of(frame, shot.at), frame.training, sha256_hex(canonical_content(shot))};
  Binder binder{row};
  kShotList(binder, made);
  int code = note_epoch(database, frame, shot.at.coordinate_epoch);
  if (code == SQLITE_OK) code = row.run();
  return code == SQLITE_OK ? note_feature(database, "check_shots", shot.stored_at, at) : code;
}

int insert_antenna_setup(Database& database, const AntennaSetup& setup) {
  static const std::string sql = insert_sql<AntennaSetup>("antenna_setups", "", kAntennaList);
  Statement row = database.prepare(sql);
  Binder binder{row};
  kAntennaList(binder, setup);
  const int code = row.run();
  return code == SQLITE_OK ? note_change(database, "antenna_setups", setup.utc) : code;
}

int insert_event(Database& database, const Event& event) {
  static const std::string sql = insert_sql<Event>("events", "", kEventList);
  Statement row = database.prepare(sql);
  Binder binder{row};
  kEventList(binder, event);
  int code = row.run();
  // A closing changes what the view says of every point it covers.
  if (code == SQLITE_OK && event.kind == kDayClosed) code = note_change(database, "current_points", event.utc);
  return code == SQLITE_OK ? note_change(database, "events", event.utc) : code;
}

Result<std::vector<PointRow>> read_points(Database& database, std::string_view tail, const std::string& path) {
  return read_rows<PointRow>(database, kPointList, "points AS p " + std::string(tail), path);
}

Result<std::vector<occupation::EpochRecord>> read_epochs(Database& database, const std::string& uuid,
                                                         const std::string& path) {
  return read_rows<occupation::EpochRecord>(database, kEpochList, "epochs WHERE point_uuid = ? ORDER BY id", path,
                                            uuid);
}

Result<std::map<std::string, std::vector<occupation::EpochRecord>>> read_all_epochs(Database& database,
                                                                                    const std::string& path) {
  auto rows = read_rows<OwnedEpoch>(database, kOwnedEpochList, "epochs ORDER BY id", path);
  if (!rows) return tl::unexpected<Error>(rows.error());
  std::map<std::string, std::vector<occupation::EpochRecord>> out;
  std::vector<occupation::EpochRecord>* list = nullptr;
  const std::string* last = nullptr;
  for (OwnedEpoch& row : *rows) {
    if (last == nullptr || row.point_uuid != *last) list = &out[row.point_uuid];
    last = &row.point_uuid;
    list->push_back(std::move(row.epoch));
  }
  return out;
}

Result<std::vector<ShotRow>> read_check_shots(Database& database, const std::string& path) {
  return read_rows<ShotRow>(database, kShotList, "check_shots ORDER BY id", path);
}

Result<std::vector<AntennaSetup>> read_antenna_setups(Database& database, const std::string& path) {
  return read_rows<AntennaSetup>(database, kAntennaList, "antenna_setups ORDER BY id", path);
}

Result<std::vector<Event>> read_events(Database& database, const std::string& path) {
  return read_rows<Event>(database, kEventList, "events ORDER BY id", path);
}

}  // namespace stillpoint::pointbook
