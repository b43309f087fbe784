#pragma once
/// The durable record: one GeoPackage (OGC 12-128r17, version 1.3), append-only.
///
/// Tables:  `points`, `check_shots` (features, POINT Z in the project frame), `epochs`, `events`, `antenna_setups`
///          (attributes), the view `current_points` (newest version of each point) registered for GIS programs.
/// Time:    handed in. Threads: one `Book`, one thread; readers elsewhere open the file themselves.
/// Errors:  sentences. `Busy` means another program holds the file: nothing is lost, try again.
/// Durable: when `append` returns, a power cut cannot take the point back (rollback journal, synced commit).

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"
#include "base/time.hpp"
#include "occupation/point.hpp"

namespace stillpoint::pointbook {

/// What a pointbook is locked to.
struct Identity {
  std::string project;
  std::string frame;      ///< code, e.g. "EPSG:6319"
  std::string frame_wkt;  ///< WKT 2
  bool frame_is_projected = false;
  bool training = false;
};

struct Event {
  UtcTime utc;
  std::string kind;     ///< contract word: alert key, `occupy`, `keep`, `drop`, `started`, `stopped` …
  std::string text;     ///< one sentence
  std::string details;  ///< JSON object or empty
};

/// Where a point of the book stands: enough to refuse equal names and to list points.
struct Known {
  std::string name;
  int visit = 1;
  int version = 1;
  std::string uuid;
  occupation::PointStatus status = occupation::PointStatus::none;
};

enum class Fault : std::uint8_t { busy, refused, disk };
struct StoreError {
  Fault fault = Fault::disk;
  std::string text;
};
template <class T>
using StoreResult = tl::expected<T, StoreError>;

class Book {
 public:
  /// Creates the file if it is not there. Refuses a file that is no pointbook, or one locked to another project frame
  /// (both named), or a training book opened for live work and the other way round. Takes a lock beside the file
  /// (`<path>.lock`) so that a second writer is refused.
  static Result<Book> open(const std::string& path, const Identity& identity);
  Book(Book&&) noexcept;
  Book& operator=(Book&&) noexcept;
  ~Book();

  /// One transaction. Idempotent: a uuid that is already there is left as it is and reported as done.
  StoreResult<void> append(const occupation::StoredPoint& point);
  StoreResult<void> append(const Event& event);

  /// Newest version of every (name, visit).
  std::vector<Known> known() const;
  /// Newest version of every point, whole, oldest first; without epochs.
  std::vector<occupation::StoredPoint> current() const;

 private:
  struct State;
  explicit Book(std::unique_ptr<State> state) noexcept;
  std::unique_ptr<State> state_;
};

}  // namespace stillpoint::pointbook
