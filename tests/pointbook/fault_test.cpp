// Every call of the spool fails in every way that fits, one at a time and from then on: what is said, what is kept.

#include <doctest/doctest.h>

#include <algorithm>
#include <cerrno>
#include <cstdlib>
#include <set>
#include <string>

#include "pointbook/faulty_disk.hpp"
#include "pointbook/forgetful.hpp"
#include "pointbook/samples.hpp"
#include "pointbook/spool.hpp"

namespace {

using namespace stillpoint;
using pointbook::Spool;
using samples::FaultyDisk;
using samples::ForgetfulDisk;
using samples::ForgetfulStore;

const std::string kBook = "/day.gpkg";

std::string uuid_of(int number) {
  return number % 2 == 0 ? samples::shot_uuid(number) : samples::uuid(number);
}

Result<void> take_step(Spool& spool, int step) {
  if (step < 0) return spool.settle(uuid_of(-step));
  return step % 2 == 0 ? spool.append(samples::shot(step)) : spool.append(samples::point(step));
}

std::set<std::string> waiting_in(const Spool& spool) {
  std::set<std::string> out;
  for (const auto& point : spool.waiting()) out.insert(point.uuid);
  for (const auto& shot : spool.waiting_shots()) out.insert(shot.uuid);
  return out;
}

/// A day of the spool on a disk that fails: each step is tried again, at last on a disk that is well. Returns how many
/// failures were told.
int work(FaultyDisk& disk) {
  int told = 0;
  std::optional<Spool> spool;
  for (int n = 0; n < 3 && !spool; ++n) {
    if (n == 2) disk.heal();
    auto opened = Spool::open(kBook, disk);
    if (opened) spool.emplace(std::move(*opened));
    if (!opened) ++told;
  }
  REQUIRE(spool);
  for (const int step : {1, 2, -1, 3, -2, -3, 4, 5, -4, 6}) {
    CAPTURE(step);
    bool done = false;
    for (int n = 0; n < 3 && !done; ++n) {
      if (n == 2) disk.heal();
      const auto result = take_step(*spool, step);
      done = result.has_value();
      if (!done) CHECK(result.error().text.find("day.gpkg.spool") != std::string::npos);
      if (!done) ++told;
    }
    REQUIRE(done);
  }
  CHECK(spool->damage().empty());
  CHECK(waiting_in(*spool) == std::set{uuid_of(5), uuid_of(6)});
  return told;
}

void check_next_start(const samples::Files& files, bool settles_count) {
  ForgetfulStore store(files);
  ForgetfulDisk disk(store);
  const auto spool = Spool::open(kBook, disk);
  REQUIRE_MESSAGE(spool.has_value(), spool.error().text);
  CHECK(spool->damage().empty());
  const auto found = waiting_in(*spool);
  if (settles_count) CHECK(found == std::set{uuid_of(5), uuid_of(6)});
  CHECK(found.contains(uuid_of(5)));
  CHECK(found.contains(uuid_of(6)));
}

}  // namespace

TEST_CASE("whichever call of the spool fails, it is told, tried again, and nothing acknowledged is lost") {
  int runs = 0;
  for (const samples::Fault& fault : samples::kFaults) {
    CAPTURE(fault.name);
    for (const bool once : {true, false}) {
      CAPTURE(once);
      bool hit = true;
      for (std::uint64_t from = 1; hit; ++from) {
        CAPTURE(from);
        ForgetfulStore store;
        ForgetfulDisk memory(store);
        FaultyDisk disk(memory);
        disk.fail(fault, from, once);
        const int told = work(disk);
        hit = disk.hits() > 0;
        // What fails while a failed write is taken back is told with the write.
        CHECK((told > 0) == (hit && fault.error != EINTR));
        check_next_start(store.after_power_cut(samples::Loss::nothing, 0), true);
        check_next_start(store.after_power_cut(samples::Loss::all, 0), false);
        ++runs;
      }
    }
  }
  MESSAGE(runs << " runs");
  CHECK(runs > 200);
}

TEST_CASE("a write that fails and cannot be taken back either leaves nothing behind once the disk is well") {
  ForgetfulStore store;
  ForgetfulDisk memory(store);
  class : public samples::PassingDisk {
   public:
    using PassingDisk::PassingDisk;
    std::int64_t write_at(int fd, const char* from, std::size_t size, std::uint64_t at) override {
      if (well) return PassingDisk::write_at(fd, from, size, at);
      (void)PassingDisk::write_at(fd, from, size / 2, at);
      return -EIO;
    }
    int truncate(int fd, std::uint64_t size) override { return well ? PassingDisk::truncate(fd, size) : -EIO; }
    bool well = true;
  } disk(memory);
  auto spool = Spool::open(kBook, disk);
  REQUIRE(spool);
  REQUIRE(spool->append(samples::point(5)));
  disk.well = false;
  CHECK_FALSE(spool->append(samples::shot(6)));
  CHECK_FALSE(spool->append(samples::shot(6)));
  disk.well = true;
  REQUIRE(spool->append(samples::shot(6)));
  check_next_start(store.after_power_cut(samples::Loss::all, 0), true);
}

// POSIX: read() gives 0 at the end of a file.
TEST_CASE("a file that became shorter while it was read gives what is there, and a failure is told") {
  class : public samples::PassingDisk {
   public:
    std::int64_t size(int) override { return 10; }
    std::int64_t read_at(int, char* into, std::size_t size, std::uint64_t at) override {
      if (failure != 0 && at >= 6) return failure;
      const std::size_t n = std::min({size, static_cast<std::size_t>(6 - at), std::size_t{4}});
      std::fill_n(into, n, 'a');
      return static_cast<std::int64_t>(n);
    }
    int failure = 0;
  } disk;
  std::string bytes;
  CHECK(pointbook::read_all(disk, 3, bytes) == 0);
  CHECK(bytes == "aaaaaa");
  disk.failure = -EIO;
  CHECK(pointbook::read_all(disk, 3, bytes) == -EIO);
}
