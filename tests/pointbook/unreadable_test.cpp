#include <doctest/doctest.h>

#include "pointbook/book.hpp"
#include "pointbook/process.hpp"
#include "pointbook/reader.hpp"
#include "pointbook/samples.hpp"

namespace {

using namespace stillpoint;
using pointbook::Book;
using pointbook::Event;

// 20260-06-03T14:05:10Z: five digits are no year of a row
constexpr UtcTime kTooLate{577'200'000'000'000};

}  // namespace

TEST_CASE("a row that cannot be read is told and left out, and the rest is served") {
  struct Row {
    const char* name;
    const char* table;
    const char* change;
  };
  const Row rows[] = {
      {"an event of the year 20260", "events", "utc = '20260-06-03T14:05:10.000Z' WHERE id = 2"},
      {"a point with a word of another program", "points", "status = 'perfect' WHERE id = 2"},
      {"a point with a count that is none", "points", "refused = '{' WHERE id = 2"},
      {"a check shot without an instant", "check_shots", "utc = '' WHERE id = 2"},
      {"an antenna setup without an instant", "antenna_setups", "utc = 'noon' WHERE id = 2"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const samples::Folder folder;
    const std::string file = folder.file("day.gpkg"), table = row.table;
    {
      auto book = Book::open(file, samples::geographic());
      for (int i = 1; i <= 3; ++i) {
        pointbook::AntennaSetup setup;
        setup.uuid = samples::uuid(50 + i);
        REQUIRE(book->append(samples::point(i)).has_value());
        REQUIRE(book->append(samples::shot(i)).has_value());
        REQUIRE(book->append(setup).has_value());
        REQUIRE(book->append(Event{{0}, "keep", "kept", ""}).has_value());
      }
    }
    REQUIRE(samples::output_of({STILLPOINT_NEIGHBOUR, "sql", file,
                                "DROP TRIGGER " + table + "_no_update; UPDATE " + table + " SET " + row.change}) ==
            "ok\n");
    const std::string said = file + " holds a row that this program cannot read, number 2 of " + table +
                             "; the others are served without it";
    const auto left = [&row](const char* other) { return std::string_view(row.table) == other ? 2U : 3U; };
    auto book = Book::open(file, samples::geographic());
    REQUIRE_MESSAGE(book.has_value(), book.error().text);
    CHECK(book->unreadable() == std::vector{said});
    CHECK(book->audit().value().front() == said);
    CHECK(book->known().size() == 3);  // the name is taken all the same
    CHECK(book->read_current()->size() == left("points"));
    CHECK(book->read_events()->size() == left("events"));
    const auto read = pointbook::read_contents(file);
    REQUIRE(read.has_value());
    CHECK(read->damage.back() == said);
    CHECK(read->versions.size() == left("points"));
    CHECK(read->checks.size() == left("check_shots"));
    CHECK(read->antennas.size() == left("antenna_setups"));
    CHECK(read->events.size() == left("events"));
    CHECK(book->append(samples::point(9)).has_value());
  }
}

TEST_CASE("what could not be read again is not written") {
  const samples::Folder folder;
  auto book = Book::open(folder.file("day.gpkg"), samples::geographic());
  auto point = samples::point(1);
  auto shot = samples::shot(1);
  pointbook::AntennaSetup setup;
  setup.uuid = samples::uuid(7);
  setup.utc = shot.utc = kTooLate;
  point.epochs[1].utc = kTooLate;
  const auto refused = [](const pointbook::StoreResult<void>& done, std::string_view word) {
    REQUIRE_FALSE(done.has_value());
    CHECK(done.error().fault == pointbook::Fault::refused);
    CAPTURE(done.error().text);
    CHECK(done.error().text.find(word) != std::string::npos);
  };
  refused(book->append(Event{kTooLate, "started", "the day began", ""}), "the event started: its utc");
  refused(book->append(point), "\"CUL-1\", visit 1: its utc");
  refused(book->append(shot), "VM-1: its utc");
  refused(book->append(setup), "the antenna setup: its utc");
  pointbook::Batch batch;
  batch.events.push_back({kTooLate, "merged", "merged", ""});
  refused(book->append(batch), "its utc");
  CHECK(book->audit().value().empty());
}
