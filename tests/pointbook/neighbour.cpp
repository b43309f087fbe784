// Another program beside the pointbook's tests.
//
//   neighbour read FILE      takes a read transaction, says "holding COUNT", keeps it until its input ends
//   neighbour write FILE     the same with a write transaction
//   neighbour exclusive FILE the same with one that nobody else can read beside
//   neighbour sql FILE SQL   runs the statements, says each row's values, then "ok" or the error
//   neighbour keep FILE      opens the pointbook as its writer, says "open" or why not, keeps it until its input ends
//   neighbour store FILE N   spools and stores points and check shots N, N+1, … as fast as it can, and says
//                            "spooled UUID", "stored UUID"

#include <sqlite3.h>

#include <cstdio>
#include <cstdlib>
#include <string>

#include "pointbook/samples.hpp"
#include "pointbook/spatial_index.hpp"
#include "pointbook/spool.hpp"

namespace {

using namespace stillpoint;

void say(const std::string& text) {
  std::printf("%s\n", text.c_str());
  std::fflush(stdout);
}

void wait_for_end_of_input() {
  while (std::getchar() != EOF) {
  }
}

int say_row(void*, int count, char** values, char**) {
  std::string row;
  for (int i = 0; i < count; ++i) row += (i == 0 ? "" : "|") + std::string(values[i] == nullptr ? "" : values[i]);
  say(row);
  return 0;
}

bool run(sqlite3* database, const char* sql) {
  char* error = nullptr;
  const bool good = sqlite3_exec(database, sql, say_row, nullptr, &error) == SQLITE_OK;
  say(good ? "ok" : error);
  sqlite3_free(error);
  return good;
}

int hold(const char* file, const char* begin) {
  sqlite3* database = nullptr;
  bool good = sqlite3_open_v2(file, &database, SQLITE_OPEN_READWRITE, nullptr) == SQLITE_OK;
  good = good && run(database, begin) && run(database, "SELECT count(*) FROM points");
  if (good) wait_for_end_of_input();
  sqlite3_close(database);
  return good ? 0 : 1;
}

/// As a GIS program does, which knows the functions that the triggers of a spatial index call.
int run_sql(const char* file, const char* sql) {
  sqlite3* database = nullptr;
  const bool good = sqlite3_open_v2(file, &database, SQLITE_OPEN_READWRITE, nullptr) == SQLITE_OK &&
                    pointbook::add_spatial_functions(database) == SQLITE_OK && run(database, sql);
  sqlite3_close(database);
  return good ? 0 : 1;
}

int keep(const char* file) {
  const auto book = pointbook::Book::open(file, samples::geographic());
  say(book ? "open" : book.error().text);
  if (book) wait_for_end_of_input();
  return book ? 0 : 1;
}

template <class Row>
bool spool(pointbook::Spool& spool, const Row& row) {
  if (!spool.append(row)) return false;
  say("spooled " + row.uuid);
  return true;
}

template <class Row>
bool move_on(pointbook::Book& book, pointbook::Spool& spool, const std::vector<Row>& rows) {
  for (const Row& waiting : rows) {
    if (!book.append(waiting)) continue;
    say("stored " + waiting.uuid);
    if (!spool.settle(waiting.uuid)) return false;
  }
  return true;
}

int store(const char* file, int first) {
  auto book = pointbook::Book::open(file, samples::geographic());
  auto waiting = pointbook::Spool::open(file);
  if (!book || !waiting) {
    say("failed " + (book ? waiting.error().text : book.error().text));
    return 1;
  }
  for (int number = first;; ++number) {
    if (!spool(*waiting, samples::point(number, 40)) || !spool(*waiting, samples::shot(number))) return 1;
    if (!move_on(*book, *waiting, std::vector(waiting->waiting()))) return 1;
    if (!move_on(*book, *waiting, std::vector(waiting->waiting_shots()))) return 1;
  }
}

}  // namespace

int main(int count, char** words) {
  if (count < 3) return 2;
  const std::string what = words[1];
  if (what == "read") return hold(words[2], "BEGIN");
  if (what == "write") return hold(words[2], "BEGIN IMMEDIATE");
  if (what == "exclusive") return hold(words[2], "BEGIN EXCLUSIVE");
  if (what == "keep") return keep(words[2]);
  if (what == "sql" && count == 4) return run_sql(words[2], words[3]);
  if (what == "store" && count == 4) return store(words[2], std::atoi(words[3]));
  return 2;
}
