#include <doctest/doctest.h>
#include <sqlite3.h>

#include <cerrno>
#include <string>

#include "pointbook/book.hpp"
#include "pointbook/database.hpp"
#include "pointbook/disk.hpp"
#include "pointbook/process.hpp"
#include "pointbook/samples.hpp"

using namespace stillpoint;
using namespace stillpoint::pointbook;

TEST_CASE("what a failure says leads to its cause, and to nothing else") {
  struct Row {
    const char* name;
    std::string sentence;
    const char* says;
    const char* says_not;
  };
  const Row rows[] = {
      {"a table is missing", sentence_of(SQLITE_ERROR, "day.gpkg"), "another program has changed it", "disk"},
      {"no right to write", sentence_of(SQLITE_READONLY, "day.gpkg"), "give this user the right", "disk"},
      {"no memory", sentence_of(SQLITE_NOMEM, "day.gpkg"), "memory", "disk"},
      {"a failing disk", sentence_of(SQLITE_IOERR_WRITE, "day.gpkg"), "look at the disk", "space"},
      {"a full disk", sentence_of(SQLITE_FULL, "day.gpkg"), "free some space", "look at"},
      {"too many open files", disk_words(-EMFILE), "too many files are open", "space"},
      {"the same in the whole machine", disk_words(-ENFILE), "too many files are open", "space"},
      {"a limit of the size", disk_words(-EFBIG), "raise the limit", "space"},
      {"a failing write", disk_words(-EIO), "the disk failed", "space"},
      {"no space", disk_words(-ENOSPC), "free some space", "failed"},
      {"a disk for reading only", disk_words(-EROFS), "read-only", "space"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    CAPTURE(row.sentence);
    CHECK(row.sentence.find(row.says) != std::string::npos);
    CHECK(row.sentence.find(row.says_not) == std::string::npos);
  }
}

TEST_CASE("a table that another program dropped is no fault of the disk") {
  samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  auto book = Book::open(file, samples::geographic());
  REQUIRE_MESSAGE(book.has_value(), book.error().text);
  samples::output_of({STILLPOINT_NEIGHBOUR, "sql", file, "DROP TABLE epochs"});
  const auto stored = book->append(samples::point(1));
  REQUIRE_FALSE(stored.has_value());
  CHECK(stored.error().text.find("another program has changed it") != std::string::npos);
}
