#include <doctest/doctest.h>
#include <sqlite3.h>

#include <memory>

#include "pointbook/closings.hpp"
#include "pointbook/reader.hpp"
#include "samples.hpp"

namespace {

using namespace stillpoint;
using pointbook::Closings;
using pointbook::Event;

constexpr std::int64_t kHour_ms = 3'600'000;

UtcTime at(std::int64_t hours, std::int64_t ms = 0) {
  return UtcTime{1'780'000'000'000 + hours * kHour_ms + ms};
}

const Event kMergedOpen{at(40), "merged", "merged from 2 pointbooks",
                        R"({"from":[{"file":"a","closed":true},{"file":"b","closed":false}]})"};
const Event kMergedClosed{at(40), "merged", "merged from 2 pointbooks",
                          R"({"from":[{"file":"a","closed":true},{"file":"b","closed":true}]})"};

struct Row {
  const char* name;
  std::vector<Event> events;
  std::optional<UtcTime> finished;
  bool covered;
};

std::vector<Row> rows() {
  const Event closed{at(8), "day-closed", "the day was closed", ""};
  return {
      {"without a closing nothing is covered", {{at(8), "stopped", "", ""}}, at(4), false},
      {"what was measured before the closing is covered", {closed}, at(4), true},
      {"the very moment of the closing is covered", {closed}, at(8), true},
      {"a millisecond later is not", {closed}, at(8, 1), false},
      {"24 hours before is covered", {closed}, at(-16), true},
      {"a minute longer before is yesterday's, and stays open", {closed}, at(-16, -60'000), false},
      {"today's closing does not cover yesterday, though another one covers today",
       {closed, {at(32, 1), "day-closed", "", ""}},
       at(8, 1),
       true},
      {"a point without a time is covered by nothing", {closed}, std::nullopt, false},
      {"a merged book, one of them open, is open", {closed, kMergedOpen}, at(4), false},
      {"a merged book that does not say which was closed is open",
       {closed, {at(40), "merged", "merged from 2 pointbooks", ""}},
       at(4),
       false},
      {"a merged book, both closed, is closed", {closed, kMergedClosed}, at(4), true},
      {"a closing after the merge counts again", {closed, kMergedOpen, {at(20), "day-closed", "", ""}}, at(4), true}};
}

std::string flags_in_view(const std::string& file) {
  sqlite3* database = nullptr;
  REQUIRE(sqlite3_open_v2(file.c_str(), &database, SQLITE_OPEN_READONLY, nullptr) == SQLITE_OK);
  const std::unique_ptr<sqlite3, int (*)(sqlite3*)> close(database, sqlite3_close);
  sqlite3_stmt* statement = nullptr;
  REQUIRE(sqlite3_prepare_v2(database, "SELECT flags FROM current_points", -1, &statement, nullptr) == SQLITE_OK);
  const std::unique_ptr<sqlite3_stmt, int (*)(sqlite3_stmt*)> finish(statement, sqlite3_finalize);
  REQUIRE(sqlite3_step(statement) == SQLITE_ROW);
  const auto* text = sqlite3_column_text(statement, 0);
  return text == nullptr ? std::string() : reinterpret_cast<const char*>(text);
}

TEST_CASE("a closing covers the 24 hours before it, and the view in the file says the same as the rule") {
  for (const Row& row : rows()) {
    CAPTURE(row.name);
    CHECK(Closings(row.events).covers(row.finished) == row.covered);
    const samples::Folder folder;
    const std::string file = folder.file("day.gpkg");
    auto stored = samples::point(1);
    stored.point.finished_utc = row.finished;
    {
      auto book = pointbook::Book::open(file, samples::geographic());
      REQUIRE(book.has_value());
      REQUIRE(book->append(stored).has_value());
      for (const Event& event : row.events) REQUIRE(book->append(event).has_value());
    }
    const std::string own = "coasted error-scale-not-verified";
    CHECK(flags_in_view(file) == own + (row.covered ? "" : " day-not-closed"));
    const auto contents = pointbook::read_contents(file);
    REQUIRE(contents.has_value());
    CHECK(contents->damage.empty());
    CHECK(contents->versions.front().point.flags.size() == 2);  // the row itself never changes
    CHECK(pointbook::day_is_closed(*contents) == row.covered);
  }
}

TEST_CASE("the flag is put among the others in their order, and once") {
  occupation::Point point;
  point.flags = {"coasted", "error-scale-not-verified"};
  const Closings none;
  const auto once = none.delivered(point);
  CHECK(once.flags == std::vector<std::string>{"coasted", "day-not-closed", "error-scale-not-verified"});
  CHECK(none.delivered(once).flags == once.flags);
}

TEST_CASE("a book of before gets the view that knows of closings, and its rows stay as they are") {
  const samples::Folder folder;
  const std::string file = folder.file("old.gpkg");
  {
    auto book = pointbook::Book::open(file, samples::geographic());
    REQUIRE(book->append(samples::point(1)).has_value());
  }
  sqlite3* database = nullptr;
  REQUIRE(sqlite3_open(file.c_str(), &database) == SQLITE_OK);
  REQUIRE(sqlite3_exec(database,
                       "DROP VIEW current_points; CREATE VIEW current_points AS SELECT p.* FROM points AS p WHERE NOT "
                       "EXISTS (SELECT 1 FROM points AS newer WHERE newer.name = p.name AND newer.visit = p.visit AND "
                       "newer.version > p.version)",
                       nullptr, nullptr, nullptr) == SQLITE_OK);
  sqlite3_close(database);
  CHECK(flags_in_view(file) == "coasted error-scale-not-verified");
  for (int start = 0; start < 2; ++start) {
    CAPTURE(start);
    REQUIRE(pointbook::Book::open(file, samples::geographic()).has_value());
    CHECK(flags_in_view(file) == "coasted error-scale-not-verified day-not-closed");
    CHECK(pointbook::read_contents(file)->damage.empty());
  }
}

}  // namespace
