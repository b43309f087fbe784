// Every call of the record and its checksum files fails in every way that fits, one at a time and from then on.

#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <map>
#include <thread>

#include "keeping/checksum_file.hpp"
#include "keeping/recorder.hpp"
#include "pointbook/faulty_disk.hpp"
#include "pointbook/passing_disk.hpp"
#include "pointbook/samples.hpp"
#include "quick.hpp"

using namespace stillpoint;
using namespace stillpoint::daemon;

namespace {

struct Given {
  std::string bytes;
  int commands = 0;
  bool told = false;
  bool doubtful = false;
};

/// Brings a record that is down up again, at last on a disk that is well.
void bring_up(Recorder& recorder, samples::FaultyDisk& disk, SteadyTime at) {
  recorder.owe(R"({"event":"cut"})", at);
  for (int n = 0; n < 3 && recorder.is_down(); ++n) {
    if (n == 2) disk.heal();
    (void)recorder.try_again(at, true);
  }
  REQUIRE_FALSE(recorder.is_down());
}

Given record_a_day(const std::string& folder, samples::FaultyDisk& disk) {
  Given given;
  const record::JournalHead head{*parse_utc("2026-06-03T13:59:59Z"), SteadyTime{0}, true};
  Recorder recorder(
      folder, [&] { return head; }, disk);
  const auto note = [&](const Result<void>& done, SteadyTime at) {
    given.told |= !done;
    if (recorder.is_down()) bring_up(recorder, disk, at);
    return done.has_value();
  };
  for (int n = 1; n <= 8; ++n) {
    const SteadyTime at{n * 200};
    const std::string bytes(n % 3 == 0 ? 5000 : 10, static_cast<char>('a' + n));
    if (note(recorder.bytes(bytes, at), at)) given.bytes += bytes;
    note(recorder.command(R"({"command":"keep"})", at), at);  // when it fails, it is owed
    ++given.commands;
    if (n == 3) note(recorder.seal(at), at);
    note(recorder.look(), at);
  }
  given.told |= !recorder.close();
  given.doubtful = !recorder.list().doubtful().empty();
  return given;
}

struct Read {
  std::string bytes;
  int commands = 0;
  std::size_t pairs = 0, sealed = 0;
};

Read read_back(const std::string& folder) {
  Read out;
  std::vector<std::string> logs;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    if (entry.path().extension() == ".nmea") logs.push_back(entry.path().string());
    out.sealed += entry.path().extension() == ".sha256" ? 1U : 0U;
  }
  out.pairs = logs.size();
  std::sort(logs.begin(), logs.end());
  for (const std::string& log : logs) {
    CAPTURE(log);
    const std::string bytes = samples::read_file(log);
    const auto journal = record::parse_journal(samples::read_file(record::journal_path_of(log)));
    REQUIRE(journal);
    std::uint64_t end = 0;
    for (const auto& line : journal->lines) {
      end = line.offset;
      out.commands += line.command.find("keep") != std::string::npos ? 1 : 0;
    }
    CHECK(end == bytes.size());
    out.bytes += bytes;
  }
  return out;
}

}  // namespace

TEST_CASE("whichever call of the record fails, it is told, and the files say what the session got") {
  int runs = 0;
  for (const samples::Fault& fault : samples::kFaults) {
    CAPTURE(fault.name);
    for (const bool once : {true, false}) {
      CAPTURE(once);
      bool hit = true;
      for (std::uint64_t from = 1; hit && from < 40; ++from) {
        CAPTURE(from);
        const Quick quick;
        const samples::Folder folder;
        samples::FaultyDisk disk;
        disk.fail(fault, from, once);
        const Given given = record_a_day(folder.path(), disk);
        hit = disk.hits() > 0;
        const bool told = given.told || !quick.log().empty();
        CAPTURE(quick.log());
        CHECK(told == (hit && fault.error != EINTR));
        const Read read = read_back(folder.path());
        CHECK(read.bytes == given.bytes);
        CHECK(read.commands == given.commands);
        if (!hit) CHECK(read.sealed == read.pairs);
        ++runs;
      }
    }
  }
  MESSAGE(runs << " runs");
  CHECK(runs > 300);
}

TEST_CASE("a sync of the record that fails ends the pair, and stays in doubt until the day is closed") {
  const Quick quick;
  const samples::Folder folder;
  samples::FaultyDisk disk;
  Recorder recorder(
      folder.path(), [] { return record::JournalHead{}; }, disk);
  REQUIRE(recorder.bytes("a", SteadyTime{1}));
  disk.fail({"", samples::Call::sync_data, EIO}, 1, true);
  REQUIRE(recorder.bytes("b", SteadyTime{2}));
  Result<void> looked;
  while ((looked = recorder.look())) std::this_thread::yield();
  CHECK(looked.error().text.find("cannot be synced, input/output error") != std::string::npos);
  CHECK(recorder.is_down());
  REQUIRE(recorder.try_again(SteadyTime{3}, true));
  REQUIRE(recorder.bytes("c", SteadyTime{4}));
  REQUIRE(recorder.close());
  REQUIRE(recorder.list().doubtful().size() == 1);
  CHECK(recorder.list().doubtful().front() ==
        "19700101T000000Z-01 could not be synced (input/output error): its last seconds may be lost");
  CHECK(read_back(folder.path()).bytes == "abc");
}

TEST_CASE("bytes that cannot be taken back are told, and the checksum file says what should be there") {
  const Quick quick;
  const samples::Folder folder;
  class : public samples::PassingDisk {
   public:
    std::int64_t write_at(int fd, const char* from, std::size_t size, std::uint64_t at) override {
      if (well) return PassingDisk::write_at(fd, from, size, at);
      (void)PassingDisk::write_at(fd, from, size / 2, at);
      return -EIO;
    }
    int truncate(int fd, std::uint64_t size) override { return well ? PassingDisk::truncate(fd, size) : -EIO; }
    std::atomic<bool> well = true;
  } disk;
  Recorder recorder(
      folder.path(), [] { return record::JournalHead{}; }, disk);
  REQUIRE(recorder.bytes("a", SteadyTime{1}));
  disk.well = false;
  CHECK_FALSE(recorder.bytes("bcde", SteadyTime{2}));
  disk.well = true;
  REQUIRE(recorder.list().doubtful().size() == 1);
  CHECK(recorder.list().doubtful().front().find("has bytes at its end that cannot be taken back") != std::string::npos);
  REQUIRE(recorder.try_again(SteadyTime{3}, true));
  const std::string sums = folder.file("19700101T000000Z-01.sha256");
  while (!std::filesystem::exists(sums)) std::this_thread::yield();
  REQUIRE(recorder.close());
  CHECK(samples::read_file(sums).starts_with(sha256_hex("a") + "  "));
  CHECK(samples::read_file(folder.file("19700101T000000Z-01.nmea")) == "abc");
}

TEST_CASE("a pair that was deleted or replaced while it was written ends, and the next begins at once") {
  namespace fs = std::filesystem;
  struct Row {
    const char* name;
    void (*happens)(const samples::Folder& folder, const std::string& stem);
    const char* next;
  };
  const Row rows[] = {
      {"the bytes deleted", [](const samples::Folder&, const std::string& stem) { fs::remove(stem + ".nmea"); },
       "19700101T000000Z-02"},
      {"the journal replaced by a copy",
       [](const samples::Folder&, const std::string& stem) {
         fs::copy_file(stem + ".journal", stem + ".copy");
         fs::rename(stem + ".copy", stem + ".journal");
       },
       "19700101T000000Z-02"},
      {"the folder replaced",
       [](const samples::Folder& folder, const std::string&) {
         fs::rename(folder.file("record"), folder.file("away"));
         fs::create_directory(folder.file("record"));
       },
       "19700101T000000Z-01"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const Quick quick;
    const samples::Folder folder;
    fs::create_directory(folder.file("record"));
    Recorder recorder(folder.file("record"), [] { return record::JournalHead{}; });
    REQUIRE(recorder.bytes("a", SteadyTime{1}));
    REQUIRE(recorder.look());
    row.happens(folder, recorder.current());
    Result<void> looked;
    while ((looked = recorder.look())) std::this_thread::yield();
    CHECK(looked.error().text.find("was deleted or replaced while it was written") != std::string::npos);
    CHECK(recorder.is_down());
    REQUIRE(recorder.list().doubtful().size() == 1);
    recorder.owe(R"({"event":"cut"})", SteadyTime{2});
    REQUIRE(recorder.try_again(SteadyTime{3}));
    REQUIRE(recorder.bytes("b", SteadyTime{4}));
    REQUIRE(recorder.close());
    CHECK(samples::read_file(folder.file(std::string("record/") + row.next + ".nmea")) == "b");
    CHECK(samples::read_file(folder.file(std::string("record/") + row.next + ".journal")).ends_with("1 4\n"));
  }
}

TEST_CASE("what a run left is on the disk before its checksum file is") {
  class Syncs : public samples::PassingDisk {
   public:
    int open(const std::string& path) override {
      const int fd = PassingDisk::open(path);
      names_[fd] = path.substr(path.rfind('.'));
      return fd;
    }
    int sync_data(int fd) override {
      calls += "sync " + names_[fd] + "; ";
      return PassingDisk::sync_data(fd);
    }
    int rename(const std::string& from, const std::string& to) override {
      calls += "name " + to.substr(to.rfind('.')) + "; ";
      return PassingDisk::rename(from, to);
    }
    std::string calls;

   private:
    std::map<int, std::string> names_;
  };
  const samples::Folder folder;
  const std::string stem = folder.file("20260603T140000Z-01");
  samples::write_file(stem + ".nmea", "bytes");
  samples::write_file(stem + ".journal", "lines");
  Syncs disk;
  REQUIRE(write_checksum_file(disk, {stem, "", ""}));
  CHECK(disk.calls.starts_with("sync .nmea; sync .journal; sync "));
  CHECK(disk.calls.ends_with("name .sha256; "));
}
