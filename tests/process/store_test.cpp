// The store on a disk that fails, and the room on the disks, without a process around them.

#include <doctest/doctest.h>

#include <algorithm>
#include <atomic>
#include <cerrno>
#include <functional>
#include <future>
#include <map>
#include <thread>

#include "keeping/disk_watch.hpp"
#include "keeping/store.hpp"
#include "pointbook/faulty_disk.hpp"
#include "pointbook/passing_disk.hpp"
#include "pointbook/samples.hpp"
#include "quick.hpp"

using namespace stillpoint;
using namespace stillpoint::daemon;

namespace {

/// The machine's disk, until it takes nothing more.
class FullDisk final : public samples::PassingDisk {
 public:
  std::int64_t write_at(int fd, const char* from, std::size_t size, std::uint64_t at) override {
    return full ? -ENOSPC : PassingDisk::write_at(fd, from, size, at);
  }
  std::atomic<bool> full = false;
};

/// What the store says, by uuid.
class News {
 public:
  StoreNews hear() {
    StoreNews news;
    news.spooled = [this](const std::string& uuid, const Result<void>& done) {
      const std::lock_guard lock(mutex_);
      told_[uuid] = done ? "spooled" : done.error().text;
      troubles_ += done ? 0 : 1;
      wake_.notify_all();
    };
    news.stored = [this](const std::string& uuid) {
      const std::lock_guard lock(mutex_);
      told_[uuid] = "stored";
      wake_.notify_all();
    };
    news.waiting = [](const std::string&) {};
    news.damaged = [this](const std::string& text) {
      const std::lock_guard lock(mutex_);
      told_["the spool"] = text;
      wake_.notify_all();
    };
    news.open_unsaved = [this](const std::string& text) {
      const std::lock_guard lock(mutex_);
      troubles_ += text.empty() ? 0 : 1;
      wake_.notify_all();
    };
    return news;
  }
  /// Waits until it was told something that contains the words.
  bool tells(const std::string& uuid, const std::string& words) {
    std::unique_lock lock(mutex_);
    return wake_.wait_for(lock, std::chrono::seconds(60),
                          [&] { return told_.contains(uuid) && told_[uuid].find(words) != std::string::npos; });
  }

  /// Waits until so many points and shots are stored, or that is over.
  void wait_for_stored(std::size_t count, const std::function<bool()>& is_over) {
    const auto stored = [&] {
      const std::lock_guard lock(mutex_);
      return static_cast<std::size_t>(
          std::count_if(told_.begin(), told_.end(), [](const auto& one) { return one.second == "stored"; }));
    };
    while (stored() < count && !is_over()) std::this_thread::yield();
  }
  bool had_trouble() {
    const std::lock_guard lock(mutex_);
    return troubles_ > 0;
  }

 private:
  int troubles_ = 0;
  std::mutex mutex_;
  std::condition_variable wake_;
  std::map<std::string, std::string> told_;
};

std::unique_ptr<Store> store_in(const samples::Folder& folder, pointbook::Disk& disk) {
  const std::string path = folder.file("day.gpkg");
  auto book = pointbook::Book::open(path, samples::geographic());
  REQUIRE(book.has_value());
  auto spool = pointbook::Spool::open(path, disk);
  REQUIRE(spool.has_value());
  return std::make_unique<Store>(std::move(*book), std::move(*spool), path);
}

}  // namespace

TEST_CASE("while the spool takes nothing everybody who waits is told why, and all is stored when it takes again") {
  const samples::Folder folder;
  FullDisk disk;
  News news;
  const auto store = store_in(folder, disk);
  disk.full = true;
  store->start(news.hear());
  store->submit(samples::point(1));
  store->submit(samples::point(2));
  store->submit(samples::shot(3));
  for (const std::string& uuid : {samples::uuid(1), samples::uuid(2), samples::shot_uuid(3)}) {
    CHECK(news.tells(uuid, "no space is left"));
  }
  store->submit(samples::shot(4));
  CHECK(news.tells(samples::shot_uuid(4), "no space is left"));
  disk.full = false;
  for (const std::string& uuid : {samples::uuid(1), samples::uuid(2), samples::shot_uuid(3), samples::shot_uuid(4)}) {
    CHECK(news.tells(uuid, "stored"));
  }
  store->stop();
  CHECK(store->lost().titles.empty());
}

TEST_CASE("what was spooled before is stored while the spool takes nothing new") {
  const samples::Folder folder;
  FullDisk disk;
  {
    auto spool = pointbook::Spool::open(folder.file("day.gpkg"), disk);
    REQUIRE((spool && spool->append(samples::point(1)) && spool->append(samples::point(2))));
  }
  News news;
  const auto store = store_in(folder, disk);
  disk.full = true;
  store->submit(samples::point(3));
  store->submit(pointbook::Event{UtcTime{0}, "started", "the day began", ""}, [&](const Result<void>& done) {
    if (done) disk.full = false;  // only then: the event did not wait for the spool
  });
  store->start(news.hear());
  CHECK(news.tells(samples::uuid(3), "stored"));
}

TEST_CASE("what could be written nowhere is lost by name when the store stops, after one last try") {
  const samples::Folder folder;
  FullDisk disk;
  News news;
  auto store = store_in(folder, disk);
  disk.full = true;
  store->start(news.hear());
  store->submit(samples::point(1));
  store->submit(samples::shot(2));
  CHECK(news.tells(samples::shot_uuid(2), "no space is left"));
  store->stop();
  const auto lost = store->lost();
  CHECK(lost.titles.size() == 2);
  CHECK(lost.why.find("no space is left") != std::string::npos);
  CHECK(lost.titles.at(0).find(samples::point(1).point.name) != std::string::npos);
  store.reset();
  disk.full = false;
  store = store_in(folder, disk);
  disk.full = true;
  store->start(news.hear());
  store->submit(samples::point(5));
  CHECK(news.tells(samples::uuid(5), "no space is left"));
  disk.full = false;
  store->stop();
  CHECK(store->lost().titles.empty());
}

TEST_CASE("each disk is full and low by itself, and one disk under both is told once") {
  std::map<std::string, DiskRoom> rooms;
  const auto ask = [&](const std::string& folder) -> std::optional<DiskRoom> {
    if (!rooms.contains(folder)) return std::nullopt;
    return rooms[folder];
  };
  struct Row {
    const char* name;
    DiskRoom record, book;
    bool record_full, book_full;
    const char *full, *low;
  };
  const Row rows[] = {
      {"room on both", {1, 500}, {2, 500}, false, false, "", ""},
      {"the pointbook's is low",
       {1, 500},
       {2, 99},
       false,
       false,
       "",
       "99 MiB free on the disk of the pointbook, limit 100 MiB"},
      {"the pointbook's is full",
       {1, 500},
       {2, 15.9},
       false,
       true,
       "16 MiB free on the disk of the pointbook",
       "16 MiB free on the disk of the pointbook, limit 100 MiB"},
      {"not yet room again",
       {1, 500},
       {2, 23.9},
       false,
       true,
       "24 MiB free on the disk of the pointbook",
       "24 MiB free on the disk of the pointbook, limit 100 MiB"},
      {"still low", {1, 500}, {2, 109}, false, false, "", "109 MiB free on the disk of the pointbook, limit 100 MiB"},
      {"room again", {1, 500}, {2, 111}, false, false, "", ""},
      {"the record's is full, the other low",
       {1, 9},
       {2, 50},
       true,
       false,
       "9 MiB free on the disk of the record",
       "9 MiB free on the disk of the record, 50 MiB free on the disk of the pointbook, limit 100 MiB"},
      {"both are one",
       {1, 9},
       {1, 9},
       true,
       true,
       "9 MiB free on the disk of the record and the pointbook",
       "9 MiB free on the disk of the record and the pointbook, limit 100 MiB"},
  };
  DiskWatch watch("record", "book", 100, ask);
  watch.look();
  CHECK_FALSE(watch.record_is_full());
  for (const Row& row : rows) {
    CAPTURE(row.name);
    rooms = {{"record", row.record}, {"book", row.book}};
    watch.look();
    CHECK(watch.record_is_full() == row.record_full);
    CHECK(watch.book_is_full() == row.book_full);
    CHECK(watch.full_text() == row.full);
    CHECK(watch.low_text() == row.low);
  }
  rooms.clear();
  watch.look();
  CHECK(watch.record_is_full());
  REQUIRE(disk_room("/"));
  CHECK(disk_room("/")->free_mib > 0);
  CHECK_FALSE(disk_room("/no/such/folder"));
}

TEST_CASE("whichever call of spool and open stay fails, it is told, and all is stored once the disk is well") {
  int runs = 0;
  for (const samples::Fault& fault : samples::kFaults) {
    CAPTURE(fault.name);
    for (const bool once : {true, false}) {
      CAPTURE(once);
      bool hit = true;
      for (std::uint64_t from = 1; hit; ++from) {
        CAPTURE(from);
        const Quick quick;
        const samples::Folder folder;
        samples::FaultyDisk disk;
        const auto store = store_in(folder, disk);
        OpenStay open_stay(folder.file("day.gpkg"));
        REQUIRE(open_stay.save(samples::point(8)));
        News news;
        disk.fail(fault, from, once);
        store->start(news.hear());
        store->submit(samples::point(1));
        store->submit(samples::point(2));
        store->submit(samples::shot(3));
        store->save_open(samples::point(4));
        if (!once) news.wait_for_stored(3, [&] { return disk.hits() > 1; });
        if (!once) disk.heal();
        for (const std::string& uuid : {samples::uuid(1), samples::uuid(2), samples::shot_uuid(3)}) {
          CHECK(news.tells(uuid, "stored"));
        }
        std::promise<void> drained;
        store->drain([&] { drained.set_value(); });
        drained.get_future().wait();
        store->stop();
        hit = disk.hits() > 0;
        CHECK((news.had_trouble() || !quick.log().empty()) == (hit && fault.error != EINTR));
        CHECK(store->lost().titles.empty());
        const auto left = open_stay.left();
        REQUIRE((left && *left));
        CHECK((*left)->uuid == samples::uuid(4));
        ++runs;
      }
    }
  }
  MESSAGE(runs << " runs");
  CHECK(runs > 100);
}
