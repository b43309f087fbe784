// A day of its own, without a socket, a feed or signals.

#include <doctest/doctest.h>
#include <stdlib.h>  // mkdtemp

#include <algorithm>
#include <atomic>
#include <boost/asio/executor_work_guard.hpp>
#include <filesystem>
#include <fstream>
#include <map>
#include <memory>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

#include "common/clock.hpp"
#include "common/timers.hpp"
#include "day/day.hpp"
#include "pointbook/faulty_disk.hpp"
#include "pointbook/happened.hpp"
#include "pointbook/reader.hpp"
#include "support/epochs.hpp"
#include "support/nmea_text.hpp"

namespace {

using namespace stillpoint;
using namespace stillpoint::daemon;
using std::chrono::seconds;
using support::Second;

struct Folder {
  std::filesystem::path path;
  Folder() {
    std::string name = (std::filesystem::temp_directory_path() / "stillpoint-day-XXXXXX").string();
    REQUIRE(::mkdtemp(name.data()) != nullptr);
    path = name;
    std::filesystem::create_directory(path / "record");
  }
  ~Folder() {
    std::error_code ignored;
    std::filesystem::remove_all(path, ignored);
  }
};

config::Settings settings_in(const Folder& folder) {
  config::Settings settings = support::settings();
  settings.project.pointbook = (folder.path / "day.gpkg").string();
  settings.project.record = (folder.path / "record").string();
  settings.alerts.disk_free_mib = 0;
  return settings;
}

/// The hands of a day; the receiver's seconds come when the test says so.
struct Hands {
  config::Settings settings;
  geodesy::Frames frames = geodesy::Frames::open(settings).value();
  boost::asio::io_context io;
  boost::asio::executor_work_guard<boost::asio::io_context::executor_type> stays{io.get_executor()};
  std::unique_ptr<Store> store;
  std::unique_ptr<PairCatalogue> pairs;
  std::unique_ptr<Day> day;
  std::vector<session::StoreStatus> told;  ///< of the store, with every change of the status
  std::vector<std::string> safe;           ///< points

  explicit Hands(const Folder& folder, pointbook::Disk& disk = pointbook::system_disk(),
                 pointbook::Disk& record_disk = pointbook::system_disk())
      : settings(settings_in(folder)) {
    pointbook::Identity identity;
    identity.project = settings.project.name;
    identity.frame = frames.project_frame();
    identity.frame_wkt = frames.project_frame_wkt();
    const std::string& book = settings.project.pointbook;
    store = std::make_unique<Store>(pointbook::Book::open(book, identity).value(),
                                    pointbook::Spool::open(book, disk).value(), book);
    const auto anchor = [] { return record::JournalHead{UtcTime{1'780'495'200'000}, SteadyTime{0}, true}; };
    auto recorder = std::make_unique<Recorder>(settings.project.record, anchor, record_disk);
    pairs = std::make_unique<PairCatalogue>(settings.project.record);
    REQUIRE(pairs->open());
    day = std::make_unique<Day>(io, settings, session::Session(settings, std::move(frames), {}), std::move(recorder),
                                *pairs, *store);
    DayHooks hooks;
    hooks.alert = [](const session::Alert&) {};
    hooks.status_changed = [this] { told.push_back(day->status().store); };
    hooks.point = [this](const occupation::StoredPoint& point) { safe.push_back(point.point.name); };
    day->start(std::move(hooks), "of a test");
    day->feed(session::FeedState::open, "a test", SteadyTime{0});
  }
  ~Hands() { store->stop(); }

  void run(int from_s, int to_s) {
    for (int t = from_s; t < to_s; ++t) {
      Second second;
      second.t_s = t;
      second.up_m += 0.0001 * (t % 7);
      day->bytes(second.text(), SteadyTime{t * 1000 + 80});
    }
  }
  template <class Condition>
  bool hears_until(Condition condition) {
    const auto deadline = std::chrono::steady_clock::now() + seconds(60);
    while (!condition() && std::chrono::steady_clock::now() < deadline) io.run_one_for(seconds(1));
    return condition();
  }
  bool has_told(std::size_t spooled, std::size_t stored, std::size_t waiting) const {
    const auto& last = told.back();
    return last.spooled == spooled && last.stored == stored && last.waiting == waiting;
  }
  int alerts_of(const std::string& key) const {
    const auto all = day->alerts();
    return static_cast<int>(std::count_if(all.begin(), all.end(), [&](const auto& a) { return a.key == key; }));
  }
};

}  // namespace

TEST_CASE("a day says at its start what was found damaged in the spool, and nothing where all is whole") {
  const Folder folder;
  { CHECK(Hands(folder).alerts_of("spool-damaged") == 0); }
  {
    std::ofstream spool(folder.path / "day.gpkg.spool", std::ios::app | std::ios::binary);
    REQUIRE(spool.is_open());
    spool << "these bytes are no entry of a spool, and long enough for the head of one";
  }
  const Hands hands(folder);
  CHECK(hands.alerts_of("spool-damaged") == 1);
  const auto status = hands.day->status();
  REQUIRE_FALSE(status.alerts.empty());
  CHECK(status.alerts.front().text.find("day.gpkg.spool") != std::string::npos);
}

TEST_CASE("that a point reached the pointbook is told although nothing else happens") {
  const Folder folder;
  Hands hands(folder);
  hands.run(0, 10);
  REQUIRE(hands.day->acts().carry_out(record::Occupy{"CUL-14", "", "", false, {}}, "A", SteadyTime{9'500}).done);
  hands.run(10, 50);
  bool kept = false;
  hands.day->acts().keep("A", SteadyTime{49'500}, [&](const auto& point) { kept = point.has_value(); });
  CHECK(hands.safe.empty());
  CHECK(hands.hears_until([&] { return hands.has_told(1, 0, 1); }));
  CHECK(kept);
  CHECK(hands.safe == std::vector<std::string>{"CUL-14"});
  CHECK(hands.hears_until([&] { return hands.has_told(1, 1, 0); }));
}

TEST_CASE("a day that ends hears first what time has brought") {
  for (const int end_s : {12, 14}) {
    CAPTURE(end_s);
    const Folder folder;
    Hands hands(folder);
    hands.run(0, 10);
    // Silent for three seconds and more: nobody has asked since.
    hands.day->finish(SteadyTime{end_s * 1000});
    CHECK(hands.alerts_of("feed-silent") == (end_s == 14 ? 1 : 0));
  }
}

TEST_CASE("an open stay stays open while its point would have no place, and none begins") {
  const Folder folder;
  samples::FaultyDisk disk;
  Hands hands(folder, disk);
  Day& day = *hands.day;
  const auto asked = [&](const auto& ask) {
    std::optional<Result<occupation::StoredPoint>> answer;
    ask([&](const Result<occupation::StoredPoint>& point) { answer = point; });
    REQUIRE(hands.hears_until([&] { return answer.has_value(); }));
    return *answer;
  };
  const auto keep = [&](int at_ms) { return asked([&](auto done) { day.acts().keep("A", SteadyTime{at_ms}, done); }); };
  const auto occupy = [&](const char* name, int at_ms) {
    return day.acts().carry_out(record::Occupy{name, "", "", false, {}}, "A", SteadyTime{at_ms});
  };
  hands.run(0, 10);
  REQUIRE(occupy("EARLY", 9'500).done);
  hands.run(10, 50);
  REQUIRE(keep(49'500));
  REQUIRE(occupy("HF-1", 49'600).done);
  hands.run(50, 90);
  disk.fail({"", samples::Call::write, ENOSPC}, 1, false);
  const auto rejected = asked([&](auto done) {
    day.acts().resolve({"EARLY", {}, false, false, "a wrong pole", "A"}, SteadyTime{89'500}, done);
  });
  REQUIRE_FALSE(rejected);
  CHECK(rejected.error().text.find("not yet safe") != std::string::npos);
  CHECK(hands.alerts_of("spool-failed") == 1);
  const auto refused = keep(89'600);
  REQUIRE_FALSE(refused);
  CHECK(refused.error().text.find("no space is left on the disk; free some space; HF-1 stays open") !=
        std::string::npos);
  REQUIRE(day.session().open_stand() != nullptr);
  REQUIRE(day.acts().carry_out(record::Drop{}, "A", SteadyTime{89'700}).done);
  const auto begun = occupy("HF-2", 89'800);
  CHECK_FALSE(begun.done);
  CHECK(begun.text.find("points cannot be written: ") != std::string::npos);
  disk.heal();
  const auto is_active = [&] {
    const auto all = day.alerts();
    return std::any_of(all.begin(), all.end(), [](const auto& a) { return a.key == "spool-failed" && a.active; });
  };
  CHECK(hands.hears_until([&] { return !is_active(); }));
  REQUIRE(occupy("HF-2", 89'900).done);
  hands.run(90, 130);
  CHECK(keep(129'500));
}

TEST_CASE("a day whose record folder is replaced under it says so, cuts, and goes on in the new one") {
  const Folder folder;
  Hands hands(folder);
  hands.run(0, 10);
  REQUIRE(hands.day->acts().carry_out(record::Occupy{"HF-1", "", "", false, {}}, "A", SteadyTime{9'500}).done);
  hands.run(10, 20);
  std::filesystem::rename(folder.path / "record", folder.path / "away");
  std::filesystem::create_directory(folder.path / "record");
  const auto began = machine_now();
  while (hands.alerts_of("record-failed") == 0 && machine_now().ms - began.ms < 60'000) {
    hands.day->tick(SteadyTime{19'500});
  }
  CHECK(hands.alerts_of("record-failed") == 1);
  CHECK(hands.day->session().open_stand() == nullptr);
  hands.run(20, 30);
  CHECK(hands.day->acts().carry_out(record::Occupy{"HF-2", "", "", false, {}}, "A", SteadyTime{29'500}).done);
  CHECK_FALSE(std::filesystem::is_empty(folder.path / "record"));
}

namespace {

/// Notes what is synced, and what is written to the spool.
class NotingDisk final : public samples::PassingDisk {
 public:
  int open(const std::string& path) override { return named(PassingDisk::open(path), path); }
  int create(const std::string& path) override { return named(PassingDisk::create(path), path); }
  std::int64_t write_at(int fd, const char* from, std::size_t size, std::uint64_t at) override {
    if (ending(fd) == ".spool") note("written .spool");
    return PassingDisk::write_at(fd, from, size, at);
  }
  int sync_data(int fd) override {
    const int code = PassingDisk::sync_data(fd);
    note("synced " + ending(fd));
    return code;
  }
  int sync_folder(const std::string& folder) override {
    note("synced names");
    return PassingDisk::sync_folder(folder);
  }
  void note(const std::string& what) {
    const std::lock_guard lock(mutex_);
    notes_.push_back(what);
  }
  std::vector<std::string> notes() {
    const std::lock_guard lock(mutex_);
    return notes_;
  }

 private:
  int named(int fd, const std::string& path) {
    const std::lock_guard lock(mutex_);
    endings_[fd] = std::filesystem::path(path).extension().string();
    return fd;
  }
  std::string ending(int fd) {
    const std::lock_guard lock(mutex_);
    return endings_[fd];
  }
  std::mutex mutex_;
  std::map<int, std::string> endings_;
  std::vector<std::string> notes_;
};

}  // namespace

TEST_CASE("a keep is synced in the journal, then in the bytes, then its point in the spool, and then answered") {
  const Folder folder;
  NotingDisk disk;
  Hands hands(folder, disk, disk);
  hands.run(0, 10);
  REQUIRE(hands.day->acts().carry_out(record::Occupy{"CUL-14", "", "", false, {}}, "A", SteadyTime{9'500}).done);
  hands.run(10, 50);
  disk.note("keep");
  hands.day->acts().keep("A", SteadyTime{49'500},
                         [&](const auto& point) { disk.note(point ? "answered" : "refused"); });
  const auto has = [&](const std::string& what) {
    const auto notes = disk.notes();
    return std::find(notes.begin(), notes.end(), what) != notes.end();
  };
  REQUIRE(hands.hears_until([&] { return has("answered") || has("refused"); }));
  const auto notes = disk.notes();
  auto at = std::find(notes.begin(), notes.end(), "keep");
  for (const char* next : {"synced .journal", "synced .nmea", "written .spool", "synced .spool", "answered"}) {
    CAPTURE(next);
    const auto found = std::find(at, notes.end(), next);
    CHECK(found != notes.end());
    at = found;
  }
  // Nothing of the point went to the spool before its keep was synced.
  const auto kept = std::find(notes.begin(), notes.end(), "keep");
  const auto synced = std::find(kept, notes.end(), "synced .nmea");
  CHECK(std::find(kept, synced, "written .spool") == synced);
  CHECK(has("synced names"));
}

TEST_CASE("a record whose sync never ends keeps no point out of the spool for longer than its patience") {
  const Folder folder;
  std::atomic<bool> stuck = false;
  class StuckDisk final : public samples::PassingDisk {
   public:
    explicit StuckDisk(std::atomic<bool>& stuck) : stuck_(stuck) {}
    int sync_data(int fd) override {
      while (stuck_) std::this_thread::yield();
      return PassingDisk::sync_data(fd);
    }

   private:
    std::atomic<bool>& stuck_;
  } disk(stuck);
  const double before = std::exchange(timer_speed, 20.0);
  {
    Hands hands(folder, pointbook::system_disk(), disk);
    hands.run(0, 10);
    REQUIRE(hands.day->acts().carry_out(record::Occupy{"CUL-14", "", "", false, {}}, "A", SteadyTime{9'500}).done);
    hands.run(10, 50);
    stuck = true;
    std::optional<bool> kept;
    hands.day->acts().keep("A", SteadyTime{49'500}, [&](const auto& point) { kept = point.has_value(); });
    const auto ticking = [&] {
      hands.day->tick(SteadyTime{49'500});
      return kept.has_value();
    };
    hands.io.poll();
    CHECK_FALSE(kept);
    const auto deadline = std::chrono::steady_clock::now() + seconds(60);
    while (!ticking() && std::chrono::steady_clock::now() < deadline) hands.io.poll();
    stuck = false;
    CHECK(kept.value_or(false));
  }
  timer_speed = before;
}

TEST_CASE("both ends of an alert are told by the day's own clock, whatever the machine's says") {
  const Folder folder;
  Hands hands(folder);
  // 14:00:00 of the log is second 0; the machine's clock is somewhere else.
  const auto undated = [&](int t) {
    Second second;
    second.t_s = t;
    second.date = "";
    second.rmc = false;
    hands.day->bytes(second.text(), SteadyTime{t * 1000 + 80});
  };
  hands.run(0, 10);
  hands.day->tick(SteadyTime{20'000});  // silent since second 9
  for (int t = 20; t < 40; ++t) undated(t);
  hands.day->tick(SteadyTime{40'000});
  // The store writes in order: behind this one all others are in the book.
  std::atomic<bool> written = false;
  hands.store->submit(pointbook::event_of(UtcTime{0}, "last", "", ""), [&](const auto&) { written = true; });
  REQUIRE(hands.hears_until([&] { return written.load(); }));
  hands.store->stop();
  const auto events = pointbook::read_contents((folder.path / "day.gpkg").string()).value().events;
  std::optional<UtcTime> from, until;
  for (const pointbook::Event& event : events) {
    if (event.kind != "feed-silent") continue;
    (pointbook::occurrence_of(event).over ? until : from) = event.utc;
  }
  REQUIRE(from.has_value());
  REQUIRE(until.has_value());
  CHECK(until->ms - from->ms >= 0);
  CHECK(until->ms - from->ms < 60'000);
}
