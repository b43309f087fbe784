#include "pointbook/database.hpp"

#include <sqlite3.h>

#include <sys/stat.h>
#include <algorithm>

#include "pointbook/column_text.hpp"
#include "pointbook/own_file.hpp"
#include "pointbook/sentences.hpp"
#include "pointbook/spatial_index.hpp"

namespace stillpoint::pointbook {

void Statement::Finalize::operator()(sqlite3_stmt* raw) const noexcept {
  sqlite3_finalize(raw);
}

void Statement::note(int code) noexcept {
  if (code != SQLITE_OK && bind_error_ == SQLITE_OK) bind_error_ = code;
}

Statement& Statement::text(std::string_view value) {
  // A null data pointer would bind NULL; the empty text is a value of its own.
  const char* data = value.empty() ? "" : value.data();
  note(sqlite3_bind_text64(raw_.get(), ++bound_, data, value.size(), SQLITE_TRANSIENT, SQLITE_UTF8));
  return *this;
}

Statement& Statement::text_or_null(std::string_view value) {
  return value.empty() ? null() : text(value);
}

Statement& Statement::blob(std::string_view value) {
  note(sqlite3_bind_blob64(raw_.get(), ++bound_, value.data(), value.size(), SQLITE_TRANSIENT));
  return *this;
}

Statement& Statement::integer(std::int64_t value) {
  note(sqlite3_bind_int64(raw_.get(), ++bound_, value));
  return *this;
}

Statement& Statement::real(double value) {
  note(sqlite3_bind_double(raw_.get(), ++bound_, value));
  return *this;
}

Statement& Statement::time(const std::optional<UtcTime>& value) {
  return value ? text(datetime_text(*value)) : null();
}

Statement& Statement::null() {
  note(sqlite3_bind_null(raw_.get(), ++bound_));
  return *this;
}

int Statement::step() {
  if (raw_ == nullptr) return prepared_ != SQLITE_OK ? prepared_ : SQLITE_MISUSE;
  if (bind_error_ != SQLITE_OK) return bind_error_;
  column_ = 0;
  return sqlite3_step(raw_.get());
}

int Statement::run() {
  const int code = step();
  reset();
  return code == SQLITE_DONE || code == SQLITE_ROW ? SQLITE_OK : code;
}

void Statement::reset() {
  // What could not be prepared has no bindings, and SQLite looks for them.
  if (raw_ == nullptr) return;
  sqlite3_reset(raw_.get());
  sqlite3_clear_bindings(raw_.get());  // a value not bound next time is NULL, not the last one
  bound_ = 0;
  bind_error_ = SQLITE_OK;
}

std::string Statement::next_text() {
  const int column = column_++;
  const auto* data = static_cast<const char*>(static_cast<const void*>(sqlite3_column_text(raw_.get(), column)));
  if (data == nullptr) return {};
  return {data, static_cast<std::size_t>(sqlite3_column_bytes(raw_.get(), column))};
}

std::string Statement::next_blob() {
  const int column = column_++;
  const void* data = sqlite3_column_blob(raw_.get(), column);
  if (data == nullptr) return {};
  return {static_cast<const char*>(data), static_cast<std::size_t>(sqlite3_column_bytes(raw_.get(), column))};
}

std::int64_t Statement::next_integer() {
  return sqlite3_column_int64(raw_.get(), column_++);
}
double Statement::next_real() {
  return sqlite3_column_double(raw_.get(), column_++);
}

bool Statement::next_is_null() const {
  return sqlite3_column_type(raw_.get(), column_) == SQLITE_NULL;
}

std::optional<UtcTime> Statement::next_time() {
  return parse_utc(next_text());
}

void Database::Close::operator()(sqlite3* raw) const noexcept {
  sqlite3_close_v2(raw);
}

int Database::open(const std::string& path, const std::string& vfs) {
  sqlite3* raw = nullptr;
  const int flags = SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE;
  // A new book is for whom the record is for. SQLite gives the files it makes beside it the same rights.
  const mode_t before = ::umask(0);
  ::umask(before | (0777U & ~kOwnFileMode));
  const int code = sqlite3_open_v2(path.c_str(), &raw, flags, vfs.empty() ? nullptr : vfs.c_str());
  ::umask(before);
  raw_.reset(raw);
  return code == SQLITE_OK ? add_spatial_functions(raw) : code;
}

int Database::open_to_read(const std::string& path) {
  sqlite3* raw = nullptr;
  // Writable where it may be: the journal of an interrupted commit can only be rolled back with that right.
  const int flags = SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE;
  int code = sqlite3_open_v2(path.c_str(), &raw, flags, nullptr);
  raw_.reset(raw);
  if (code == SQLITE_OK) code = run("PRAGMA query_only = ON; PRAGMA trusted_schema = OFF");
  return code;
}

int Database::copy_to(const std::string& path) {
  sqlite3* raw = nullptr;
  const int flags = SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE;
  const int opened = sqlite3_open_v2(path.c_str(), &raw, flags, nullptr);
  const std::unique_ptr<sqlite3, Close> copy(raw);
  if (opened != SQLITE_OK) return opened;
  sqlite3_backup* backup = sqlite3_backup_init(copy.get(), "main", raw_.get(), "main");
  if (backup == nullptr) return sqlite3_extended_errcode(copy.get());
  int code = SQLITE_BUSY;
  constexpr int kTries = 100, kPauseMs = 50;
  for (int i = 0; i < kTries && (code == SQLITE_BUSY || code == SQLITE_LOCKED); ++i) {
    if (i > 0) sqlite3_sleep(kPauseMs);
    code = sqlite3_backup_step(backup, -1);
  }
  const int finished = sqlite3_backup_finish(backup);
  return code == SQLITE_DONE ? finished : code;
}

int Database::run(std::string_view sql) {
  return sqlite3_exec(raw_.get(), std::string(sql).c_str(), nullptr, nullptr, nullptr);
}

Statement Database::prepare(std::string_view sql) {
  sqlite3_stmt* raw = nullptr;
  const int code = sqlite3_prepare_v2(raw_.get(), sql.data(), static_cast<int>(sql.size()), &raw, nullptr);
  return Statement(raw, code);
}

std::optional<std::string> Database::value(std::string_view sql, int* code) {
  Statement statement = prepare(sql);
  const int result = statement.valid() ? statement.step() : sqlite3_extended_errcode(raw_.get());
  if (code != nullptr) *code = result == SQLITE_ROW || result == SQLITE_DONE ? SQLITE_OK : result;
  if (result != SQLITE_ROW) return std::nullopt;
  return statement.next_text();
}

void Database::set_busy_wait(int milliseconds) {
  busy_wait_ms_ = milliseconds;
  sqlite3_busy_timeout(raw_.get(), milliseconds);
}
void Database::leave_out(std::string sentence) {
  if (std::find(left_out_.begin(), left_out_.end(), sentence) == left_out_.end()) {
    left_out_.push_back(std::move(sentence));
  }
}

void Database::let_triggers_run(bool allowed) {
  sqlite3_db_config(raw_.get(), SQLITE_DBCONFIG_ENABLE_TRIGGER, allowed ? 1 : 0, nullptr);
  // A trigger may write into a spatial index only where the schema is trusted: SQLite 3.40 does not count its module rtree
  // among the innocuous ones. Whose triggers are in the file is known by then (inspect.hpp).
  sqlite3_db_config(raw_.get(), SQLITE_DBCONFIG_TRUSTED_SCHEMA, allowed ? 1 : 0, nullptr);
}
bool Database::read_only() const {
  return sqlite3_db_readonly(raw_.get(), "main") == 1;
}
bool Database::in_transaction() const {
  return sqlite3_get_autocommit(raw_.get()) == 0;
}
int Database::last_system_errno() const {
  return sqlite3_system_errno(raw_.get());
}

void Database::roll_back() {
  // After a full disk SQLite may have rolled back by itself. If the rollback cannot be written either, the journal
  // stays and the next transaction plays it back first.
  if (in_transaction()) run("ROLLBACK");
}

Fault fault_of(int code) noexcept {
  switch (code & 0xFF) {
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      return Fault::busy;
    case SQLITE_CONSTRAINT:
      return Fault::refused;
    default:
      return Fault::disk;
  }
}

std::string sentence_of(int code, const std::string& path) {
  if (code == SQLITE_READONLY_DBMOVED) {
    return kSay.book_moved(path);
  }
  switch (code & 0xFF) {
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      return kSay.book_busy(path);
    case SQLITE_FULL:
      return kSay.book_no_space(path);
    case SQLITE_READONLY:
    case SQLITE_PERM:
    case SQLITE_AUTH:
      return kSay.book_not_writable(path);
    case SQLITE_CANTOPEN:
      return kSay.book_not_opened(path);
    case SQLITE_NOTADB:
      return kSay.no_database(path);
    case SQLITE_CORRUPT:
      return kSay.book_damaged(path);
    case SQLITE_CONSTRAINT:
      return kSay.row_refused(path, sqlite3_errstr(code));
    case SQLITE_ERROR:
    case SQLITE_SCHEMA:
      return kSay.book_changed(path);
    case SQLITE_NOMEM:
      return kSay.no_memory(path);
    case SQLITE_IOERR:
      return kSay.book_disk_failed(path, sqlite3_errstr(code));
    default:
      return kSay.book_unusable(path, sqlite3_errstr(code));
  }
}

StoreError store_error(int code, const std::string& path) {
  return {fault_of(code), sentence_of(code, path)};
}

}  // namespace stillpoint::pointbook
