#include <doctest/doctest.h>
#include <sqlite3.h>

#include <cstdlib>
#include <filesystem>
#include <set>

#include "pointbook/forgetful.hpp"
#include "pointbook/samples.hpp"
#include "pointbook/spool.hpp"

namespace {

using namespace stillpoint;
using samples::Files;
using samples::ForgetfulDisk;
using samples::ForgetfulStore;
using samples::ForgetfulVfs;
using samples::Loss;

constexpr int kPoints = 3;

struct Cut {
  const char* name;
  Loss loss;
  std::uint64_t seed;
};
constexpr Cut kCuts[] = {
    {"everything unsynced is lost", Loss::all, 0},
    {"nothing is lost", Loss::nothing, 0},
    {"some sectors and names are lost", Loss::some, 1},
    {"other sectors and names are lost", Loss::some, 2},
};

std::string same_bytes(const occupation::StoredPoint& point) {
  return pointbook::encode(point);
}

/// The day of a daemon: open, then spool, acknowledge, store and settle each point, until the power goes.
std::set<std::string> work(ForgetfulStore& store, const std::string& file, const std::string& vfs) {
  std::set<std::string> acknowledged;
  ForgetfulDisk disk(store);
  auto book = pointbook::Book::open(file, samples::geographic(), {.vfs = vfs});
  auto spool = pointbook::Spool::open(file, disk);
  if (!book || !spool) return acknowledged;
  for (int i = 1; i <= kPoints; ++i) {
    const auto point = samples::point(i);
    if (!spool->append(point)) break;
    acknowledged.insert(point.uuid);
    if (book->append(point)) (void)spool->settle(point.uuid);
  }
  return acknowledged;
}

/// Storing without a spool: a point counts once `append` has returned.
std::set<std::string> work_without_spool(const std::string& file, const std::string& vfs) {
  std::set<std::string> acknowledged;
  auto book = pointbook::Book::open(file, samples::geographic(), {.vfs = vfs});
  for (int i = 1; book && i <= kPoints; ++i) {
    if (book->append(samples::point(i))) acknowledged.insert(samples::uuid(i));
  }
  return acknowledged;
}

/// The folder then holds these files and no others.
void put_back(const samples::Folder& folder, const Files& files) {
  for (const auto& old : std::filesystem::directory_iterator(folder.path())) std::filesystem::remove(old);
  for (const auto& [name, content] : files) samples::write_file(name, content);
}

/// What the next start finds: the point itself with its epochs, or nothing of it.
void check_next_start(const std::string& file, const std::set<std::string>& acknowledged) {
  auto book = pointbook::Book::open(file, samples::geographic());
  REQUIRE_MESSAGE(book.has_value(), book.error().text);
  auto spool = pointbook::Spool::open(file);
  REQUIRE_MESSAGE(spool.has_value(), spool.error().text);
  for (const auto& waiting : std::vector(spool->waiting())) {
    REQUIRE(book->append(waiting).has_value());
    REQUIRE(spool->settle(waiting.uuid).has_value());
  }
  std::set<std::string> found;
  for (occupation::StoredPoint point : book->current()) {
    found.insert(point.uuid);
    point.epochs = book->read_epochs(point.uuid).value();
    bool whole = false;
    for (int i = 1; i <= kPoints; ++i) whole = whole || same_bytes(point) == same_bytes(samples::point(i));
    REQUIRE(whole);
  }
  for (const std::string& uuid : acknowledged) REQUIRE(found.contains(uuid));
  REQUIRE(book->audit().value().empty());
  REQUIRE(book->append(samples::point(9)).has_value());
}

enum class Way { with_spool, without_spool };

/// Files as they are before the work begins: none, or a book in WAL mode.
using Before = Files (*)(const std::string& file);

std::uint64_t cut_everywhere(Way way, Before before) {
  std::uint64_t operation = 1;
  for (bool finished = false; !finished; ++operation) {
    CAPTURE(operation);
    samples::Folder folder;
    const std::string file = folder.file("day.gpkg");
    ForgetfulStore store(before(file));
    ForgetfulVfs vfs(store);
    store.cut_power_at(operation);
    const auto acknowledged =
        way == Way::with_spool ? work(store, file, vfs.name()) : work_without_spool(file, vfs.name());
    finished = !store.power_is_off();
    if (finished) CHECK(acknowledged.size() == kPoints);
    for (std::size_t i = 0; i < std::size(kCuts); ++i) {
      // Without the spool each operation has the worst cut and one of the others, in turn.
      if (way == Way::without_spool && i > 0 && i != 1 + operation % (std::size(kCuts) - 1)) continue;
      CAPTURE(kCuts[i].name);
      put_back(folder, store.after_power_cut(kCuts[i].loss, kCuts[i].seed + operation));
      check_next_start(file, acknowledged);
    }
  }
  return operation - 2;
}

Files nothing(const std::string&) {
  return {};
}

Files book_in_wal_mode(const std::string& file) {
  REQUIRE(pointbook::Book::open(file, samples::geographic()).has_value());
  sqlite3* database = nullptr;
  REQUIRE(sqlite3_open(file.c_str(), &database) == SQLITE_OK);
  REQUIRE(sqlite3_exec(database, "PRAGMA journal_mode = WAL", nullptr, nullptr, nullptr) == SQLITE_OK);
  sqlite3_close(database);
  return {{file, samples::read_file(file)}};
}

/// Commits one row with the given journal, cuts the power right after COMMIT has returned, and counts the rows found.
std::string rows_after_commit_and_cut(const std::string& pragmas) {
  samples::Folder folder;
  const std::string file = folder.file("plain.db");
  ForgetfulStore store;
  ForgetfulVfs vfs(store);
  sqlite3* database = nullptr;
  REQUIRE(sqlite3_open_v2(file.c_str(), &database, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE, vfs.name().c_str()) ==
          SQLITE_OK);
  const std::string sql = pragmas + "CREATE TABLE t (a); INSERT INTO t VALUES (1);";
  REQUIRE(sqlite3_exec(database, sql.c_str(), nullptr, nullptr, nullptr) == SQLITE_OK);
  put_back(folder, store.after_power_cut(Loss::all, 0));
  sqlite3_close(database);
  REQUIRE(sqlite3_open(file.c_str(), &database) == SQLITE_OK);
  std::string rows = "none";
  const auto note = [](void* out, int, char** values, char**) {
    *static_cast<std::string*>(out) = values[0];
    return 0;
  };
  sqlite3_exec(database, "SELECT count(*) FROM t", note, &rows, nullptr);
  sqlite3_close(database);
  return rows;
}

/// What a spool has promised when the power goes: what it must give back, and what it may give back.
struct Promise {
  std::set<std::string> must, may;
};

/// Check shots have the even numbers, points the odd ones.
std::string uuid_of(int number) {
  return number % 2 == 0 ? samples::shot_uuid(number) : samples::uuid(number);
}
Result<void> append(pointbook::Spool& spool, int number) {
  return number % 2 == 0 ? spool.append(samples::shot(number)) : spool.append(samples::point(number));
}

/// Appends and settles in an order that leaves settled entries before waiting ones, empties the file and begins anew.
Promise work_on_spool(ForgetfulStore& store) {
  Promise promise;
  ForgetfulDisk disk(store);
  auto spool = pointbook::Spool::open("/day.gpkg", disk);
  for (const int step : {1, 2, -1, 3, -2, -3, 4, 5, -4, 6}) {
    const std::string uuid = uuid_of(std::abs(step));
    promise.may.insert(uuid);
    if (!spool) break;
    if (step > 0 && !append(*spool, step)) break;
    if (step > 0) promise.must.insert(uuid);
    if (step < 0) promise.must.erase(uuid);
    if (step < 0 && !spool->settle(uuid)) break;
  }
  return promise;
}

void check_spool(const Files& files, const Promise& promise, Loss loss) {
  ForgetfulStore store(files);
  ForgetfulDisk disk(store);
  auto spool = pointbook::Spool::open("/day.gpkg", disk);
  REQUIRE_MESSAGE(spool.has_value(), spool.error().text);
  if (loss != Loss::some) REQUIRE(spool->damage().empty());
  std::set<std::string> found;
  for (const auto& waiting : spool->waiting()) {
    REQUIRE(promise.may.contains(waiting.uuid));
    REQUIRE(found.insert(waiting.uuid).second);
    bool whole = false;
    for (int i = 1; i <= 6; ++i) whole = whole || same_bytes(waiting) == same_bytes(samples::point(i));
    REQUIRE(whole);
  }
  for (const auto& waiting : spool->waiting_shots()) {
    REQUIRE(promise.may.contains(waiting.uuid));
    REQUIRE(found.insert(waiting.uuid).second);
    bool whole = false;
    for (int i = 2; i <= 6; i += 2) whole = whole || pointbook::encode(waiting) == pointbook::encode(samples::shot(i));
    REQUIRE(whole);
  }
  for (const std::string& uuid : promise.must) REQUIRE(found.contains(uuid));
  REQUIRE(spool->append(samples::point(9)).has_value());
}

}  // namespace

TEST_CASE("after a power cut at any operation every acknowledged point is there") {
  const std::uint64_t operations = cut_everywhere(Way::with_spool, nothing);
  MESSAGE(operations << " operations, each cut in " << std::size(kCuts) << " ways");
  CHECK(operations > 60);
}

TEST_CASE("the pointbook alone keeps every point that append has returned") {
  const std::uint64_t operations = cut_everywhere(Way::without_spool, nothing);
  MESSAGE(operations << " operations, each cut in two ways");
  CHECK(operations > 60);
}

TEST_CASE("a pointbook found in WAL mode keeps every point that append has returned") {
  const std::uint64_t operations = cut_everywhere(Way::without_spool, book_in_wal_mode);
  MESSAGE(operations << " operations, each cut in two ways");
  CHECK(operations > 20);
}

TEST_CASE("after a power cut at any operation the spool has every point it acknowledged and was not told to forget") {
  std::uint64_t operation = 1;
  for (bool finished = false; !finished; ++operation) {
    CAPTURE(operation);
    ForgetfulStore store;
    store.cut_power_at(operation);
    const Promise promise = work_on_spool(store);
    finished = !store.power_is_off();
    if (finished) CHECK(promise.must.size() == 2);
    for (std::uint64_t seed = 0; seed < 50; ++seed) {
      CAPTURE(seed);
      const Loss loss = seed == 0 ? Loss::all : seed == 1 ? Loss::nothing : Loss::some;
      check_spool(store.after_power_cut(loss, seed), promise, loss);
    }
  }
  MESSAGE((operation - 2) << " operations, each cut in 50 ways");
  CHECK(operation > 20);
}

TEST_CASE("the forgetful disk knows safe journals from unsafe ones") {
  struct Row {
    const char* name;
    const char* pragmas;
    const char* rows;
  };
  const Row rows[] = {
      {"truncated and synced: the commit stays", "PRAGMA journal_mode = TRUNCATE; PRAGMA synchronous = FULL;", "1"},
      {"unlinked, folder synced: the commit stays", "PRAGMA journal_mode = DELETE; PRAGMA synchronous = EXTRA;", "1"},
      {"unlinked, folder not synced: the commit is undone", "PRAGMA journal_mode = DELETE; PRAGMA synchronous = FULL;",
       "0"},
      {"nothing synced: nothing is left", "PRAGMA journal_mode = TRUNCATE; PRAGMA synchronous = OFF;", "none"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    CHECK(rows_after_commit_and_cut(row.pragmas) == row.rows);
  }
}
