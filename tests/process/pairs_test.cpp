// Which pairs of the record a closing looks at, and what it finds.

#include <doctest/doctest.h>

#include <atomic>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "base/identity.hpp"
#include "keeping/pair_catalogue.hpp"
#include "keeping/record_inspection.hpp"
#include "keeping/recorder.hpp"

using namespace stillpoint;
using namespace stillpoint::daemon;

namespace {

namespace fs = std::filesystem;

struct Folder {
  Folder() {
    std::string name = (fs::temp_directory_path() / "stillpoint-pairs.XXXXXX").string();
    REQUIRE(::mkdtemp(name.data()) != nullptr);
    path = name;
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  ~Folder() { fs::remove_all(path); }
  void write(const std::string& name, const std::string& text) const {
    std::ofstream(path + "/" + name, std::ios::binary) << text;
  }
  std::string path;
};

std::vector<std::string> names_of(const std::vector<RecordedPair>& pairs) {
  std::vector<std::string> out;
  for (const RecordedPair& pair : pairs) out.push_back(pair.name);
  return out;
}

/// Two pairs, the second still being written.
std::string record_two(PairCatalogue& catalogue, const std::string& folder) {
  REQUIRE(catalogue.open());
  const record::JournalHead head{*parse_utc("2019-01-01T14:00:00Z"), SteadyTime{0}, true};
  Recorder recorder(folder, [head] { return head; });
  recorder.list().enter_in(catalogue, [] { return parse_utc("2026-06-03T14:30:00Z"); });
  REQUIRE(recorder.bytes("a", SteadyTime{100}));
  REQUIRE(recorder.seal(SteadyTime{200}));
  REQUIRE(recorder.bytes("b", SteadyTime{300}));
  const std::string current = recorder.current();
  return current.substr(current.rfind('/') + 1);
}

}  // namespace

TEST_CASE("the lines of the catalogue say which pairs no closing covers") {
  struct Row {
    const char* name;
    const char* text;
    std::vector<std::string> pairs;
    std::size_t faults;
  };
  const Row rows[] = {
      {"nothing", "", {}, 0},
      {"one that was begun", "begun a\n", {"a"}, 0},
      {"one that was sealed", "begun a\nsealed a 2026-06-03T14:30:00Z 11 22\n", {"a"}, 0},
      {"a closing covers what was before", "begun a\nbegun b\nbegun c\nclosed b\n", {"b", "c"}, 0},
      {"a closing of a pair that was never begun", "begun a\nclosed x\n", {"a"}, 1},
      {"a word that is none", "begun a\nopened b\nbegun c\n", {"a", "c"}, 1},
      {"a name with a folder in it", "begun ../a\n", {}, 1},
      {"bytes of something else", "\xFF\xFE\n", {}, 1},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const PairList list = read_pairs(row.text);
    CHECK(names_of(list.pairs) == row.pairs);
    CHECK(list.faults.size() == row.faults);
  }
}

TEST_CASE("a pair belongs to the day by the receiver's time of its end, never by its name") {
  const UtcTime now = *parse_utc("2026-06-03T18:00:00Z");
  const auto ended = [](const char* name, const char* utc) { return RecordedPair{name, parse_utc(utc), "1", "2"}; };
  const std::vector<RecordedPair> pairs = {
      ended("20190101T000000Z-01", "2026-06-03T14:00:00Z"),  // the clock was wrong
      ended("20260602T160000Z-01", "2026-06-02T17:00:00Z"),  // 25 h
      ended("20260602T150000Z-01", "2026-06-02T16:59:59Z"),  // a second more
      {"20190101T000000Z-02", {}, "", ""},                   // nobody knows when
      {"20260603T180000Z-01", {}, "", ""},                   // being written
  };
  CHECK(names_of(pairs_of_day(pairs, "20260603T180000Z-01", now)) ==
        std::vector<std::string>{"20190101T000000Z-01", "20260602T160000Z-01", "20190101T000000Z-02"});
}

TEST_CASE("what was recorded is missed when it is gone, and told when it was changed") {
  struct Row {
    const char* name;
    void (*spoil)(const Folder&, const std::string& pair);
    std::vector<std::string> faults;  // behind the name of the pair
    std::size_t unchanged;
  };
  const auto nothing = [](const Folder&, const std::string&) {};
  const auto remove = [](const Folder& folder, const std::string& pair) {
    for (const char* ending : {".nmea", ".journal", ".sha256"}) fs::remove(folder.path + "/" + pair + ending);
  };
  const auto change_with_sums = [](const Folder& folder, const std::string& pair) {
    folder.write(pair + ".nmea", "other");
    const std::string journal = *sha256_file(folder.path + "/" + pair + ".journal");
    folder.write(pair + ".sha256",
                 sha256_hex("other") + "  " + pair + ".nmea\n" + journal + "  " + pair + ".journal\n");
  };
  const auto cut_sums = [](const Folder& folder, const std::string& pair) { folder.write(pair + ".sha256", ""); };
  const Row rows[] = {
      {"as recorded", nothing, {}, 2},
      {"all of it deleted", remove, {".nmea is gone", ".journal is gone", ".sha256 is missing or not whole"}, 0},
      {"changed, and its checksum file with it",
       change_with_sums,
       {".nmea has changed since it was recorded", ".sha256 has changed since it was written"},
       1},
      {"its checksum file emptied", cut_sums, {".sha256 is missing or not whole"}, 2},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const Folder folder;
    PairCatalogue catalogue(folder.path);
    const std::string current = record_two(catalogue, folder.path);
    const auto day = pairs_of_day(catalogue.list().pairs, current, *parse_utc("2026-06-03T18:00:00Z"));
    REQUIRE(day.size() == 1);  // although its name is of 2019
    CHECK(day.front().until == parse_utc("2026-06-03T14:30:00Z"));
    row.spoil(folder, day.front().name);
    const std::atomic<bool> stop = false;
    const RecordInspection seen = inspect_record(folder.path, day, stop);
    CHECK(seen.files.size() == row.unchanged);
    REQUIRE(seen.faults.size() == row.faults.size());
    for (std::size_t i = 0; i < row.faults.size(); ++i) CHECK(seen.faults[i] == day.front().name + row.faults[i]);
  }
}

TEST_CASE("the catalogue outlives the program, forgets a half line, and learns what an older program left") {
  const Folder folder;
  folder.write("20260603T120000Z-01.nmea", "older");
  std::string current;
  {
    PairCatalogue catalogue(folder.path);
    current = record_two(catalogue, folder.path);
    REQUIRE(catalogue.closed(current));
  }
  std::ofstream(folder.path + "/pairs.txt", std::ios::app) << "begun 2019";
  folder.write("20260603T130000Z-01.nmea", "of another program");
  PairCatalogue catalogue(folder.path);
  REQUIRE(catalogue.open());
  const PairList list = catalogue.list();
  CHECK(list.faults.empty());
  REQUIRE(names_of(list.pairs) == std::vector<std::string>{current, "20260603T130000Z-01"});
  CHECK(list.pairs[1].until == parse_utc("2026-06-03T14:00:00Z"));
  fs::remove(folder.path + "/pairs.txt");
  CHECK(catalogue.list().faults == std::vector<std::string>{"pairs.txt, the list of its files, is gone"});
}

TEST_CASE("a name that is on the list already was taken by something that is gone") {
  const Folder folder;
  PairCatalogue catalogue(folder.path);
  REQUIRE(catalogue.open());
  REQUIRE(catalogue.begun("a"));
  CHECK(catalogue.list().faults.empty());
  REQUIRE(catalogue.begun("a"));
  CHECK(catalogue.list().faults == std::vector<std::string>{"what was recorded before as a is gone"});
  REQUIRE(catalogue.closed("a"));
  CHECK(catalogue.list().faults.empty());
}

TEST_CASE("a list of pairs that is a link or a pipe is not opened") {
  const Folder folder;
  fs::create_symlink(folder.path + "/other", folder.path + "/pairs.txt");
  PairCatalogue catalogue(folder.path);
  CHECK_FALSE(catalogue.open());
  CHECK_FALSE(fs::exists(folder.path + "/other"));
}
