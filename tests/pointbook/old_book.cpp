#include "pointbook/old_book.hpp"

#include <sqlite3.h>

#include <stdexcept>

#include "pointbook/samples.hpp"

namespace stillpoint::samples {

void write_kept_book(int schema, const std::string& path) {
  sqlite3* database = nullptr;
  const std::string sql = read_file(STILLPOINT_DATA "/schema-" + std::to_string(schema) + ".sql");
  const bool good = sqlite3_open(path.c_str(), &database) == SQLITE_OK &&
                    sqlite3_exec(database, sql.c_str(), nullptr, nullptr, nullptr) == SQLITE_OK;
  sqlite3_close(database);
  if (!good) throw std::runtime_error("cannot make " + path);
}

void write_book_of_schema_1(const std::string& path) {
  write_kept_book(1, path);
}

}  // namespace stillpoint::samples
