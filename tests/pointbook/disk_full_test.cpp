#include <doctest/doctest.h>

#include "pointbook/forgetful.hpp"
#include "pointbook/samples.hpp"
#include "pointbook/spool.hpp"

namespace {

using namespace stillpoint;
using pointbook::Book;
using pointbook::Fault;
using samples::ForgetfulDisk;
using samples::ForgetfulStore;
using samples::ForgetfulVfs;

/// What the book says of itself while the disk is full: the earlier point, whole. Where nothing at all can be written,
/// a half-written transaction cannot be taken back yet, and reading says so.
void check_while_full(const Book& book, samples::Full full) {
  CHECK(book.known().size() == 1);
  const auto points = book.read_all_versions();
  if (full == samples::Full::refuses_growth) REQUIRE(points.has_value());
  if (points) {
    CHECK(points->size() == 1);
    CHECK(book.read_epochs(samples::uuid(2)).value().empty());
  } else {
    CHECK(points.error().text.find("no space is left on the disk") != std::string::npos);
  }
}

std::uint64_t fill_at_every_write(samples::Full full) {
  std::uint64_t write = 1;
  for (bool fitted = false; !fitted; ++write) {
    samples::Folder folder;
    ForgetfulStore store;
    ForgetfulVfs vfs(store);
    auto book = Book::open(folder.file("day.gpkg"), samples::geographic(), {.vfs = vfs.name()});
    REQUIRE(book.has_value());
    REQUIRE(book->append(samples::point(1)).has_value());
    store.fill_at_write(write, full);
    const auto stored = book->append(samples::point(2, 300));
    fitted = stored.has_value();
    CAPTURE(write);
    if (!fitted) {
      CHECK(stored.error().fault == Fault::disk);
      CHECK(stored.error().text.find("no space is left on the disk") != std::string::npos);
      check_while_full(*book, full);
    }
    store.fill_at_write(0);
    REQUIRE(book->append(samples::point(2, 300)).has_value());
    REQUIRE(book->append(samples::point(3)).has_value());
    CHECK(book->known().size() == 3);
    CHECK(book->audit().value().empty());
  }
  return write - 2;
}

}  // namespace

TEST_CASE("a disk that runs full at any write of a point leaves the earlier points, and storing goes on later") {
  struct Row {
    const char* name;
    samples::Full full;
  };
  for (const Row& row : {Row{"files cannot grow", samples::Full::refuses_growth},
                         Row{"nothing can be written", samples::Full::refuses_all}}) {
    CAPTURE(row.name);
    const std::uint64_t writes = fill_at_every_write(row.full);
    MESSAGE(std::string(row.name) << ": full at each of " << writes << " writes");
    CHECK(writes > 10);
  }
}

TEST_CASE("a full disk refuses a new pointbook with a sentence") {
  samples::Folder folder;
  ForgetfulStore store;
  ForgetfulVfs vfs(store);
  store.fill_at_write(1);
  const auto book = Book::open(folder.file("day.gpkg"), samples::geographic(), {.vfs = vfs.name()});
  REQUIRE_FALSE(book.has_value());
  CHECK(book.error().text.find("no space is left on the disk") != std::string::npos);
  store.fill_at_write(0);
  CHECK(Book::open(folder.file("day.gpkg"), samples::geographic(), {.vfs = vfs.name()}).has_value());
}

TEST_CASE("a spool on a full disk acknowledges nothing, keeps what it has, and goes on later") {
  ForgetfulStore store;
  ForgetfulDisk disk(store);
  auto spool = pointbook::Spool::open("/day.gpkg", disk);
  REQUIRE(spool.has_value());
  REQUIRE(spool->append(samples::point(1)).has_value());
  store.fill_at_write(1);
  const auto spooled = spool->append(samples::point(2));
  REQUIRE_FALSE(spooled.has_value());
  CHECK(spooled.error().text.find("no space is left on the disk") != std::string::npos);
  CHECK(spool->waiting().size() == 1);
  store.fill_at_write(0);
  REQUIRE(spool->append(samples::point(2)).has_value());
  auto again = pointbook::Spool::open("/day.gpkg", disk);
  REQUIRE(again.has_value());
  CHECK(again->waiting().size() == 2);
  CHECK(again->damage().empty());
}
