#include "pointbook/checks.hpp"

#include <sqlite3.h>

#include <cmath>

#include "base/identity.hpp"
#include "pointbook/fields.hpp"
#include "pointbook/sentences.hpp"

namespace stillpoint::pointbook {
namespace {

tl::unexpected<StoreError> refuse(std::string sentence) {
  return tl::unexpected<StoreError>(StoreError{Fault::refused, std::move(sentence)});
}

/// Whether every number of a list is finite.
struct Finite {
  bool all = true;
  template <class Value>
  void operator()(const Field&, const Value& value) {
    look(value);
  }

 private:
  template <class Value>
  void look(const std::optional<Value>& value) {
    if (value) look(*value);
  }
  void look(double value) { all = all && std::isfinite(value); }
  void look(const std::vector<std::pair<std::string, double>>& parts) {
    for (const auto& part : parts) look(part.second);
  }
  template <class Value>
  void look(const Value&) {}
};

/// The first field whose text the readers of rows would not take; empty: they take all of it.
struct ReadsBack {
  std::string_view not_taken;
  template <class Value>
  void operator()(const Field& field, const Value& value) {
    if (!taken(field, value) && not_taken.empty()) not_taken = field.name;
  }

 private:
  template <class Value>
  static bool taken(const Field& field, const std::optional<Value>& value) {
    return !value || taken(field, *value);
  }
  static bool taken(const Field&, UtcTime value) { return parse_utc(datetime_text(value)) == value; }
  static bool taken(const Field&, const Geometry&) { return true; }
  template <class Value>
  static bool taken(const Field& field, const Value& value) {
    if constexpr (kIsText<Value>) {
      Value read{};
      return take_text(field, text_of(field, value), read);
    }
    return true;
  }
};

/// What is written is read back by the same rules before it is written.
StoreResult<void> check_reading(const std::string& who, const ReadsBack& reading) {
  if (reading.not_taken.empty()) return {};
  return refuse(kSay.not_read_back(who, reading.not_taken));
}

bool finite(const occupation::StoredPoint& stored) {
  Finite finite;
  occupation::point_fields(finite, stored.point);
  for (const occupation::EpochRecord& epoch : stored.epochs) occupation::epoch_fields(finite, epoch);
  return finite.all;
}

/// All that a shot has, beyond what its row keeps of the coordinates.
bool finite(const CheckShot& shot) {
  Finite finite;
  shot_fields(finite, shot);
  occupation::coordinate_fields(finite, shot.at);
  return finite.all;
}

bool finite(const AntennaSetup& setup) {
  Finite finite;
  antenna_fields(finite, setup);
  return finite.all;
}

/// Equal to the last decimal that the content keeps: anything farther off would be another place on a map.
bool same_place(const Geometry& is, const Geometry& should_be, bool projected) {
  if (is.bytes == should_be.bytes) return true;
  const auto one = read_point_blob(is.bytes), other = read_point_blob(should_be.bytes);
  if (!one || !other || one->z.has_value() != other->z.has_value()) return false;
  const auto near = [](double a, double b, double most) { return std::abs(a - b) <= most; };
  const double most = projected ? 1e-6 : 1e-11;
  return near(one->x, other->x, most) && near(one->y, other->y, most) && (!one->z || near(*one->z, *other->z, 1e-6));
}

/// Reports content that does not match its hash. Then the geometry is not reported as well, since the coordinates to
/// compare it with cannot be trusted.
void look_at_content(const std::string& who, const std::string& content, const std::string& sum, bool same_place,
                     std::vector<std::string>& damage) {
  if (sha256_hex(content) != sum) {
    damage.push_back(kSay.content_differs(who));
  } else if (!same_place) {
    damage.push_back(kSay.geometry_differs(who));
  }
}

std::optional<std::string> one_text(Statement& select, int* code) {
  const int result = select.step();
  *code = result == SQLITE_ROW || result == SQLITE_DONE ? SQLITE_OK : result;
  if (result != SQLITE_ROW) return std::nullopt;
  return select.next_text();
}

/// The uuid stored for this name, visit and version, if any.
std::optional<std::string> uuid_of(Database& database, const occupation::Point& point, int version, int* code) {
  Statement select = database.prepare("SELECT uuid FROM points WHERE name = ? AND visit = ? AND version = ?");
  if (select.valid()) select.text(point.name).integer(std::int64_t{point.visit}).integer(std::int64_t{version});
  return one_text(select, code);
}

/// Whether the row has this version and nothing supersedes it yet.
bool is_newest(Database& database, const std::string& uuid, int version, int* code) {
  Statement select = database.prepare(
      "SELECT uuid FROM points AS p WHERE uuid = ? AND version = ?"
      " AND NOT EXISTS (SELECT 1 FROM points AS newer WHERE newer.supersedes = p.uuid)");
  if (select.valid()) select.text(uuid).integer(std::int64_t{version});
  return one_text(select, code).has_value();
}

}  // namespace

std::string title(const occupation::Point& point) {
  return "point \"" + point.name + "\", visit " + std::to_string(point.visit);
}

void look_at_row(const PointRow& row, const EpochsDigest& epochs, const BookFrame& frame,
                 std::vector<std::string>& damage) {
  const std::string who = title(row.stored.point) + ", version " + std::to_string(row.stored.version);
  look_at_content(who, canonical_content(row.stored, row.epochs), row.content_sha256,
                  same_place(row.geometry, geometry_of(frame, row.stored.point.at), frame.projected), damage);
  if (epochs.count != row.epochs.count || epochs.sha256 != row.epochs.sha256) {
    damage.push_back(kSay.epochs_differ(who));
  }
}

void look_at_row(const ShotRow& row, const BookFrame& frame, std::vector<std::string>& damage) {
  const CheckShot& shot = row.shot;
  const std::string who = kSay.check_shot(shot.mark, to_text(shot.utc), std::to_string(shot.version));
  look_at_content(who, canonical_content(shot), row.content_sha256,
                  same_place(row.geometry, geometry_of(frame, shot.at), frame.projected), damage);
}

StoreResult<void> check(const occupation::StoredPoint& stored, const Identity& identity) {
  const std::string who = title(stored.point);
  if (stored.uuid.empty() || stored.point.name.empty()) return refuse(kSay.nameless_point());
  if (stored.version < 1 || stored.point.visit < 1) return refuse(kSay.counts_from_one(who));
  if (stored.point.frame != identity.frame) {
    return refuse(kSay.row_of_other_frame(who, stored.point.frame, identity.frame));
  }
  if (!finite(stored)) return refuse(kSay.not_finite(who));
  ReadsBack reading;
  identity_fields(reading, stored);
  occupation::point_fields(reading, stored.point);
  for (const occupation::EpochRecord& epoch : stored.epochs) occupation::epoch_fields(reading, epoch);
  reading(Field{"stored_at"}, stored.stored_at);
  return check_reading(who, reading);
}

StoreResult<void> check(const CheckShot& shot, const Identity& identity) {
  const std::string who = kSay.check_shot_on(shot.mark);
  if (shot.uuid.empty() || shot.mark.empty()) return refuse(kSay.nameless_shot());
  if (shot.frame != identity.frame) {
    return refuse(kSay.row_of_other_frame(who, shot.frame, identity.frame));
  }
  if (!finite(shot)) return refuse(kSay.not_finite(who));
  ReadsBack reading;
  shot_fields(reading, shot);
  reading(Field{"stored_at"}, shot.stored_at);
  return check_reading(who, reading);
}

StoreResult<void> check(const AntennaSetup& setup) {
  if (!finite(setup) || setup.uuid.empty()) {
    return refuse(kSay.setup_incomplete());
  }
  ReadsBack reading;
  antenna_fields(reading, setup);
  return check_reading(kSay.the_setup(), reading);
}

StoreResult<void> check(const Event& event) {
  ReadsBack reading;
  event_fields(reading, event);
  return check_reading(kSay.the_event(event.kind), reading);
}

StoreResult<void> check_place(Database& database, const occupation::StoredPoint& stored, const std::string& path) {
  int code = SQLITE_OK;
  const std::string who = title(stored.point);
  if (uuid_of(database, stored.point, stored.version, &code)) {
    return refuse(kSay.name_taken(who, path));
  }
  if (code != SQLITE_OK) return tl::unexpected<StoreError>(store_error(code, path));
  if (stored.version == 1) {
    if (!stored.supersedes.empty()) return refuse(kSay.first_supersedes(who));
    return {};
  }
  const bool good = is_newest(database, stored.supersedes, stored.version - 1, &code);
  if (code != SQLITE_OK) return tl::unexpected<StoreError>(store_error(code, path));
  if (good) return {};
  return refuse(kSay.must_supersede(who, std::to_string(stored.version), std::to_string(stored.version - 1), path));
}

bool has_uuid(Database& database, std::string_view table, const std::string& uuid, int* code) {
  Statement select = database.prepare("SELECT uuid FROM " + std::string(table) + " WHERE uuid = ?");
  if (select.valid()) select.text(uuid);
  return one_text(select, code).has_value();
}

}  // namespace stillpoint::pointbook
