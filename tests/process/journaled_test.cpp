#include <doctest/doctest.h>

#include <filesystem>

#include "keeping/journaled.hpp"
#include "keeping/open_stay.hpp"
#include "pointbook/samples.hpp"
#include "pointbook/spool.hpp"

using namespace stillpoint;
using namespace stillpoint::daemon;

namespace {

std::string head(const char* utc) {
  return std::string("stillpoint-journal 1 utc ") + utc + " steady 0 by clock\n";
}

}  // namespace

TEST_CASE("the journals of the last 25 hours claim what their keeps made, and no others do") {
  const samples::Folder folder;
  const UtcTime now = *parse_utc("2026-06-03T14:00:00Z");
  samples::write_file(folder.file("20260602T120000Z-01.journal"),
                      head("2026-06-02T12:00:00Z") +
                          "0 1 {\"command\":\"occupy\",\"name\":\"OLD\",\"visit\":1}\n"
                          "0 2 {\"command\":\"keep\",\"made\":\"uuid-0\"}\n");
  samples::write_file(folder.file("20260603T120000Z-01.journal"),
                      head("2026-06-03T12:00:00Z") +
                          "0 1 {\"command\":\"occupy\",\"name\":\"HF-1\",\"visit\":2}\n9 2\n"
                          "9 3 {\"command\":\"keep\",\"utc\":\"2026-06-03T12:00:10Z\",\"made\":\"uuid-1\"}\n"
                          "9 4 {\"command\":\"occupy\",\"name\":\"NOTHING\",\"visit\":1}\n"
                          "9 5 {\"command\":\"keep\"}\n"
                          "9 6 {\"command\":\"check\",\"mark\":\"ROCK\"}\n");
  samples::write_file(folder.file("20260603T130000Z-01.journal"),
                      head("2026-06-03T13:00:00Z") + "0 1 {\"command\":\"keep\",\"made\":\"uuid-2\"}\n" +
                          "0 2 {\"event\":\"stopped\"}\n");
  samples::write_file(folder.file("20260603T133000Z-01.journal"), "no journal\n");
  const auto keeps = keeps_in(folder.path(), now);
  REQUIRE(keeps.size() == 2);
  CHECK(missing_keeps(keeps, {}) ==
        std::vector<std::string>{"HF-1 visit 2, kept at 2026-06-03T12:00:10Z, is in the record, and neither in the "
                                 "pointbook nor in its spool",
                                 "the check on ROCK is in the record, and neither in the pointbook nor in its spool"});
  CHECK(missing_keeps(keeps, Known({{"uuid-2", "ROCK", 0}, {"another", "HF-1", 2}})).empty());
  CHECK(missing_keeps(keeps, Known({{"uuid-1", "HF-1", 2}, {"another", "ROCK", 0}})).size() == 1);
}

TEST_CASE("what pointbook and spool have is known to who only looks, and looking makes no file") {
  const samples::Folder folder;
  const std::string book = folder.file("day.gpkg");
  const JournaledKeep stored{samples::uuid(1), "", 1, {}}, waiting{samples::uuid(3), "", 1, {}},
      shot{samples::shot_uuid(2), "", 0, {}};
  CHECK_FALSE(known_in(book).has(stored));
  CHECK(std::filesystem::is_empty(folder.path()));
  {
    auto opened = pointbook::Book::open(book, samples::geographic());
    REQUIRE((opened && opened->append(samples::point(1))));
    auto spool = pointbook::Spool::open(book);
    REQUIRE((spool && spool->append(samples::point(3)) && spool->append(samples::shot(2))));
    CHECK(known_in(book).has(waiting));  // also while it is in use
  }
  const Known known = known_in(book);
  CHECK(known.has(stored));
  CHECK(known.has(waiting));
  CHECK(known.has(shot));
}

TEST_CASE("a stay that was saved while it was open is known: the next start makes a point of it") {
  const samples::Folder folder;
  const std::string book = folder.file("day.gpkg");
  const occupation::StoredPoint open = samples::point(4);
  REQUIRE(OpenStay(book).save(open).has_value());
  const JournaledKeep keep{"another uuid", open.point.name, open.point.visit, {}};
  CHECK(known_in(book).has(keep));
  samples::write_file(book + ".open", "stillpoint-open 1 damaged\n");
  CHECK_FALSE(known_in(book).has(keep));
  CHECK(std::filesystem::exists(book + ".open"));  // who only looks sets nothing aside
}

TEST_CASE("a keep at the very end of a run that broke off was perhaps never answered, and is no loss") {
  struct Row {
    const char* what;
    const char* after;  ///< the keep at 10 s
    LastRun last;
    bool unanswered;
  };
  const std::vector<Row> rows{
      {"nothing came after it", "", LastRun::over, true},
      {"bytes of ten seconds", "9 20000\n", LastRun::over, true},
      {"bytes of more", "9 20001\n", LastRun::over, false},
      {"a torn line", "9 20000\n9 20", LastRun::over, true},
      {"another stay", "9 10500 {\"command\":\"occupy\",\"name\":\"B\",\"visit\":1}\n", LastRun::over, false},
      {"the word that it is safe", "9 10500 {\"event\":\"safe\",\"made\":\"uuid-1\"}\n", LastRun::over, false},
      {"that another one is safe", "9 10500 {\"event\":\"safe\",\"made\":\"uuid-0\"}\n", LastRun::over, true},
      {"a check", "9 10500 {\"command\":\"check\",\"mark\":\"B\"}\n", LastRun::over, false},
      {"the run stopped in good order", "9 10500 {\"event\":\"stopped\"}\n", LastRun::over, false},
      {"a new run", "9 10500\n9 900000 {\"event\":\"started\"}\n", LastRun::over, true},
      {"a new run, which goes on", "9 10500\n9 900000 {\"event\":\"started\"}\n", LastRun::goes_on, true},
      {"the run goes on", "9 10500\n", LastRun::goes_on, false},
  };
  for (const Row& row : rows) {
    CAPTURE(row.what);
    const samples::Folder folder;
    samples::write_file(folder.file("20260603T120000Z-01.journal"),
                        head("2026-06-03T12:00:00Z") + "0 1 {\"event\":\"started\"}\n" +
                            "0 2 {\"command\":\"occupy\",\"name\":\"A\",\"visit\":1}\n9 3\n"
                            "9 10000 {\"command\":\"keep\",\"made\":\"uuid-1\"}\n" +
                            row.after);
    const auto keeps = keeps_in(folder.path(), *parse_utc("2026-06-03T14:00:00Z"), row.last);
    REQUIRE(keeps.size() == 1);
    CHECK(keeps[0].unanswered == row.unanswered);
    CHECK(unanswered_keeps(keeps, {}).size() == (row.unanswered ? 1 : 0));
    CHECK(missing_keeps(keeps, {}).size() == (row.unanswered ? 0 : 1));
    CHECK(unanswered_keeps(keeps, Known({{"uuid-1", "A", 1}})).empty());
  }
}
