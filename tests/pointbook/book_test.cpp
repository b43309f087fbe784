#include <doctest/doctest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <functional>
#include <limits>

#include "pointbook/process.hpp"
#include "pointbook/reader.hpp"
#include "pointbook/samples.hpp"
#include "pointbook/spool.hpp"

namespace {

using namespace stillpoint;
using occupation::StoredPoint;
using pointbook::Book;
using pointbook::Fault;

Book open_book(const std::string& file, const pointbook::Identity& identity = samples::geographic()) {
  auto book = Book::open(file, identity);
  REQUIRE_MESSAGE(book.has_value(), book.error().text);
  return std::move(*book);
}

std::string without_epochs(StoredPoint point) {
  point.epochs.clear();
  return pointbook::encode(point);
}

/// A later version of a point: accepted by a person, with a reason.
StoredPoint accepted_later(const StoredPoint& before, int number) {
  StoredPoint later = before;
  later.uuid = samples::uuid(number);
  later.version = before.version + 1;
  later.supersedes = before.uuid;
  later.changed_by = "crew A";
  later.change_reason = "second visit agrees within 12 mm";
  later.point.status = occupation::PointStatus::accepted;
  later.epochs.clear();
  return later;
}

StoredPoint no_epoch_accepted(int number) {
  StoredPoint point = samples::point(number);
  point.point.status = occupation::PointStatus::none;
  point.point.at.reset();
  point.point.quality.reset();
  point.point.station.reset();
  point.point.error_scale.reset();
  point.point.started_utc.reset();
  point.point.finished_utc.reset();
  point.point.source.clear();
  point.point.reasons.clear();
  point.point.reason_texts.clear();
  point.point.flags.clear();
  point.point.refused = {};
  return point;
}

}  // namespace

TEST_CASE("a stored point comes back whole, bit for bit, with its epochs") {
  struct Row {
    const char* name;
    StoredPoint point;
  };
  const Row rows[] = {
      {"every field has a value", samples::point(1, 20)},
      {"no epoch was accepted: no coordinates", no_epoch_accepted(2)},
      {"no epochs were kept", samples::point(3, 0)},
      {"a repeat visit",
       [] {
         auto p = samples::point(4);
         p.point.visit = 2;
         return p;
       }()},
      {"text with quotes, line ends and other scripts",
       [] {
         auto p = samples::point(5);
         p.point.note = "a'b\"c\\d\n\te — Bäche 小川";
         return p;
       }()},
      {"numbers without a short decimal form",
       [] {
         auto p = samples::point(6);
         p.point.at->latitude_deg = 47.6 + 1e-13;
         p.point.at->easting_m = 1.0 / 3;
         return p;
       }()},
  };
  samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Book book = open_book(file);
    const auto stored = book.append(row.point);
    REQUIRE_MESSAGE(stored.has_value(), stored.error().text);
    StoredPoint back = book.read_current().value().back();
    back.epochs = book.read_epochs(back.uuid).value();
    CHECK(pointbook::encode(back) == pointbook::encode(row.point));
  }
  CHECK(open_book(file).current().size() == std::size(rows));
  CHECK(open_book(file).audit().value() == std::vector<std::string>{});
}

TEST_CASE("the newest version of a point stands for it, in the place of the first") {
  samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  const StoredPoint first = samples::point(1);
  const StoredPoint second = accepted_later(first, 101);
  {
    Book book = open_book(file);
    REQUIRE(book.append(first).has_value());
    REQUIRE(book.append(samples::point(2)).has_value());
    REQUIRE(book.append(second).has_value());
    CHECK(book.read_all_versions().value().size() == 3);
  }
  const Book book = open_book(file);
  const auto current = book.current();
  REQUIRE(current.size() == 2);
  CHECK(without_epochs(current[0]) == without_epochs(second));
  CHECK(current[1].point.name == "CUL-2");
  const auto known = book.known();
  REQUIRE(known.size() == 2);
  CHECK(known[0].uuid == second.uuid);
  CHECK(known[0].version == 2);
  CHECK(known[0].status == occupation::PointStatus::accepted);
}

TEST_CASE("a uuid that is already stored is left as it is and reported as done") {
  samples::Folder folder;
  Book book = open_book(folder.file("day.gpkg"));
  REQUIRE(book.append(samples::point(1)).has_value());
  StoredPoint again = samples::point(1);
  again.point.note = "changed on the way";
  CHECK(book.append(again).has_value());
  REQUIRE(book.current().size() == 1);
  CHECK(book.current()[0].point.note == samples::point(1).point.note);
  CHECK(book.read_epochs(again.uuid).value().size() == 3);
}

TEST_CASE("what can never be stored is refused with its cause, and nothing is written") {
  struct Row {
    const char* name;
    std::function<void(StoredPoint&)> spoil;
    const char* sentence;
  };
  const Row rows[] = {
      {"the name and visit belong to another point", [](auto& p) { p.point.name = "CUL-1"; }, "already in"},
      {"a version that supersedes nothing", [](auto& p) { p.version = 2; }, "must supersede version 1"},
      {"a version that leaves one out",
       [](auto& p) {
         p.point.name = "CUL-1";
         p.version = 3;
         p.supersedes = samples::uuid(1);
       },
       "must supersede version 2"},
      {"a version of a point that is not there",
       [](auto& p) {
         p.version = 2;
         p.supersedes = samples::uuid(9);
       },
       "must supersede version 1"},
      {"a first version that supersedes", [](auto& p) { p.supersedes = samples::uuid(1); }, "supersedes nothing"},
      {"version zero", [](auto& p) { p.version = 0; }, "count from 1"},
      {"visit zero", [](auto& p) { p.point.visit = 0; }, "count from 1"},
      {"no name", [](auto& p) { p.point.name.clear(); }, "without a name"},
      {"no uuid", [](auto& p) { p.uuid.clear(); }, "without a name or a uuid"},
      {"another frame", [](auto& p) { p.point.frame = "EPSG:9989"; }, "EPSG:9989, the pointbook in EPSG:6319"},
      {"an infinite coordinate",
       [](auto& p) { p.point.at->ellipsoid_height_m = std::numeric_limits<double>::infinity(); }, "not finite"},
      {"a covariance that is no number",
       [](auto& p) { p.point.at->covariance_enu_m2[1] = std::numeric_limits<double>::quiet_NaN(); }, "not finite"},
      {"an epoch that is no number", [](auto& p) { p.epochs[2].sigma_up_m = std::numeric_limits<double>::quiet_NaN(); },
       "not finite"},
  };
  samples::Folder folder;
  Book book = open_book(folder.file("day.gpkg"));
  REQUIRE(book.append(samples::point(1)).has_value());
  for (const Row& row : rows) {
    CAPTURE(row.name);
    StoredPoint point = samples::point(2);
    row.spoil(point);
    const auto stored = book.append(point);
    REQUIRE_FALSE(stored.has_value());
    CHECK(stored.error().fault == Fault::refused);
    CHECK(stored.error().text.find(row.sentence) != std::string::npos);
    CHECK(book.read_all_versions().value().size() == 1);
    CHECK(book.known().size() == 1);
  }
  CHECK(book.append(samples::point(2)).has_value());
}

StoredPoint renamed_later(const StoredPoint& before, int number, const std::string& name, int visit) {
  StoredPoint later = accepted_later(before, number);
  later.point.name = name;
  later.point.visit = visit;
  return later;
}

TEST_CASE("a point that was renamed is one point, and its old name and visit are never given again") {
  samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  Book book = open_book(file);
  const auto first = samples::point(1), other = samples::point(2);
  const auto second = renamed_later(first, 11, "CUL-8", 1), third = renamed_later(second, 12, "CUL-9", 1);
  for (const auto& each : {first, other, second, third}) REQUIRE(book.append(each).has_value());
  const auto names = [](const std::vector<StoredPoint>& points) {
    std::vector<std::string> out;
    for (const auto& each : points) out.push_back(each.point.name);
    return out;
  };
  CHECK(names(book.current()) == std::vector<std::string>{"CUL-9", other.point.name});
  CHECK(samples::output_of(
            {STILLPOINT_NEIGHBOUR, "sql", file, "SELECT name || version FROM current_points ORDER BY 1"}) ==
        other.point.name + "1\nCUL-93\nok\n");
  // Two versions cannot both follow the same one, whatever they are called.
  for (const auto& late : {renamed_later(first, 13, "CUL-20", 1), renamed_later(second, 14, "CUL-21", 1)}) {
    const auto refused = book.append(late);
    REQUIRE_FALSE(refused.has_value());
    CHECK(refused.error().text.find("must supersede") != std::string::npos);
  }
  StoredPoint taken = samples::point(3);
  taken.point.name = first.point.name;
  CHECK(book.append(taken).error().text.find("already in") != std::string::npos);
  taken.point.visit = 2;
  CHECK(book.append(taken).has_value());
  CHECK(book.audit().value().empty());
}

TEST_CASE("events, check shots and antenna setups are stored beside the points") {
  samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  const UtcTime when{1'780'495'510'500};
  pointbook::CheckShot shot;
  shot.uuid = samples::uuid(7);
  shot.mark = "VM-11";
  shot.kind = "opening";
  shot.utc = shot.stored_at = when;
  shot.passed = true;
  shot.frame = "EPSG:6319";
  shot.at = *samples::point(7).point.at;
  shot.text = "0.012 m off, limit 0.030 m";
  pointbook::AntennaSetup setup;
  setup.uuid = samples::uuid(8);
  setup.utc = when;
  setup.height_m = 1.871;
  setup.vertical_parts_m = {{"pole", 1.8}, {"adapter_to_phase_centre", 0.071}};
  {
    Book book = open_book(file);
    REQUIRE(book.append(pointbook::Event{when, "started", "the day began", R"({"crew":"A"})"}).has_value());
    REQUIRE(book.append(shot).has_value());
    REQUIRE(book.append(shot).has_value());
    REQUIRE(book.append(setup).has_value());
    REQUIRE(book.append(setup).has_value());
    shot.uuid = samples::uuid(9);
    shot.off_east_m = std::numeric_limits<double>::quiet_NaN();
    const auto refused = book.append(shot);
    REQUIRE_FALSE(refused.has_value());
    CHECK(refused.error().fault == Fault::refused);
  }
  struct Row {
    const char* name;
    const char* sql;
    const char* answer;
  };
  const Row rows[] = {
      {"an event has its instant, kind, text and details", "SELECT utc, kind, text, details FROM events",
       "2026-06-03T14:05:10.500Z|started|the day began|{\"crew\":\"A\"}\nok\n"},
      {"a check shot is there once, with a geometry of 37 bytes",
       "SELECT mark, kind, passed, length(geom), length(content_sha256) FROM check_shots",
       "VM-11|opening|1|37|64\nok\n"},
      {"an antenna setup is there once, with its parts", "SELECT height_m, vertical_parts_m FROM antenna_setups",
       "1.871|{\"pole\":1.800000,\"adapter_to_phase_centre\":0.071000}\nok\n"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    CHECK(samples::output_of({STILLPOINT_NEIGHBOUR, "sql", file, row.sql}) == row.answer);
  }
}

TEST_CASE("no row of a pointbook can be changed, removed or replaced") {
  samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  {
    Book book = open_book(file);
    REQUIRE(book.append(samples::point(1)).has_value());
    REQUIRE(book.append(pointbook::Event{{0}, "started", "the day began", ""}).has_value());
    pointbook::CheckShot shot;
    shot.uuid = samples::uuid(7);
    shot.mark = "VM-11";
    shot.kind = "opening";
    shot.frame = "EPSG:6319";
    shot.at = *samples::point(7).point.at;
    REQUIRE(book.append(shot).has_value());
    pointbook::AntennaSetup setup;
    setup.uuid = samples::uuid(8);
    setup.height_m = 1.871;
    REQUIRE(book.append(setup).has_value());
  }
  struct Row {
    const char* name;
    const char* sql;
    const char* answer;
  };
  const Row rows[] = {
      {"a point is not changed", "UPDATE points SET note = 'x'", "points is append-only"},
      {"a point is not removed", "DELETE FROM points", "points is append-only"},
      {"a point is not replaced by its id", "REPLACE INTO points SELECT * FROM points", "points is append-only"},
      {"a point is not replaced by its uuid",
       "CREATE TEMP TABLE t AS SELECT * FROM points; UPDATE t SET id = 77, name = 'x';"
       "REPLACE INTO points SELECT * FROM t",
       "points is append-only"},
      {"a point is not replaced by its name, visit and version",
       "CREATE TEMP TABLE t AS SELECT * FROM points; UPDATE t SET id = 77, uuid = 'x';"
       "REPLACE INTO points SELECT * FROM t",
       "points is append-only"},
      {"an epoch is not changed", "UPDATE epochs SET verdict = 'accepted'", "epochs is append-only"},
      {"an epoch is not removed", "DELETE FROM epochs", "epochs is append-only"},
      {"an epoch is not replaced", "REPLACE INTO epochs SELECT * FROM epochs", "epochs is append-only"},
      {"an event is not changed", "UPDATE events SET text = 'x'", "events is append-only"},
      {"an event is not removed", "DELETE FROM events", "events is append-only"},
      {"what the book is locked to is not changed", "UPDATE pointbook SET frame = 'x'", "pointbook is append-only"},
      {"a check shot is not replaced by its uuid",
       "CREATE TEMP TABLE t AS SELECT * FROM check_shots; UPDATE t SET id = 77;"
       "REPLACE INTO check_shots SELECT * FROM t",
       "check_shots is append-only"},
      {"an antenna setup is not replaced by its uuid",
       "CREATE TEMP TABLE t AS SELECT * FROM antenna_setups; UPDATE t SET id = 77;"
       "REPLACE INTO antenna_setups SELECT * FROM t",
       "antenna_setups is append-only"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    CHECK(samples::output_of({STILLPOINT_NEIGHBOUR, "sql", file, row.sql}).find(row.answer) != std::string::npos);
  }
  CHECK(open_book(file).audit().value() == std::vector<std::string>{});
}

TEST_CASE("the audit finds content that was changed behind the triggers") {
  struct Row {
    const char* name;
    const char* sql;
    const char* sentence;
  };
  const Row rows[] = {
      {"a height", "DROP TRIGGER points_no_update; UPDATE points SET ellipsoid_height_m = ellipsoid_height_m + 0.001",
       "content no longer matches"},
      {"a note", "DROP TRIGGER points_no_update; UPDATE points SET note = 'south inlet'", "content no longer matches"},
      {"one epoch's verdict", "DROP TRIGGER epochs_no_update; UPDATE epochs SET verdict = 'refused' WHERE id = 2",
       "epochs no longer match"},
      {"one epoch less", "DROP TRIGGER epochs_no_delete; DELETE FROM epochs WHERE id = 2", "epochs no longer match"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    samples::Folder folder;
    const std::string file = folder.file("day.gpkg");
    { REQUIRE(open_book(file).append(samples::point(1)).has_value()); }
    CHECK(samples::output_of({STILLPOINT_NEIGHBOUR, "sql", file, row.sql}) == "ok\n");
    const auto wrong = open_book(file).audit().value();
    REQUIRE(wrong.size() == 1);
    CHECK(wrong[0].find(row.sentence) != std::string::npos);
  }
}

TEST_CASE("a file that cannot serve is refused with a sentence that says what to do") {
  struct Row {
    const char* name;
    std::function<std::string(const samples::Folder&)> prepare;  // gives the path
    std::function<void(pointbook::Identity&)> ask;
    const char* sentence;
  };
  const auto book_at = [](const samples::Folder& folder) {
    open_book(folder.file("day.gpkg"));
    return folder.file("day.gpkg");
  };
  const auto as_it_is = [](pointbook::Identity&) {};
  const Row rows[] = {
      {"another project frame: both are named", book_at, [](auto& id) { id.frame = "EPSG:6496"; },
       "is locked to the frame EPSG:6319, the project asks for EPSG:6496"},
      {"training in a live book", book_at, [](auto& id) { id.training = true; }, "holds live points"},
      {"live work in a training book",
       [](const auto& folder) {
         auto training = samples::geographic();
         training.training = true;
         open_book(folder.file("day.gpkg"), training);
         return folder.file("day.gpkg");
       },
       as_it_is, "holds training points"},
      {"bytes that are no database",
       [](const auto& folder) {
         samples::write_file(folder.file("day.gpkg"), std::string(5000, 'x'));
         return folder.file("day.gpkg");
       },
       as_it_is, "is not a pointbook: it is no database at all"},
      {"another database",
       [](const auto& folder) {
         samples::write_file(folder.file("day.gpkg"), "");
         samples::output_of({STILLPOINT_NEIGHBOUR, "sql", folder.file("day.gpkg"), "CREATE TABLE t (a)"});
         return folder.file("day.gpkg");
       },
       as_it_is, "is another kind of database"},
      {"a GeoPackage of another program",
       [](const auto& folder) {
         samples::write_file(folder.file("day.gpkg"), "");
         samples::output_of({STILLPOINT_NEIGHBOUR, "sql", folder.file("day.gpkg"),
                             "PRAGMA application_id = 1196444487; CREATE TABLE t (a)"});
         return folder.file("day.gpkg");
       },
       as_it_is, "is a GeoPackage of another program"},
      {"a book of a newer version of the program",
       [&](const auto& folder) {
         const std::string file = book_at(folder);
         samples::output_of({STILLPOINT_NEIGHBOUR, "sql", file,
                             "DROP TRIGGER pointbook_no_update; UPDATE pointbook SET schema_version = 99"});
         return file;
       },
       as_it_is, "newer version"},
      {"a folder that does not exist", [](const auto& folder) { return folder.file("none/day.gpkg"); }, as_it_is,
       "does not exist; create it first"},
      {"a folder in place of the file", [](const auto& folder) { return folder.path(); }, as_it_is, "is a folder"},
      {"no file name", [](const auto& folder) { return folder.path() + "/"; }, as_it_is, "names no file"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    samples::Folder folder;
    const std::string file = row.prepare(folder);
    const std::string before = samples::read_file(file);
    auto identity = samples::geographic();
    row.ask(identity);
    const auto book = Book::open(file, identity);
    REQUIRE_FALSE(book.has_value());
    CAPTURE(book.error().text);
    CHECK(book.error().text.find(row.sentence) != std::string::npos);
    CHECK(samples::read_file(file) == before);
  }
}

TEST_CASE("a file or folder without the right to write is refused with a sentence") {
  // Root may write anywhere: become nobody for as long as it takes.
  const bool root = ::geteuid() == 0;
  samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  open_book(file);
  const auto open_as_nobody = [&](const std::string& path) {
    if (root) REQUIRE(::seteuid(65534) == 0);
    auto book = Book::open(path, samples::geographic());
    if (root) REQUIRE(::seteuid(0) == 0);
    return book.has_value() ? std::string("opened") : book.error().text;
  };
  std::filesystem::create_directory(folder.file("inner"));
  REQUIRE(::chmod(folder.path().c_str(), 0) == 0);
  CHECK(open_as_nobody(folder.file("inner/day.gpkg")).find("cannot look into") != std::string::npos);
  REQUIRE(::chmod(folder.path().c_str(), 0555) == 0);
  REQUIRE(::chmod((file + ".lock").c_str(), 0444) == 0);
  CHECK(open_as_nobody(file).find(".lock (Permission denied)") != std::string::npos);
  REQUIRE(::chmod((file + ".lock").c_str(), 0666) == 0);
  REQUIRE(::chmod(file.c_str(), 0444) == 0);
  CHECK(open_as_nobody(file).find("may not be written") != std::string::npos);
  REQUIRE(::chmod(folder.path().c_str(), 0755) == 0);
}

TEST_CASE("an empty file becomes a pointbook: a power cut may have left it") {
  samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  samples::write_file(file, "");
  Book book = open_book(file);
  CHECK(book.append(samples::point(1)).has_value());
}

TEST_CASE("a second writer is refused while the first is there, whatever it calls the file") {
  samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  REQUIRE(::symlink(file.c_str(), folder.file("alias.gpkg").c_str()) == 0);
  {
    Book first = open_book(file);
    for (const char* name : {"day.gpkg", "alias.gpkg", "./day.gpkg"}) {
      CAPTURE(name);
      const auto second = Book::open(folder.file(name), samples::geographic());
      REQUIRE_FALSE(second.has_value());
      CHECK(second.error().text.find("another program (process " + std::to_string(::getpid()) +
                                     ") already writes to") != std::string::npos);
    }
    CHECK(first.append(samples::point(1)).has_value());
  }
  CHECK(open_book(folder.file("alias.gpkg")).known().size() == 1);
}

TEST_CASE("a reader sees every version with its seconds, and the events") {
  samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  // In this process the file may be opened once only: the writer closes it before it is read.
  const StoredPoint first = samples::point(1), later = accepted_later(first, 9);
  {
    Book book = open_book(file);
    REQUIRE(book.append(first).has_value());
    REQUIRE(book.append(later).has_value());
    REQUIRE(book.append(pointbook::Event{first.stored_at, "occupy", "occupied", R"({"by":"a"})"}).has_value());
  }
  const auto read = pointbook::read_contents(file);
  REQUIRE_MESSAGE(read.has_value(), read.error().text);
  CHECK(read->project == samples::geographic().project);
  REQUIRE(read->versions.size() == 2);
  CHECK(pointbook::encode(read->versions[0]) == without_epochs(first));
  CHECK(read->epochs.at(first.uuid).size() == first.epochs.size());
  CHECK(read->epochs.count(later.uuid) == 0);
  REQUIRE(read->events.size() == 1);
  CHECK(read->events[0].details == R"({"by":"a"})");
  CHECK(read->damage.empty());
  CHECK_FALSE(read->spool_waits);
}

TEST_CASE("a reader says what is no pointbook, changes nothing, and sees points that wait in the spool") {
  samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  CHECK(pointbook::read_contents(file).error().text.find("there is no pointbook at") == 0);
  CHECK_FALSE(std::filesystem::exists(file));
  samples::write_file(file, "this is a text, not a database, and long enough to be looked at as one");
  CHECK(pointbook::read_contents(file).error().text.find("is no Stillpoint pointbook") != std::string::npos);
  std::filesystem::remove(file);
  { Book book = open_book(file); }
  const std::string before = samples::read_file(file);
  auto spool = pointbook::Spool::open(file);
  REQUIRE(spool.has_value());
  CHECK_FALSE(pointbook::read_contents(file)->spool_waits);
  REQUIRE(spool->append(samples::point(1)).has_value());
  CHECK(pointbook::read_contents(file)->spool_waits);
  CHECK(samples::read_file(file) == before);
}
