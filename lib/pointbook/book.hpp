#pragma once
/// The durable record: one GeoPackage (OGC 12-128r17, version 1.3), append-only.
///
/// Tables:  `points`, `check_shots` (features, POINT Z in the project frame), `epochs`, `events`, `antenna_setups`
///          (attributes), the view `current_points` (newest version of each point, whatever it was called before) registered for GIS programs, and
///          `pointbook`, one row that says what the file is locked to. Triggers refuse to change or delete a row.
/// Others:  GIS programs find titles of the columns, styles, spatial indexes and a metadata record (schema.hpp).
/// Version: a book of an earlier schema is brought up to date by the first program that opens it for writing, in one
///          transaction; while somebody else reads it, by the next row. Rows keep their content and its hash.
/// Theirs:  triggers and views that are not ours are refused by name, unless that name begins with `own_`. Opening a
///          book runs none of them.
/// Units:   in the names; a geometry is in the units of the project frame.
/// Time:    handed in; nothing here reads a clock.
/// Threads: one `Book`, one thread; readers elsewhere open the file themselves. Within this process nobody else may
///          open, copy or hash the live file: closing it would drop SQLite's locks.
/// Errors:  sentences. `Busy` means another program holds the file: nothing is lost, try again.
/// Durable: when `append` returns, a power cut cannot take the point back. The rollback journal is truncated and synced
///          at each commit (TRUNCATE with synchronous FULL): DELETE with FULL leaves the unlink of the journal
///          unsynced, so that a power cut can undo a commit, and DELETE with EXTRA costs a second folder sync. A file
///          found in WAL mode is put back as soon as nobody else has it open, and is as safe until then (synchronous
///          FULL syncs the log at each commit).

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/result.hpp"
#include "base/time.hpp"
#include "control/shot.hpp"
#include "occupation/point.hpp"

namespace stillpoint::pointbook {

/// Whom to ask about the points; what is empty is not known.
struct Contact {
  std::string name, organisation, email;
};

/// What a pointbook is locked to, and what its metadata says beside.
struct Identity {
  std::string project;
  std::string frame;      ///< code, e.g. "EPSG:6319"
  std::string frame_wkt;  ///< WKT 2; compound, with the geoid's name, where z is the height above it
  bool frame_is_projected = false;
  bool training = false;
  UtcTime created_at{};      ///< the caller's clock, for people; written when the file is created or brought up to date
  std::string frame_wkt1{};  ///< the same as `frame_wkt`; empty: it cannot be said in WKT 1
  std::string crew{};        ///< of the configuration, as long as no point names one
  Contact contact{};
};

/// That z of the book is another kind of height than the project's, for the book was begun with it; empty: it is not.
std::string height_note(const std::string& path, std::string_view frame_wkt_of_book, std::string_view frame_wkt);

struct OpenOptions {
  int busy_wait_ms = 250;  ///< how long one step waits for another program before it gives up
  std::string vfs{};       ///< a registered SQLite VFS; empty: the system's own
  /// Open although another program holds the file so that it cannot even be read: `read` says later what is in it.
  bool may_be_held = false;
};

struct Event {
  UtcTime utc;
  std::string kind;     ///< contract word: alert key, `occupy`, `keep`, `drop`, `started`, `stopped` …
  std::string text;     ///< one sentence
  std::string details;  ///< JSON object or empty
};

using control::CheckShot;

/// How high the antenna stood from `utc` on.
struct AntennaSetup {
  std::string uuid;  ///< UUID version 7
  UtcTime utc;
  double height_m = 0;
  std::vector<std::pair<std::string, double>> vertical_parts_m;
  std::optional<double> slant_length_m, slant_radius_m, slant_plane_to_phase_centre_m;
  std::optional<double> also_measured_ft;
  bool already_reduced_by_receiver = false;
  std::string reason;  ///< why it changed; empty for the first of a day
};

/// Rows that belong together.
struct Batch {
  std::vector<occupation::StoredPoint> points;  ///< versions of one point in their order
  std::vector<CheckShot> checks;
  std::vector<AntennaSetup> antennas;
  std::vector<Event> events;
};

/// Where a point of the book stands: enough to refuse equal names and to list points.
struct Known {
  std::string name;
  int visit = 1;
  int version = 1;
  std::string uuid;
  occupation::PointStatus status = occupation::PointStatus::none;
};

enum class Fault : std::uint8_t {
  busy,     ///< another program holds the file: try again
  refused,  ///< this row can never be stored as it is
  disk,     ///< no space, no rights, or a failing disk: try again when it is put right
};
struct StoreError {
  Fault fault = Fault::disk;
  std::string text;
};
template <class T>
using StoreResult = tl::expected<T, StoreError>;

/// What a row is known by.
struct Kept {
  std::string uuid;
  std::string name;  ///< of the point, or of the mark that was checked
  int visit = 0;     ///< 0: a check
};

class Book {
 public:
  /// Creates the file if it is not there; its folder must exist. Refuses a file that is no pointbook, or one locked to
  /// another project frame or to heights above another geoid (both named), or a training book opened for live work and
  /// the other way round. Takes a lock beside the file (`<path>.lock`) so that a second writer is refused.
  static Result<Book> open(const std::string& path, const Identity& identity, const OpenOptions& options = {});
  Book(Book&&) noexcept;
  Book& operator=(Book&&) noexcept;
  ~Book();

  /// True while the content is unknown, because another program has held the file since before it was opened.
  bool is_unread() const noexcept;
  /// Looks into the file, once; every row that is appended does so first.
  StoreResult<void> read();

  /// One transaction: the point and its epochs, or nothing. Idempotent: a uuid that is already there is left as it is
  /// and reported as done. Refused: a (name, visit, version) that another uuid has; a version after the first that does
  /// not supersede the newest one before it, whose name and visit may be others; another frame than the book's; a number that is not finite.
  StoreResult<void> append(const occupation::StoredPoint& point);
  StoreResult<void> append(const Event& event);
  StoreResult<void> append(const CheckShot& shot);
  StoreResult<void> append(const AntennaSetup& setup);
  /// All of it in one transaction, or nothing; the rules are those of the single rows.
  StoreResult<void> append(const Batch& batch);

  /// Newest row of every (name, visit) that was ever given, in the order in which they were first stored. In memory.
  std::vector<Known> known() const;
  /// Newest version of every point, whole, oldest first; without epochs. Empty when the file cannot be read:
  /// `read_current` then says why.
  std::vector<occupation::StoredPoint> current() const;

  Result<std::vector<occupation::StoredPoint>> read_current() const;
  /// Every version of every point, in the order of storing; without epochs.
  Result<std::vector<occupation::StoredPoint>> read_all_versions() const;
  /// In the order of storing.
  Result<std::vector<Event>> read_events() const;
  /// Every version of every point, and every check shot.
  Result<std::vector<Kept>> read_kept() const;
  /// Every version of every check shot, oldest first.
  Result<std::vector<CheckShot>> read_checks() const;
  Result<std::vector<occupation::EpochRecord>> read_epochs(const std::string& uuid) const;

  /// One sentence for everything that is wrong inside: SQLite's own integrity check, and every point whose content or
  /// epochs no longer match their SHA-256. Empty: all is well.
  Result<std::vector<std::string>> audit() const;

  /// One sentence for each row that no version of this program wrote. The others are served without it.
  std::vector<std::string> unreadable() const;

  /// `truncate`, or `wal` as long as another program keeps it so.
  std::string journal_mode() const;
  /// What people must know of that; empty: nothing.
  std::string journal_note() const;
  /// See the function of this name.
  std::string height_note() const;

 private:
  struct State;
  explicit Book(std::unique_ptr<State> state) noexcept;
  std::unique_ptr<State> state_;
};

}  // namespace stillpoint::pointbook
