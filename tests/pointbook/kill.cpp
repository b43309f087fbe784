// Kills a program that stores points and check shots, again and again at random moments, and looks at what is left:
// every one that was acknowledged is there, nothing is there twice, and the file is sound.
//
//   pointbook_kill ROUNDS [SEED [migration]]
//
// With `migration` each round begins with a book of schema 1, and the program dies while it brings that up to date.

#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <map>
#include <random>
#include <set>

#include "pointbook/old_book.hpp"
#include "pointbook/process.hpp"
#include "pointbook/reader.hpp"
#include "pointbook/samples.hpp"
#include "pointbook/spool.hpp"

namespace {

using namespace stillpoint;

struct Tally {
  std::set<std::string> acknowledged;
  int next = 1;          ///< number of the next point
  int replayed = 0;      ///< what only the spool had
  int torn_commits = 0;  ///< points in the book that were never said to be stored
  int torn_writes = 0;   ///< spools that end within an entry: the kill fell into a write, before its answer
};

/// Lets the program run for a random number of lines and a random time after the last one, then kills it.
void run_and_kill(const std::string& file, Tally& tally, std::mt19937_64& random, std::set<std::string>& stored,
                  std::uint64_t most_lines) {
  samples::Process child({STILLPOINT_NEIGHBOUR, "store", file, std::to_string(tally.next)});
  const auto lines = static_cast<long>(random() % most_lines);
  const auto note = [&](const std::optional<std::string>& line) {
    if (!line) return;
    if (line->rfind("spooled ", 0) == 0) tally.acknowledged.insert(line->substr(8));
    if (line->rfind("stored ", 0) == 0) stored.insert(line->substr(7));
    if (line->rfind("failed", 0) == 0) std::printf("%s\n", line->c_str());
  };
  for (long i = 0; i < lines; ++i) note(child.line());
  const auto end = std::chrono::steady_clock::now() + std::chrono::microseconds(random() % 5000);
  while (std::chrono::steady_clock::now() < end) note(child.line_within(100));
  child.kill();
  // What it had said before it died counts as well.
  while (const auto line = child.line()) note(line);
}

bool wrong(const std::string& sentence) {
  std::printf("WRONG: %s\n", sentence.c_str());
  return false;
}

/// What the spool still has goes into the book, as at a start.
template <class Row>
bool take_back(pointbook::Book& book, pointbook::Spool& spool, const std::vector<Row>& waiting,
               const std::set<std::string>& before, Tally& tally) {
  for (const Row& row : waiting) {
    tally.replayed += before.contains(row.uuid) ? 0 : 1;
    if (const auto done = book.append(row); !done) return wrong(done.error().text);
    if (const auto done = spool.settle(row.uuid); !done) return wrong(done.error().text);
  }
  return true;
}

bool look(const std::string& file, Tally& tally, const std::set<std::string>& stored) {
  auto book = pointbook::Book::open(file, samples::geographic());
  if (!book) return wrong(book.error().text);
  std::set<std::string> before;
  const auto there = pointbook::read_contents(file);
  if (!there) return wrong(there.error().text);
  for (const auto& point : there->versions) before.insert(point.uuid);
  for (const auto& shot : there->checks) before.insert(shot.uuid);
  for (const std::string& uuid : stored) {
    if (!before.contains(uuid)) return wrong("stored, but not in the pointbook: " + uuid);
  }
  auto spool = pointbook::Spool::open(file);
  if (!spool) return wrong(spool.error().text);
  // A write of several pages can be cut between two of them. It had no answer, or it is missed below.
  if (spool->damage().size() > 1) return wrong(spool->damage().back());
  tally.torn_writes += static_cast<int>(spool->damage().size());
  if (!take_back(*book, *spool, std::vector(spool->waiting()), before, tally)) return false;
  if (!take_back(*book, *spool, std::vector(spool->waiting_shots()), before, tally)) return false;
  const auto all = pointbook::read_contents(file);
  if (!all) return wrong(all.error().text);
  std::map<std::string, int> found;
  for (const auto& point : all->versions) ++found[point.uuid];
  for (const auto& shot : all->checks) ++found[shot.uuid];
  for (const std::string& uuid : tally.acknowledged) {
    if (found[uuid] != 1) return wrong("acknowledged, found " + std::to_string(found[uuid]) + " times: " + uuid);
  }
  const auto audit = book->audit();
  if (!audit) return wrong(audit.error().text);
  for (const std::string& sentence : *audit) return wrong(sentence);
  while (found.contains(samples::uuid(tally.next)) || found.contains(samples::shot_uuid(tally.next))) ++tally.next;
  return true;
}

/// Kills the program while it migrates a book, each time a new one; the rows of before are looked at as well.
int kill_migrations(int rounds, std::mt19937_64& random) {
  int halfway = 0;
  for (int round = 1; round <= rounds; ++round) {
    samples::Folder folder;
    const std::string file = folder.file("day.gpkg");
    samples::write_book_of_schema_1(file);
    const auto before = pointbook::read_contents(file);
    Tally tally;
    tally.next = 100;
    std::set<std::string> stored;
    for (const auto& point : before->versions) stored.insert(point.uuid);
    for (const auto& shot : before->checks) stored.insert(shot.uuid);
    run_and_kill(file, tally, random, stored, 2);
    if (samples::read_file(file + "-journal").size() > 0) ++halfway;
    if (!look(file, tally, stored)) return std::printf("round %d of %d\n", round, rounds), 1;
  }
  std::printf("%d kills of a migration, %d of them with a journal left to roll back, no row lost\n", rounds, halfway);
  return 0;
}

}  // namespace

int main(int count, char** words) {
  const int rounds = count > 1 ? std::atoi(words[1]) : 20;
  const std::uint64_t seed = count > 2 ? std::strtoull(words[2], nullptr, 10) : 20260603;
  std::mt19937_64 random(seed);
  if (count > 3) return kill_migrations(rounds, random);
  samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  Tally tally;
  std::set<std::string> stored;
  for (int round = 1; round <= rounds; ++round) {
    run_and_kill(file, tally, random, stored, 20);
    if (!look(file, tally, stored)) {
      std::printf("round %d of %d, seed %llu\n", round, rounds, static_cast<unsigned long long>(seed));
      return 1;
    }
  }
  std::printf(
      "%d kills, %zu points and shots acknowledged, %d found only in the spool, %d writes cut, none lost, none twice\n",
      rounds, tally.acknowledged.size(), tally.replayed, tally.torn_writes);
  return tally.acknowledged.empty() ? 1 : 0;
}
