#include "pointbook/rows.hpp"

#include <sqlite3.h>

#include <algorithm>

#include "base/identity.hpp"
#include "pointbook/closings.hpp"
#include "pointbook/words.hpp"

namespace stillpoint::pointbook {
namespace {

// Bound and read in this order, by `bind_*` and `read_*` below.
constexpr std::string_view kPointColumns =
    "name, visit, version, uuid, supersedes, status, code, note, reasons, reason_texts, changed_by, change_reason,"
    " stored_at,"
    " frame, coordinate_epoch, latitude_deg, longitude_deg, easting_m, northing_m, ellipsoid_height_m,"
    " orthometric_height_m, geoid, error95_horizontal_m, error95_vertical_m, covariance_ee_m2, covariance_en_m2,"
    " covariance_nn_m2, covariance_uu_m2, repeatability_m, effective_epochs,"
    " epochs_used, epochs_refused, refused, source, station, quality, antenna_height_m, started_utc, finished_utc,"
    " flags, error_scale, epochs_kept, epochs_sha256, content_sha256";
constexpr std::string_view kEpochColumns =
    "utc, quality, station, source, age_s, correction, verdict, reasons, latitude_deg, longitude_deg,"
    " ellipsoid_height_m, sigma_east_m, sigma_north_m, sigma_up_m";

std::string insert_sql(std::string_view table, std::string_view first, std::string_view columns) {
  std::string sql =
      "INSERT INTO " + std::string(table) + " (" + std::string(first) + std::string(columns) + ") VALUES (?";
  const auto commas = std::count(first.begin(), first.end(), ',') + std::count(columns.begin(), columns.end(), ',');
  for (std::ptrdiff_t i = 0; i < commas; ++i) sql += ", ?";
  return sql + ")";
}

std::string select_sql(std::string_view columns, std::string_view from) {
  return "SELECT " + std::string(columns) + " FROM " + std::string(from);
}

void bind_identity(Statement& row, const occupation::StoredPoint& stored) {
  const occupation::Point& point = stored.point;
  row.text(point.name).integer(std::int64_t{point.visit}).integer(std::int64_t{stored.version}).text(stored.uuid);
  row.text_or_null(stored.supersedes).text(to_word(point.status)).text_or_null(point.code).text_or_null(point.note);
  row.text_or_null(hold_reasons_text(point.reasons)).text_or_null(join(point.reason_texts, '\n'));
  row.text_or_null(stored.changed_by).text_or_null(stored.change_reason).text(datetime_text(stored.stored_at));
}

void bind_coordinates(Statement& row, const std::string& frame, const std::optional<occupation::Coordinates>& at) {
  row.text(frame);
  if (!at) {
    for (int i = 0; i < 16; ++i) row.null();
    return;
  }
  row.real(at->coordinate_epoch).real(at->latitude_deg).real(at->longitude_deg).real(at->easting_m);
  row.real(at->northing_m).real(at->ellipsoid_height_m).real(at->orthometric_height_m).text_or_null(at->geoid);
  row.real(at->error95_horizontal_m).real(at->error95_vertical_m);
  for (const double value : at->covariance_enu_m2) row.real(value);
  row.real(at->repeatability_m).real(at->effective_epochs);
}

void bind_provenance(Statement& row, const occupation::Point& point) {
  row.integer(static_cast<std::int64_t>(point.epochs_used)).integer(static_cast<std::int64_t>(point.epochs_refused));
  row.text(refused_text(point.refused)).text_or_null(point.source).integer(point.station);
  row.text_or_null(point.quality ? to_word(*point.quality) : std::string_view()).real(point.antenna_height_m);
  row.time(point.started_utc).time(point.finished_utc).text_or_null(join(point.flags, ' ')).real(point.error_scale);
}

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

void bind_geometry(Statement& row, const BookFrame& frame, const std::optional<MapPosition>& at) {
  if (at) {
    row.blob(point_z_blob(frame.srs.srs_id, at->x, at->y, at->z));
  } else {
    row.null();
  }
}

bool read_identity(Statement& row, occupation::StoredPoint& stored) {
  occupation::Point& point = stored.point;
  point.name = row.next_text();
  point.visit = static_cast<int>(row.next_integer());
  stored.version = static_cast<int>(row.next_integer());
  stored.uuid = row.next_text();
  stored.supersedes = row.next_text();
  const auto status = occupation::point_status_from_word(row.next_text());
  point.code = row.next_text();
  point.note = row.next_text();
  const auto reasons = hold_reasons_from(row.next_text());
  point.reason_texts = split(row.next_text(), '\n');
  stored.changed_by = row.next_text();
  stored.change_reason = row.next_text();
  const auto stored_at = row.next_time();
  if (!status || !reasons || !stored_at) return false;
  point.status = *status;
  point.reasons = *reasons;
  stored.stored_at = *stored_at;
  return true;
}

void read_coordinates(Statement& row, occupation::Point& point) {
  point.frame = row.next_text();
  const std::optional<double> coordinate_epoch = row.next_optional_real();
  occupation::Coordinates at;
  at.coordinate_epoch = coordinate_epoch.value_or(0);
  at.latitude_deg = row.next_real();
  at.longitude_deg = row.next_real();
  at.easting_m = row.next_optional_real();
  at.northing_m = row.next_optional_real();
  at.ellipsoid_height_m = row.next_real();
  at.orthometric_height_m = row.next_optional_real();
  at.geoid = row.next_text();
  at.error95_horizontal_m = row.next_real();
  at.error95_vertical_m = row.next_real();
  for (double& value : at.covariance_enu_m2) value = row.next_real();
  at.repeatability_m = row.next_real();
  at.effective_epochs = row.next_real();
  if (coordinate_epoch) point.at = at;
}

bool read_provenance(Statement& row, occupation::Point& point) {
  point.epochs_used = static_cast<std::uint64_t>(row.next_integer());
  point.epochs_refused = static_cast<std::uint64_t>(row.next_integer());
  const auto refused = refused_from(row.next_text());
  point.source = row.next_text();
  point.station = row.next_optional_integer();
  const std::string quality = row.next_text();
  point.quality = quality_from_word(quality);
  point.antenna_height_m = row.next_real();
  point.started_utc = row.next_time();
  point.finished_utc = row.next_time();
  point.flags = split(row.next_text(), ' ');
  point.error_scale = row.next_optional_real();
  if (!refused || (!quality.empty() && !point.quality)) return false;
  point.refused = *refused;
  return true;
}

std::optional<PointRow> read_point(Statement& row) {
  PointRow out;
  if (!read_identity(row, out.stored)) return std::nullopt;
  read_coordinates(row, out.stored.point);
  if (!read_provenance(row, out.stored.point)) return std::nullopt;
  out.epochs.count = static_cast<std::uint64_t>(row.next_integer());
  out.epochs.sha256 = row.next_text();
  out.content_sha256 = row.next_text();
  return out;
}

std::optional<occupation::EpochRecord> read_epoch(Statement& row) {
  occupation::EpochRecord e;
  e.utc = row.next_time();
  const auto quality = quality_from_word(row.next_text());
  e.station = row.next_optional_integer();
  e.source = row.next_text();
  e.age_s = row.next_optional_real();
  const auto correction = correction_from_word(row.next_text());
  e.accepted = row.next_text() == "accepted";
  const auto reasons = reasons_from(row.next_text());
  if (!quality || !correction || !reasons) return std::nullopt;
  e.quality = *quality;
  e.correction = *correction;
  e.reasons = *reasons;
  for (auto* value :
       {&e.latitude_deg, &e.longitude_deg, &e.ellipsoid_height_m, &e.sigma_east_m, &e.sigma_north_m, &e.sigma_up_m}) {
    *value = row.next_optional_real();
  }
  return e;
}

void read_offsets(Statement& row, CheckShot& shot) {
  shot.off_east_m = row.next_real();
  shot.off_north_m = row.next_real();
  shot.off_up_m = row.next_optional_real();
  shot.limit_horizontal_m = row.next_real();
  shot.limit_vertical_m = row.next_optional_real();
}

std::optional<CheckShot> read_check_shot(Statement& row) {
  CheckShot shot;
  shot.uuid = row.next_text();
  shot.version = static_cast<int>(row.next_integer());
  shot.supersedes = row.next_text();
  shot.mark = row.next_text();
  shot.kind = row.next_text();
  const auto utc = row.next_time();
  shot.passed = row.next_integer() != 0;
  shot.frame = row.next_text();
  shot.at.coordinate_epoch = row.next_real();
  shot.at.latitude_deg = row.next_real();
  shot.at.longitude_deg = row.next_real();
  shot.at.easting_m = row.next_optional_real();
  shot.at.northing_m = row.next_optional_real();
  shot.at.ellipsoid_height_m = row.next_real();
  read_offsets(row, shot);
  shot.source = row.next_text();
  shot.antenna_height_m = row.next_real();
  shot.text = row.next_text();
  shot.diagnosis = row.next_text();
  shot.point_uuid = row.next_text();
  const auto stored_at = row.next_time();
  if (!utc || !stored_at) return std::nullopt;
  shot.utc = *utc;
  shot.stored_at = *stored_at;
  return shot;
}

/// The parts stay together as the text of their column: `reason` is what readers want.
std::optional<AntennaSetup> read_antenna_setup(Statement& row) {
  AntennaSetup setup;
  setup.uuid = row.next_text();
  const auto utc = row.next_time();
  setup.height_m = row.next_real();
  setup.vertical_parts_m = parts_from(row.next_text());
  setup.slant_length_m = row.next_optional_real();
  setup.slant_radius_m = row.next_optional_real();
  setup.slant_plane_to_phase_centre_m = row.next_optional_real();
  setup.also_measured_ft = row.next_optional_real();
  setup.already_reduced_by_receiver = row.next_integer() != 0;
  setup.reason = row.next_text();
  if (!utc) return std::nullopt;
  setup.utc = *utc;
  return setup;
}

std::optional<Event> read_event(Statement& row) {
  Event event;
  const auto utc = row.next_time();
  event.kind = row.next_text();
  event.text = row.next_text();
  event.details = row.next_text();
  if (!utc) return std::nullopt;
  event.utc = *utc;
  return event;
}

/// Reads every row of `select`; `read_one` takes the values of one.
template <class Value, class ReadOne>
Result<std::vector<Value>> read_all(Statement& select, const std::string& path, ReadOne read_one) {
  std::vector<Value> out;
  int code = select.valid() ? SQLITE_ROW : SQLITE_ERROR;
  while (code == SQLITE_ROW && (code = select.step()) == SQLITE_ROW) {
    auto value = read_one(select);
    if (!value) return fail(path + " holds a row that this program cannot read; it may come from a newer version");
    out.push_back(std::move(*value));
  }
  if (code != SQLITE_DONE) return fail(sentence_of(code, path));
  return out;
}

}  // namespace

std::optional<MapPosition> map_position(const BookFrame& frame, const std::optional<occupation::Coordinates>& at) {
  if (!at) return std::nullopt;
  if (!frame.projected) return MapPosition{at->longitude_deg, at->latitude_deg, at->ellipsoid_height_m};
  if (!at->easting_m || !at->northing_m) return std::nullopt;
  return MapPosition{*at->easting_m / frame.unit_m, *at->northing_m / frame.unit_m, at->ellipsoid_height_m};
}

int insert_point(Database& database, const BookFrame& frame, const occupation::StoredPoint& stored) {
  static const std::string sql = insert_sql("points", "geom, training, ", kPointColumns);
  Statement row = database.prepare(sql);
  const auto at = map_position(frame, stored.point.at);
  bind_geometry(row, frame, at);
  row.integer(std::int64_t{frame.training ? 1 : 0});
  bind_identity(row, stored);
  bind_coordinates(row, stored.point.frame, stored.point.at);
  bind_provenance(row, stored.point);
  const EpochsDigest epochs = digest_of(stored.epochs);
  row.integer(static_cast<std::int64_t>(epochs.count)).text(epochs.sha256);
  int code = row.text(sha256_hex(canonical_content(stored, epochs))).run();
  for (const std::string_view table : {"points", "current_points"}) {
    if (code == SQLITE_OK) code = note_feature(database, table, stored.stored_at, at);
  }
  return code;
}

int insert_epochs(Database& database, const occupation::StoredPoint& stored) {
  if (stored.epochs.empty()) return SQLITE_OK;
  static const std::string sql = insert_sql("epochs", "point_uuid, ", kEpochColumns);
  Statement row = database.prepare(sql);
  for (const occupation::EpochRecord& e : stored.epochs) {
    row.text(stored.uuid).time(e.utc).text(to_word(e.quality)).integer(e.station).text_or_null(e.source).real(e.age_s);
    row.text(to_word(e.correction)).text(verdict_word(e)).text_or_null(reasons_text(e.reasons));
    row.real(e.latitude_deg).real(e.longitude_deg).real(e.ellipsoid_height_m);
    row.real(e.sigma_east_m).real(e.sigma_north_m).real(e.sigma_up_m);
    if (const int code = row.run(); code != SQLITE_OK) return code;
  }
  return note_change(database, "epochs", stored.stored_at);
}

int insert_check_shot(Database& database, const BookFrame& frame, const CheckShot& shot) {
  static const std::string sql = insert_sql(
      "check_shots", "",
      "geom, uuid, version, supersedes, mark, kind, utc, passed, frame, coordinate_epoch, latitude_deg, longitude_deg,"
      " easting_m, northing_m, ellipsoid_height_m, off_east_m, off_north_m, off_up_m, limit_horizontal_m,"
      " limit_vertical_m, source, antenna_height_m, text, diagnosis, point_uuid, training, content_sha256, stored_at");
  Statement row = database.prepare(sql);
  const auto at = map_position(frame, shot.at);
  bind_geometry(row, frame, at);
  row.text(shot.uuid).integer(std::int64_t{shot.version}).text_or_null(shot.supersedes).text(shot.mark).text(shot.kind);
  row.time(shot.utc).integer(std::int64_t{shot.passed ? 1 : 0}).text(shot.frame).real(shot.at.coordinate_epoch);
  row.real(shot.at.latitude_deg).real(shot.at.longitude_deg).real(shot.at.easting_m).real(shot.at.northing_m);
  row.real(shot.at.ellipsoid_height_m).real(shot.off_east_m).real(shot.off_north_m).real(shot.off_up_m);
  row.real(shot.limit_horizontal_m).real(shot.limit_vertical_m).text_or_null(shot.source).real(shot.antenna_height_m);
  row.text(shot.text).text_or_null(shot.diagnosis).text_or_null(shot.point_uuid);
  row.integer(std::int64_t{frame.training ? 1 : 0}).text(sha256_hex(canonical_content(shot))).time(shot.stored_at);
  const int code = row.run();
  return code == SQLITE_OK ? note_feature(database, "check_shots", shot.stored_at, at) : code;
}

int insert_antenna_setup(Database& database, const AntennaSetup& setup) {
  static const std::string sql =
      insert_sql("antenna_setups", "",
                 "uuid, utc, height_m, vertical_parts_m, slant_length_m, slant_radius_m, slant_plane_to_phase_centre_m,"
                 " also_measured_ft, already_reduced_by_receiver, reason");
  Statement row = database.prepare(sql);
  row.text(setup.uuid).time(setup.utc).real(setup.height_m).text_or_null(parts_text(setup.vertical_parts_m));
  row.real(setup.slant_length_m).real(setup.slant_radius_m).real(setup.slant_plane_to_phase_centre_m);
  row.real(setup.also_measured_ft).integer(std::int64_t{setup.already_reduced_by_receiver ? 1 : 0});
  const int code = row.text_or_null(setup.reason).run();
  return code == SQLITE_OK ? note_change(database, "antenna_setups", setup.utc) : code;
}

int insert_event(Database& database, const Event& event) {
  Statement row = database.prepare("INSERT INTO events (utc, kind, text, details) VALUES (?, ?, ?, ?)");
  int code = row.time(event.utc).text(event.kind).text(event.text).text_or_null(event.details).run();
  // A closing changes what the view says of every point it covers.
  if (code == SQLITE_OK && event.kind == kDayClosed) code = note_change(database, "current_points", event.utc);
  return code == SQLITE_OK ? note_change(database, "events", event.utc) : code;
}

Result<std::vector<PointRow>> read_points(Database& database, std::string_view tail, const std::string& path) {
  Statement select = database.prepare(select_sql(kPointColumns, "points AS p ") + std::string(tail));
  return read_all<PointRow>(select, path, read_point);
}

Result<std::vector<occupation::EpochRecord>> read_epochs(Database& database, const std::string& uuid,
                                                         const std::string& path) {
  Statement select = database.prepare(select_sql(kEpochColumns, "epochs WHERE point_uuid = ? ORDER BY id"));
  if (select.valid()) select.text(uuid);
  return read_all<occupation::EpochRecord>(select, path, read_epoch);
}

Result<std::map<std::string, std::vector<occupation::EpochRecord>>> read_all_epochs(Database& database,
                                                                                    const std::string& path) {
  std::map<std::string, std::vector<occupation::EpochRecord>> out;
  const std::string columns = "point_uuid, " + std::string(kEpochColumns);
  Statement select = database.prepare(select_sql(columns, "epochs ORDER BY id"));
  std::string last;
  std::vector<occupation::EpochRecord>* list = nullptr;
  int code = select.valid() ? SQLITE_ROW : SQLITE_ERROR;
  while (code == SQLITE_ROW && (code = select.step()) == SQLITE_ROW) {
    std::string uuid = select.next_text();
    auto epoch = read_epoch(select);
    if (!epoch) return fail(path + " holds a row that this program cannot read; it may come from a newer version");
    if (list == nullptr || uuid != last) list = &out[last = std::move(uuid)];
    list->push_back(*std::move(epoch));
  }
  if (code != SQLITE_DONE) return fail(sentence_of(code, path));
  return out;
}

Result<std::vector<CheckShot>> read_check_shots(Database& database, const std::string& path) {
  Statement select = database.prepare(
      "SELECT uuid, version, supersedes, mark, kind, utc, passed, frame, coordinate_epoch, latitude_deg, longitude_deg,"
      " easting_m, northing_m, ellipsoid_height_m, off_east_m, off_north_m, off_up_m, limit_horizontal_m,"
      " limit_vertical_m, source, antenna_height_m, text, diagnosis, point_uuid, stored_at FROM check_shots ORDER BY "
      "id");
  return read_all<CheckShot>(select, path, read_check_shot);
}

Result<std::vector<std::string>> read_check_shot_sums(Database& database, const std::string& path) {
  Statement select = database.prepare("SELECT content_sha256 FROM check_shots ORDER BY id");
  return read_all<std::string>(select, path, [](Statement& row) { return std::optional(row.next_text()); });
}

Result<std::vector<AntennaSetup>> read_antenna_setups(Database& database, const std::string& path) {
  Statement select = database.prepare(
      "SELECT uuid, utc, height_m, vertical_parts_m, slant_length_m, slant_radius_m, slant_plane_to_phase_centre_m,"
      " also_measured_ft, already_reduced_by_receiver, reason FROM antenna_setups ORDER BY id");
  return read_all<AntennaSetup>(select, path, read_antenna_setup);
}

Result<std::vector<Event>> read_events(Database& database, const std::string& path) {
  Statement select = database.prepare("SELECT utc, kind, text, details FROM events ORDER BY id");
  return read_all<Event>(select, path, read_event);
}

}  // namespace stillpoint::pointbook
