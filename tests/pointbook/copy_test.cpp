// A copy of a pointbook for whoever it is handed to.

#include <doctest/doctest.h>

#include <filesystem>

#include "pointbook/reader.hpp"
#include "pointbook/samples.hpp"

namespace {

using namespace stillpoint;

pointbook::Book book_of(const samples::Folder& folder) {
  auto book = pointbook::Book::open(folder.file("day.gpkg"), samples::geographic());
  REQUIRE(book);
  for (int i = 1; i <= 3; ++i) REQUIRE(book->append(samples::point(i)));
  return std::move(*book);
}

}  // namespace

TEST_CASE("a copy holds every row, and the same book gives the same bytes, while its writer has it open") {
  const samples::Folder folder;
  pointbook::Book book = book_of(folder);
  REQUIRE(pointbook::copy_book(folder.file("day.gpkg"), folder.file("one.gpkg")));
  REQUIRE(pointbook::copy_book(folder.file("day.gpkg"), folder.file("two.gpkg")));
  CHECK(samples::read_file(folder.file("one.gpkg")) == samples::read_file(folder.file("two.gpkg")));
  const auto own = pointbook::read_contents(folder.file("day.gpkg"));
  const auto copy = pointbook::read_contents(folder.file("one.gpkg"));
  REQUIRE(own);
  REQUIRE(copy);
  CHECK(copy->damage.empty());
  CHECK(copy->versions.size() == 3);
  CHECK(copy->epochs.size() == own->epochs.size());
  CHECK(copy->frame_wkt == own->frame_wkt);
}

TEST_CASE("a copy never replaces a pointbook, and of what is none there is none") {
  const samples::Folder folder;
  pointbook::Book book = book_of(folder);
  REQUIRE(pointbook::copy_book(folder.file("day.gpkg"), folder.file("one.gpkg")));
  REQUIRE(book.append(samples::point(4)));
  const std::string before = samples::read_file(folder.file("one.gpkg"));
  CHECK_FALSE(pointbook::copy_book(folder.file("day.gpkg"), folder.file("one.gpkg")));
  CHECK(samples::read_file(folder.file("one.gpkg")) == before);
  samples::write_file(folder.file("text"), "this is no database");
  CHECK_FALSE(pointbook::copy_book(folder.file("text"), folder.file("three.gpkg")));
  CHECK_FALSE(pointbook::copy_book(folder.file("none.gpkg"), folder.file("four.gpkg")));
  CHECK_FALSE(pointbook::copy_book(folder.file("day.gpkg"), folder.file("no/folder.gpkg")));
}
