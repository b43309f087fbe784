#include "pointbook/checks.hpp"

#include <sqlite3.h>

#include <cmath>

#include "base/identity.hpp"
#include "pointbook/content.hpp"

namespace stillpoint::pointbook {
namespace {

tl::unexpected<StoreError> refuse(std::string sentence) {
  return tl::unexpected<StoreError>(StoreError{Fault::refused, std::move(sentence)});
}

bool finite(double value) {
  return std::isfinite(value);
}
bool finite(const std::optional<double>& value) {
  return !value || std::isfinite(*value);
}
template <class... Values>
bool all_finite(const Values&... values) {
  return (finite(values) && ...);
}

bool finite(const occupation::Coordinates& at) {
  const auto& c = at.covariance_enu_m2;
  return all_finite(at.latitude_deg, at.longitude_deg, at.ellipsoid_height_m, at.coordinate_epoch, at.easting_m,
                    at.northing_m, at.orthometric_height_m, at.error95_horizontal_m, at.error95_vertical_m,
                    at.repeatability_m, at.effective_epochs, c[0], c[1], c[2], c[3]);
}

bool finite(const occupation::StoredPoint& stored) {
  if (stored.point.at && !finite(*stored.point.at)) return false;
  if (!all_finite(stored.point.antenna_height_m, stored.point.error_scale)) return false;
  for (const occupation::EpochRecord& e : stored.epochs) {
    if (!all_finite(e.age_s, e.latitude_deg, e.longitude_deg, e.ellipsoid_height_m, e.sigma_east_m, e.sigma_north_m,
                    e.sigma_up_m)) {
      return false;
    }
  }
  return true;
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

}  // namespace

std::string title(const occupation::Point& point) {
  return "point \"" + point.name + "\", visit " + std::to_string(point.visit);
}

std::vector<std::string> damaged_shots(const std::vector<CheckShot>& shots, const std::vector<std::string>& sums) {
  std::vector<std::string> out;
  for (std::size_t i = 0; i < shots.size(); ++i) {
    if (i < sums.size() && sha256_hex(canonical_content(shots[i])) == sums[i]) continue;
    out.push_back("the check shot on " + shots[i].mark + " of " + to_text(shots[i].utc) + ", version " +
                  std::to_string(shots[i].version) + ": the content no longer matches its SHA-256");
  }
  return out;
}

StoreResult<void> check(const occupation::StoredPoint& stored, const Identity& identity) {
  const std::string who = title(stored.point);
  if (stored.uuid.empty() || stored.point.name.empty())
    return refuse("a point without a name or a uuid cannot be stored");
  if (stored.version < 1 || stored.point.visit < 1) return refuse(who + ": visits and versions count from 1");
  if (stored.point.frame != identity.frame) {
    return refuse(who + " is in the frame " + stored.point.frame + ", the pointbook in " + identity.frame);
  }
  if (!finite(stored)) return refuse(who + " holds a number that is not finite; it cannot be stored");
  return {};
}

StoreResult<void> check(const CheckShot& shot, const Identity& identity) {
  const std::string who = "the check shot on " + shot.mark;
  if (shot.uuid.empty() || shot.mark.empty()) return refuse("a check shot without a mark or a uuid cannot be stored");
  if (shot.frame != identity.frame) {
    return refuse(who + " is in the frame " + shot.frame + ", the pointbook in " + identity.frame);
  }
  if (!finite(shot.at) || !all_finite(shot.off_east_m, shot.off_north_m, shot.off_up_m, shot.limit_horizontal_m,
                                      shot.limit_vertical_m, shot.antenna_height_m)) {
    return refuse(who + " holds a number that is not finite; it cannot be stored");
  }
  return {};
}

StoreResult<void> check(const AntennaSetup& setup) {
  bool good = all_finite(setup.height_m, setup.slant_length_m, setup.slant_radius_m,
                         setup.slant_plane_to_phase_centre_m, setup.also_measured_ft);
  for (const auto& part : setup.vertical_parts_m) good = good && finite(part.second);
  if (!good || setup.uuid.empty()) return refuse("an antenna setup needs a uuid and heights that are finite numbers");
  return {};
}

StoreResult<void> check_place(Database& database, const occupation::StoredPoint& stored, const std::string& path) {
  int code = SQLITE_OK;
  const std::string who = title(stored.point);
  if (uuid_of(database, stored.point, stored.version, &code)) {
    return refuse(who + " is already in " + path + " as another point; use another name, or ask for a repeat visit");
  }
  if (code != SQLITE_OK) return tl::unexpected<StoreError>(store_error(code, path));
  if (stored.version == 1) {
    if (!stored.supersedes.empty()) return refuse(who + ": a first version supersedes nothing");
    return {};
  }
  const auto before = uuid_of(database, stored.point, stored.version - 1, &code);
  if (code != SQLITE_OK) return tl::unexpected<StoreError>(store_error(code, path));
  if (before != stored.supersedes) {
    return refuse(who + ": version " + std::to_string(stored.version) + " must supersede version " +
                  std::to_string(stored.version - 1) + " of the same point in " + path);
  }
  return {};
}

bool has_uuid(Database& database, std::string_view table, const std::string& uuid, int* code) {
  Statement select = database.prepare("SELECT uuid FROM " + std::string(table) + " WHERE uuid = ?");
  if (select.valid()) select.text(uuid);
  return one_text(select, code).has_value();
}

}  // namespace stillpoint::pointbook
