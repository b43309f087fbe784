#include "pointbook/book.hpp"

#include <sqlite3.h>

#include <algorithm>
#include <filesystem>
#include <map>
#include <optional>

#include "base/identity.hpp"
#include "pointbook/checks.hpp"
#include "pointbook/content.hpp"
#include "pointbook/database.hpp"
#include "pointbook/disk.hpp"
#include "pointbook/geometry.hpp"
#include "pointbook/happened.hpp"
#include "pointbook/inspect.hpp"
#include "pointbook/lock_file.hpp"
#include "pointbook/metadata.hpp"
#include "pointbook/rows.hpp"
#include "pointbook/schema.hpp"
#include "pointbook/sentences.hpp"
#include "pointbook/spatial_index.hpp"
#include "pointbook/versions.hpp"

namespace stillpoint::pointbook {

struct Book::State {
  State(LockFile taken, std::string file) : lock(std::move(taken)), path(std::move(file)) {}
  LockFile lock;  // outlives the database: declared first
  std::optional<LockFile> inode_lock;
  std::string path;
  Identity identity;
  BookFrame frame;
  std::string own_wkt;  ///< of the frame that the book was begun in
  mutable Database database;
  bool unread = true;
  std::vector<Known> known;
  std::map<std::pair<std::string, int>, std::size_t> known_at;

  void know(Known newest);
  /// Creates or verifies the file and learns what is in it; nothing when that was done.
  StoreResult<void> read();
};

namespace {

namespace fs = std::filesystem;

/// The file to open, with every link resolved.
Result<std::string> resolved(const std::string& path) {
  std::error_code error;
  if (fs::path(path).filename().empty()) return fail(kSay.names_no_file(path));
  const fs::path real = real_path(path);
  const fs::path folder = real.parent_path();
  const bool is_folder = fs::is_directory(folder, error);
  if (error && error != std::errc::no_such_file_or_directory) {
    return fail(kSay.cannot_look_into(folder.string(), error.message()));
  }
  if (!is_folder) return fail(kSay.no_folder(folder.string()));
  if (fs::is_directory(real, error)) return fail(kSay.is_folder(real.string()));
  if (fs::exists(real, error) && !fs::is_regular_file(real, error)) {
    return fail(kSay.is_no_file(real.string()));
  }
  return real.string();
}

/// Sets the connection up, which reads the file.
int set_up_connection(Database& database) {
  // FULL syncs at every commit in both journal modes; statement journals stay in memory, off a full disk.
  return database.run("PRAGMA trusted_schema = OFF; PRAGMA synchronous = FULL; PRAGMA temp_store = MEMORY");
}

/// Puts the journal mode back when another program has switched the file to a write-ahead log. While somebody else has
/// the file open it stays switched, and is as safe: every commit syncs the log.
void put_back_journal(Database& database) {
  if (database.value("PRAGMA journal_mode") != "wal") return;
  const int patience_ms = database.busy_wait_ms();
  database.set_busy_wait(0);
  (void)database.value("PRAGMA journal_mode = TRUNCATE");
  database.set_busy_wait(patience_ms);
}

Result<void> choose_journal(Database& database, const std::string& path) {
  int code = SQLITE_OK;
  const auto mode = database.value("PRAGMA journal_mode", &code);
  if (code != SQLITE_OK) return fail(sentence_of(code, path));
  if (mode == "wal") {
    put_back_journal(database);
    return {};
  }
  const auto chosen = database.value("PRAGMA journal_mode = TRUNCATE", &code);
  if (code != SQLITE_OK) return fail(sentence_of(code, path));
  if (chosen != "truncate") return fail(kSay.journal_not_set(path));
  return {};
}

bool is_empty(Database& database, int* code) {
  const auto objects = database.value("SELECT count(*) FROM sqlite_schema", code);
  if (*code != SQLITE_OK || objects != "0") return false;
  return database.value("PRAGMA application_id", code) == "0";
}

Result<void> create(Database& database, const Identity& identity, const std::string& path) {
  int code = database.run("BEGIN IMMEDIATE");
  if (code == SQLITE_OK) code = create_schema(database, identity);
  if (code == SQLITE_OK) code = database.run("COMMIT");
  if (code == SQLITE_OK) return {};
  database.roll_back();
  return fail(sentence_of(code, path));
}

std::string training_sentence(const std::string& path, bool book_is_training) {
  return book_is_training ? kSay.holds_training(path) : kSay.holds_live(path);
}

/// A book that was begun with ellipsoid heights keeps them as z, whatever the project delivers today.
Result<void> verify_heights(const BookRow& row, const Identity& identity, const std::string& path) {
  const std::string its = geoid_in_wkt(row.frame_wkt), wanted = geoid_in_wkt(identity.frame_wkt);
  if (its.empty() || its == wanted) return {};
  return fail(kSay.other_heights(path, kSay.heights_above(its),
                                 wanted.empty() ? std::string(kSay.ellipsoid_heights()) : kSay.heights_above(wanted)));
}

Result<void> verify(Database& database, const Identity& identity, const std::string& path) {
  int code = SQLITE_OK;
  const auto application = database.value("PRAGMA application_id", &code);
  if (code != SQLITE_OK) return fail(sentence_of(code, path));
  if (application != kApplicationId) return fail(kSay.other_database(path));
  if (auto tables = inspect_tables(database, path); !tables) return tables;
  const auto row = read_book_row(database, &code);
  if (!row && fault_of(code) == Fault::busy) return fail(sentence_of(code, path));
  if (!row) return fail(kSay.other_geopackage(path));
  if (auto known = inspect_version(row->schema_version, path); !known) return known;
  if (row->frame != identity.frame) {
    return fail(kSay.other_frame(path, row->frame, identity.frame));
  }
  if (auto heights = verify_heights(*row, identity, path); !heights) return heights;
  if (row->training != identity.training) return fail(training_sentence(path, row->training));
  const auto strange = strangers(database, row->schema_version, path);
  if (!strange) return tl::unexpected<Error>(strange.error());
  return strange->empty() ? Result<void>{} : fail(strange->front());
}

enum class Triggers : bool { stay_off, run };

/// Runs `work` in one transaction that is either committed and synced, or gone. A book of an earlier version is brought
/// up to date in it.
template <class Work>
StoreResult<void> in_transaction(Database& database, const Identity& identity, const std::string& path, Work work,
                                 Triggers triggers = Triggers::run) {
  const auto give_up = [&](int code) {
    database.roll_back();
    return tl::unexpected<StoreError>(store_error(code, path));
  };
  // A transaction left over here could not be rolled back when it failed.
  database.roll_back();
  if (const int begun = database.run("BEGIN IMMEDIATE"); begun != SQLITE_OK) return give_up(begun);
  int code = SQLITE_OK;
  if (!is_of_today(database, &code) && code == SQLITE_OK) code = bring_up_to_date(database, identity);
  if (code != SQLITE_OK) return give_up(code);
  // Triggers run only while rows are being stored, and at no other time.
  database.let_triggers_run(triggers == Triggers::run);
  StoreResult<bool> done = work();
  database.let_triggers_run(false);
  if (!done || !*done) {
    database.roll_back();
    return done ? StoreResult<void>{} : StoreResult<void>(tl::unexpected<StoreError>(done.error()));
  }
  // A reader makes COMMIT busy while it keeps new readers out: after the capped wait, let them in and try later.
  code = database.run("COMMIT");
  if (code != SQLITE_OK) return give_up(code);
  put_back_journal(database);
  return {};
}

StoreResult<bool> wrote(int code, const std::string& path) {
  if (code != SQLITE_OK) return tl::unexpected<StoreError>(store_error(code, path));
  return true;
}

Result<void> create_or_verify(Database& database, const Identity& identity, const std::string& path) {
  int code = SQLITE_OK;
  const bool empty = is_empty(database, &code);
  if (code != SQLITE_OK) return fail(sentence_of(code, path));
  if (database.read_only()) return fail(sentence_of(SQLITE_READONLY, path));
  if (!empty) {
    if (auto good = verify(database, identity, path); !good) return good;
  }
  if (auto journal = choose_journal(database, path); !journal) return journal;
  if (empty) return create(database, identity, path);
  // While somebody reads the file it stays as it is; the next row to be stored brings it up to date.
  const bool of_today = is_of_today(database, &code);
  if (code == SQLITE_OK && (!of_today || record_is_stale(database, identity, &code)))
    in_transaction(
        database, identity, path, [&] { return wrote(write_record(database, identity), path); }, Triggers::stay_off);
  return {};
}

Result<std::vector<Known>> load_known(Database& database, const std::string& path) {
  Statement select = database.prepare("SELECT name, visit, version, uuid, status FROM points ORDER BY id");
  std::vector<Known> all;
  int code = select.valid() ? SQLITE_ROW : SQLITE_ERROR;
  while (code == SQLITE_ROW && (code = select.step()) == SQLITE_ROW) {
    Known known;
    known.name = select.next_text();
    known.visit = static_cast<int>(select.next_integer());
    known.version = static_cast<int>(select.next_integer());
    known.uuid = select.next_text();
    const auto status = occupation::point_status_from_word(select.next_text());
    known.status = status.value_or(occupation::PointStatus::none);  // its name is taken all the same
    all.push_back(std::move(known));
  }
  if (code != SQLITE_DONE) return fail(sentence_of(code, path));
  return all;
}

/// Every row of the batch that is not there yet; the first failure ends it.
StoreResult<bool> insert_batch(Database& database, const BookFrame& frame, const Batch& batch, const Identity& identity,
                               const std::string& path) {
  int code = SQLITE_OK;
  const auto is_new = [&](std::string_view table, const std::string& uuid) {
    return code == SQLITE_OK && !has_uuid(database, table, uuid, &code) && code == SQLITE_OK;
  };
  for (const auto& point : batch.points) {
    if (!is_new("points", point.uuid)) continue;
    if (auto good = check_place(database, point, path); !good) return tl::unexpected<StoreError>(good.error());
    code = insert_point(database, frame, point);
    if (code == SQLITE_OK) code = insert_epochs(database, point);
  }
  for (const auto& shot : batch.checks) {
    if (is_new("check_shots", shot.uuid)) code = insert_check_shot(database, frame, shot);
  }
  for (const auto& setup : batch.antennas) {
    if (is_new("antenna_setups", setup.uuid)) code = insert_antenna_setup(database, setup);
  }
  for (const auto& event : batch.events) {
    if (code == SQLITE_OK) code = insert_event(database, event);
  }
  if (code == SQLITE_OK) code = write_record(database, identity);
  return wrote(code, path);
}

Result<std::vector<occupation::StoredPoint>> only_points(Result<std::vector<PointRow>> rows) {
  if (!rows) return tl::unexpected<Error>(rows.error());
  std::vector<occupation::StoredPoint> points;
  points.reserve(rows->size());
  for (PointRow& row : *rows) points.push_back(std::move(row.stored));
  return points;
}

Result<void> audit_hashes(Database& database, const BookFrame& frame, const std::string& path,
                          std::vector<std::string>& wrong) {
  const auto rows = read_points(database, "ORDER BY id", path);
  if (!rows) return tl::unexpected<Error>(rows.error());
  for (const PointRow& row : *rows) {
    const auto epochs = read_epochs(database, row.stored.uuid, path);
    if (!epochs) return tl::unexpected<Error>(epochs.error());
    look_at_row(row, digest_of(*epochs), frame, wrong);
  }
  const auto shots = read_check_shots(database, path);
  if (!shots) return tl::unexpected<Error>(shots.error());
  for (const ShotRow& row : *shots) look_at_row(row, frame, wrong);
  return {};
}

}  // namespace

void Book::State::know(Known newest) {
  const auto [place, added] = known_at.try_emplace({newest.name, newest.visit}, known.size());
  if (added) {
    known.push_back(std::move(newest));
  } else if (newest.version > known[place->second].version) {
    known[place->second] = std::move(newest);
  }
}

StoreResult<void> Book::State::read() {
  if (!unread) return {};
  const int code = set_up_connection(database);
  // When another program took the file in the middle of the reading, the file is busy, not wrong.
  const auto refuse = [this](const Error& error) {
    int now = SQLITE_OK;
    database.value("SELECT count(*) FROM sqlite_schema", &now);
    return tl::unexpected<StoreError>({fault_of(now) == Fault::busy ? Fault::busy : Fault::refused, error.text});
  };
  if (code != SQLITE_OK) return tl::unexpected<StoreError>(store_error(code, path));
  if (auto good = create_or_verify(database, identity, path); !good) return refuse(good.error());
  auto all = load_known(database, path);
  if (!all) return refuse(all.error());
  for (Known& one : *all) know(std::move(one));
  int read = SQLITE_OK;
  if (const auto row = read_book_row(database, &read); row && !row->frame_wkt.empty()) {
    Identity own = identity;
    own.frame_wkt = own_wkt = row->frame_wkt;
    frame = frame_of(own);
  }
  unread = false;
  return {};
}

bool Book::is_unread() const noexcept {
  return state_->unread;
}

StoreResult<void> Book::read() {
  return state_->read();
}

Book::Book(std::unique_ptr<State> state) noexcept : state_(std::move(state)) {}
Book::Book(Book&&) noexcept = default;
Book& Book::operator=(Book&&) noexcept = default;
Book::~Book() = default;

Result<Book> Book::open(const std::string& path, const Identity& identity, const OpenOptions& options) {
  const auto file = resolved(path);
  if (!file) return tl::unexpected<Error>(file.error());
  if (!has_spatial_index()) return fail(std::string(kSay.no_rtree()));
  auto lock = LockFile::take(*file + ".lock", *file);
  if (!lock) return tl::unexpected<Error>(lock.error());
  auto state = std::make_unique<State>(std::move(*lock), *file);
  state->identity = identity;
  state->frame = frame_of(identity);
  Database& database = state->database;
  const int code = database.open(*file, options.vfs);
  if (code != SQLITE_OK) return fail(sentence_of(code, *file));
  database.set_busy_wait(options.busy_wait_ms);
  database.let_triggers_run(false);
  auto by_inode = LockFile::take_for_inode(*file);
  if (!by_inode) return tl::unexpected<Error>(by_inode.error());
  state->inode_lock = *std::move(by_inode);
  const auto read = state->read();
  const bool held = !read && read.error().fault == Fault::busy;
  if (!read && !(held && options.may_be_held)) return fail(read.error().text);
  return Book(std::move(state));
}

StoreResult<void> Book::append(const occupation::StoredPoint& point) {
  State& state = *state_;
  if (auto known = state.read(); !known) return known;
  if (auto good = check(point, state.identity); !good) return good;
  Database& database = state.database;
  const auto work = [&]() -> StoreResult<bool> {
    int code = SQLITE_OK;
    if (has_uuid(database, "points", point.uuid, &code)) return false;
    if (code != SQLITE_OK) return wrote(code, state.path);
    if (auto good = check_place(database, point, state.path); !good) return tl::unexpected<StoreError>(good.error());
    code = insert_point(database, state.frame, point);
    return wrote(code == SQLITE_OK ? insert_epochs(database, point) : code, state.path);
  };
  auto stored = in_transaction(database, state.identity, state.path, work);
  if (stored) {
    state.know({point.point.name, point.point.visit, point.version, point.uuid, point.point.status});
  }
  return stored;
}

StoreResult<void> Book::append(const Event& event) {
  State& state = *state_;
  if (auto known = state.read(); !known) return known;
  if (auto good = check(event); !good) return good;
  return in_transaction(state.database, state.identity, state.path, [&] {
    int code = insert_event(state.database, event);
    // What a day came to is told when it is closed, or when the program ends in good order.
    const bool tells = is(event, EventKind::day_closed) || is(event, EventKind::stopped);
    if (code == SQLITE_OK && tells) code = write_record(state.database, state.identity);
    return wrote(code, state.path);
  });
}

StoreResult<void> Book::append(const CheckShot& shot) {
  State& state = *state_;
  if (auto known = state.read(); !known) return known;
  if (auto good = check(shot, state.identity); !good) return good;
  return in_transaction(state.database, state.identity, state.path, [&]() -> StoreResult<bool> {
    int code = SQLITE_OK;
    if (has_uuid(state.database, "check_shots", shot.uuid, &code)) return false;
    return wrote(code == SQLITE_OK ? insert_check_shot(state.database, state.frame, shot) : code, state.path);
  });
}

StoreResult<void> Book::append(const AntennaSetup& setup) {
  State& state = *state_;
  if (auto known = state.read(); !known) return known;
  if (auto good = check(setup); !good) return good;
  return in_transaction(state.database, state.identity, state.path, [&]() -> StoreResult<bool> {
    int code = SQLITE_OK;
    if (has_uuid(state.database, "antenna_setups", setup.uuid, &code)) return false;
    return wrote(code == SQLITE_OK ? insert_antenna_setup(state.database, setup) : code, state.path);
  });
}

StoreResult<void> Book::append(const Batch& batch) {
  State& state = *state_;
  if (auto known = state.read(); !known) return known;
  for (const auto& point : batch.points) {
    if (auto good = check(point, state.identity); !good) return good;
  }
  for (const auto& shot : batch.checks) {
    if (auto good = check(shot, state.identity); !good) return good;
  }
  for (const auto& setup : batch.antennas) {
    if (auto good = check(setup); !good) return good;
  }
  for (const auto& event : batch.events) {
    if (auto good = check(event); !good) return good;
  }
  auto stored = in_transaction(state.database, state.identity, state.path, [&] {
    return insert_batch(state.database, state.frame, batch, state.identity, state.path);
  });
  if (!stored) return stored;
  for (const auto& p : batch.points) state.know({p.point.name, p.point.visit, p.version, p.uuid, p.point.status});
  return stored;
}

std::vector<Known> Book::known() const {
  return state_->known;
}

std::vector<occupation::StoredPoint> Book::current() const {
  return read_current().value_or(std::vector<occupation::StoredPoint>{});
}

Result<std::vector<occupation::StoredPoint>> Book::read_current() const {
  auto all = read_all_versions();
  if (!all) return all;
  return newest_of_each(*all);
}

Result<std::vector<occupation::StoredPoint>> Book::read_all_versions() const {
  return only_points(read_points(state_->database, "ORDER BY id", state_->path));
}

Result<std::vector<Event>> Book::read_events() const {
  return pointbook::read_events(state_->database, state_->path);
}

Result<std::vector<Kept>> Book::read_kept() const {
  Statement select =
      state_->database.prepare("SELECT uuid, name, visit FROM points UNION ALL SELECT uuid, mark, 0 FROM check_shots");
  std::vector<Kept> out;
  int code = select.valid() ? SQLITE_ROW : SQLITE_ERROR;
  while (code == SQLITE_ROW && (code = select.step()) == SQLITE_ROW) {
    Kept kept;
    kept.uuid = select.next_text();
    kept.name = select.next_text();
    kept.visit = static_cast<int>(select.next_integer());
    out.push_back(std::move(kept));
  }
  if (code != SQLITE_DONE) return fail(sentence_of(code, state_->path));
  return out;
}

Result<std::vector<CheckShot>> Book::read_checks() const {
  auto rows = read_check_shots(state_->database, state_->path);
  if (!rows) return tl::unexpected(rows.error());
  std::vector<CheckShot> out;
  for (ShotRow& row : *rows) out.push_back(std::move(row.shot));
  return out;
}

Result<std::vector<occupation::EpochRecord>> Book::read_epochs(const std::string& uuid) const {
  return pointbook::read_epochs(state_->database, uuid, state_->path);
}

Result<std::vector<std::string>> Book::audit() const {
  std::vector<std::string> wrong;
  int code = SQLITE_OK;
  const auto whole = state_->database.value("PRAGMA integrity_check(1)", &code);
  if (code != SQLITE_OK) return fail(sentence_of(code, state_->path));
  if (whole != "ok") wrong.push_back(kSay.damaged(state_->path, whole.value_or(kSay.no_answer())));
  for (std::string& sentence : unreadable()) wrong.push_back(std::move(sentence));
  if (auto read = audit_hashes(state_->database, state_->frame, state_->path, wrong); !read)
    return tl::unexpected<Error>(read.error());
  return wrong;
}

std::vector<std::string> Book::unreadable() const {
  State& state = *state_;
  (void)read_points(state.database, "ORDER BY id", state.path);
  (void)read_check_shots(state.database, state.path);
  (void)read_antenna_setups(state.database, state.path);
  (void)read_events();
  return state.database.left_out();
}

std::string Book::journal_note() const {
  if (journal_mode() != "wal") return {};
  return kSay.switched_to_wal(state_->path);
}

std::string Book::height_note() const {
  if (state_->unread) return {};
  return pointbook::height_note(state_->path, state_->own_wkt, state_->identity.frame_wkt);
}

std::string Book::journal_mode() const {
  return state_->database.value("PRAGMA journal_mode").value_or("");
}

}  // namespace stillpoint::pointbook
