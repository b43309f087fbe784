#include <doctest/doctest.h>

#include "pointbook/book.hpp"
#include "pointbook/process.hpp"
#include "pointbook/samples.hpp"

namespace {

using namespace stillpoint;
using pointbook::Book;
using pointbook::Fault;
using samples::Process;

Book open_book(const std::string& file, int busy_wait_ms = 20) {
  auto book = Book::open(file, samples::geographic(), {.busy_wait_ms = busy_wait_ms});
  REQUIRE_MESSAGE(book.has_value(), book.error().text);
  return std::move(*book);
}

/// Says "holding" lines up to the count of points it sees.
std::string points_seen_by(Process& neighbour) {
  REQUIRE(neighbour.line() == "ok");
  const auto count = neighbour.line();
  REQUIRE(neighbour.line() == "ok");
  return count.value_or("nothing");
}

}  // namespace

TEST_CASE("another program's open transaction makes storing busy, and storing works once it ends") {
  struct Row {
    const char* name;
    const char* holds;
  };
  for (const Row& row : {Row{"a reader", "read"}, Row{"a writer", "write"}}) {
    CAPTURE(row.name);
    samples::Folder folder;
    const std::string file = folder.file("day.gpkg");
    Book book = open_book(file);
    REQUIRE(book.append(samples::point(1)).has_value());
    Process neighbour({STILLPOINT_NEIGHBOUR, row.holds, file});
    REQUIRE(points_seen_by(neighbour) == "1");
    for (int i = 0; i < 3; ++i) {
      const auto stored = book.append(samples::point(2));
      REQUIRE_FALSE(stored.has_value());
      CHECK(stored.error().fault == Fault::busy);
      CHECK(stored.error().text.find("another program holds") != std::string::npos);
      CHECK(book.known().size() == 1);
    }
    CHECK(neighbour.finish() == 0);
    REQUIRE(book.append(samples::point(2)).has_value());
    CHECK(book.current().size() == 2);
    CHECK(book.audit().value().empty());
  }
}

TEST_CASE("a file that another program holds is opened when that is wanted, and read when it can be") {
  samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  REQUIRE(open_book(file).append(samples::point(1)).has_value());
  Process holder({STILLPOINT_NEIGHBOUR, "exclusive", file});
  REQUIRE(points_seen_by(holder) == "1");
  const auto refused = Book::open(file, samples::geographic(), {.busy_wait_ms = 20});
  REQUIRE_FALSE(refused.has_value());
  CHECK(refused.error().text.find("another program holds") != std::string::npos);
  auto book = Book::open(file, samples::geographic(), {.busy_wait_ms = 20, .may_be_held = true});
  REQUIRE_MESSAGE(book.has_value(), book.error().text);
  CHECK(book->is_unread());
  CHECK(book->known().empty());
  const auto stored = book->append(samples::point(2));
  REQUIRE_FALSE(stored.has_value());
  CHECK(stored.error().fault == Fault::busy);
  CHECK(holder.finish() == 0);
  REQUIRE(book->append(samples::point(2)).has_value());
  CHECK_FALSE(book->is_unread());
  CHECK(book->known().size() == 2);
}

TEST_CASE("after a busy commit new readers are let in at once") {
  samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  Book book = open_book(file);
  REQUIRE(book.append(samples::point(1)).has_value());
  Process first({STILLPOINT_NEIGHBOUR, "read", file});
  REQUIRE(points_seen_by(first) == "1");
  REQUIRE_FALSE(book.append(samples::point(2)).has_value());
  Process second({STILLPOINT_NEIGHBOUR, "read", file});
  CHECK(points_seen_by(second) == "1");
}

TEST_CASE("another program reads every stored point while the pointbook is open") {
  samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  Book book = open_book(file);
  for (int i = 1; i <= 3; ++i) {
    REQUIRE(book.append(samples::point(i)).has_value());
    CHECK(samples::output_of({STILLPOINT_NEIGHBOUR, "sql", file, "SELECT count(*) FROM current_points"}) ==
          std::to_string(i) + "\nok\n");
  }
}

TEST_CASE("a program that writes to the pointbook is refused while another process has it") {
  samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  Process first({STILLPOINT_NEIGHBOUR, "keep", file});
  REQUIRE(first.line() == "open");
  const auto second = Book::open(file, samples::geographic());
  REQUIRE_FALSE(second.has_value());
  CHECK(second.error().text.find("already writes to") != std::string::npos);
  SUBCASE("it ends by itself") {
    CHECK(first.finish() == 0);
  }
  SUBCASE("it is killed") {
    first.kill();
  }
  CHECK(Book::open(file, samples::geographic()).has_value());
}

TEST_CASE("a journal that another program has switched is put back as soon as nobody else has the file open") {
  samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  const std::vector<std::string> to_wal{STILLPOINT_NEIGHBOUR, "sql", file, "PRAGMA journal_mode = WAL"};
  {
    Book book = open_book(file);
    CHECK(book.journal_mode() == "truncate");
    REQUIRE(book.append(samples::point(1)).has_value());
    CHECK(samples::output_of(to_wal) == "wal\nok\n");
    REQUIRE(book.append(samples::point(2)).has_value());
    CHECK(book.journal_mode() == "truncate");
  }
  CHECK(samples::output_of(to_wal) == "wal\nok\n");
  samples::Process reader({STILLPOINT_NEIGHBOUR, "read", file});
  while (const auto line = reader.line()) {
    if (*line == "2") break;
  }
  Book book = open_book(file);
  CHECK(book.journal_mode() == "wal");
  CHECK(book.journal_note().find("another program has switched " + file) == 0);
  REQUIRE(book.append(samples::point(3)).has_value());
  reader.finish();
  REQUIRE(book.append(samples::point(4)).has_value());
  CHECK(book.journal_mode() == "truncate");
  CHECK(book.journal_note().empty());
  CHECK_FALSE(std::filesystem::exists(file + "-wal"));
  CHECK(samples::output_of({STILLPOINT_NEIGHBOUR, "sql", file, "SELECT count(*) FROM points"}) == "4\nok\n");
  CHECK(book.audit().value().empty());
}

TEST_CASE("a file moved away while it is open is told, and not written to in silence") {
  samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  Book book = open_book(file);
  REQUIRE(book.append(samples::point(1)).has_value());
  std::filesystem::rename(file, folder.file("moved.gpkg"));
  const auto stored = book.append(samples::point(2));
  REQUIRE_FALSE(stored.has_value());
  CHECK(stored.error().fault == Fault::disk);
  CHECK(stored.error().text.find("was moved or deleted") != std::string::npos);
  std::filesystem::rename(folder.file("moved.gpkg"), file);
  CHECK(book.append(samples::point(2)).has_value());
}
