#pragma once
/// SQLite behind two small owners: a connection and a prepared statement.
///
/// Threads: one connection, one thread; it is opened without SQLite's own mutexes.
/// Errors:  SQLite's extended result codes; `fault_of` and `sentence_of` turn them into what people read.

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "pointbook/book.hpp"

struct sqlite3;
struct sqlite3_stmt;

namespace stillpoint::pointbook {

/// A prepared statement. Values are bound in order; `reset` starts over.
class Statement {
 public:
  /// Null: the SQL could not be prepared, because of `code`.
  explicit Statement(sqlite3_stmt* raw, int code = 0) noexcept : raw_(raw), prepared_(code) {}

  Statement& text(std::string_view value);
  /// An empty text is stored as NULL.
  Statement& text_or_null(std::string_view value);
  Statement& blob(std::string_view value);
  Statement& integer(std::int64_t value);
  Statement& real(double value);
  Statement& time(const std::optional<UtcTime>& value);
  Statement& null();

  /// SQLITE_ROW, SQLITE_DONE or an error.
  int step();
  /// Runs a statement that gives no rows, and makes it ready for the next one. SQLITE_OK when done.
  int run();
  void reset();

  // Columns of the current row, taken one after the other.
  std::string next_text();
  std::string next_blob();
  std::int64_t next_integer();
  double next_real();
  std::optional<UtcTime> next_time();
  bool next_is_null() const;
  void skip() { ++column_; }

  /// False when the SQL could not be prepared.
  bool valid() const noexcept { return raw_ != nullptr; }

 private:
  struct Finalize {
    void operator()(sqlite3_stmt* raw) const noexcept;
  };
  void note(int code) noexcept;

  std::unique_ptr<sqlite3_stmt, Finalize> raw_;
  int prepared_ = 0;
  int bound_ = 0;
  int column_ = 0;
  int bind_error_ = 0;  ///< the first failed bind since the last reset; `step` reports it
};

class Database {
 public:
  Database() = default;
  /// Opens for reading and writing, and creates. An empty `vfs` means the system's own.
  int open(const std::string& path, const std::string& vfs);

  /// Opens a file that must be there, for reading only; what a power cut left half done is rolled back first.
  int open_to_read(const std::string& path);

  /// The whole of it, as it is at one moment, into an empty file; a program that writes meanwhile is waited for.
  int copy_to(const std::string& path);

  /// Runs statements that give no rows.
  int run(std::string_view sql);
  Statement prepare(std::string_view sql);
  /// The first value of the first row; empty when there is no row or an error, which `code` then tells.
  std::optional<std::string> value(std::string_view sql, int* code = nullptr);

  /// A row that could not be read is left out, and told once.
  void leave_out(std::string sentence);
  const std::vector<std::string>& left_out() const noexcept { return left_out_; }

  void set_busy_wait(int milliseconds);
  int busy_wait_ms() const noexcept { return busy_wait_ms_; }
  /// And trusts the schema as far as they need it.
  void let_triggers_run(bool allowed);
  bool read_only() const;
  bool in_transaction() const;
  void roll_back();
  int last_system_errno() const;
  bool is_open() const noexcept { return raw_ != nullptr; }

 private:
  struct Close {
    void operator()(sqlite3* raw) const noexcept;
  };
  std::unique_ptr<sqlite3, Close> raw_;
  std::vector<std::string> left_out_;
  int busy_wait_ms_ = 0;
};

Fault fault_of(int code) noexcept;
/// What happened to the file `path`, in one sentence that says what to do.
std::string sentence_of(int code, const std::string& path);
StoreError store_error(int code, const std::string& path);

}  // namespace stillpoint::pointbook
