#pragma once
/// Stored points, epochs, check shots and antenna setups as rows, and points and epochs back from rows.
///
/// Errors:  SQLite's result codes when writing; when reading, a sentence for a row that no version of this program
///          wrote.

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "pointbook/book.hpp"
#include "pointbook/content.hpp"
#include "pointbook/database.hpp"
#include "pointbook/fields.hpp"
#include "pointbook/geometry.hpp"

namespace stillpoint::pointbook {

/// What every row of a book needs to know about the book.
struct BookFrame {
  SrsName srs;
  bool projected = false;
  double unit_m = 1;  ///< metres in one unit of a projected frame
  std::string geoid;  ///< z is the height above it; empty: z is the ellipsoid height
  bool training = false;
  bool dynamic = false;  ///< the ground moves against it
};

/// The geometry in the frame's own units; empty: the row's geometry is NULL.
struct MapPosition {
  double x = 0, y = 0;
  std::optional<double> z{};  ///< empty: the point has no height above the book's geoid
};
BookFrame frame_of(const Identity& identity);
std::optional<MapPosition> map_position(const BookFrame& frame, const std::optional<occupation::Coordinates>& at);
/// What a row with these coordinates has as its geometry.
Geometry geometry_of(const BookFrame& frame, const std::optional<occupation::Coordinates>& at);

int insert_point(Database& database, const BookFrame& frame, const occupation::StoredPoint& stored);
int insert_epochs(Database& database, const occupation::StoredPoint& stored);
int insert_check_shot(Database& database, const BookFrame& frame, const CheckShot& shot);
int insert_antenna_setup(Database& database, const AntennaSetup& setup);
int insert_event(Database& database, const Event& event);

/// One row of `points` without its epochs, and what the row says about itself.
struct PointRow {
  occupation::StoredPoint stored;
  EpochsDigest epochs;
  Geometry geometry;
  bool training = false;
  std::string content_sha256;
};
struct ShotRow {
  CheckShot shot;
  Geometry geometry;
  bool training = false;
  std::string content_sha256;
};
/// `tail` is what follows `FROM points AS p`.
Result<std::vector<PointRow>> read_points(Database& database, std::string_view tail, const std::string& path);
Result<std::vector<occupation::EpochRecord>> read_epochs(Database& database, const std::string& uuid,
                                                         const std::string& path);
/// The epochs of every point in the order of storing, by the uuid of the version with which they were stored.
Result<std::map<std::string, std::vector<occupation::EpochRecord>>> read_all_epochs(Database& database,
                                                                                    const std::string& path);
/// In the order of storing.
Result<std::vector<ShotRow>> read_check_shots(Database& database, const std::string& path);
Result<std::vector<AntennaSetup>> read_antenna_setups(Database& database, const std::string& path);
Result<std::vector<Event>> read_events(Database& database, const std::string& path);

}  // namespace stillpoint::pointbook
