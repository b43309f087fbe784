#include "config/redo.hpp"

#include <doctest/doctest.h>
#include <stdlib.h>  // mkdtemp

#include <filesystem>
#include <string>
#include <vector>

#include "config/support.hpp"

namespace stillpoint::config::test {
namespace {

const std::string kWho = "by = \"A. Brandvold\"\nreason = \"the pole was a section longer\"\n";

std::string all(const LoadedRedo& loaded) {
  std::string out;
  for (const Error& error : loaded.errors) out += error.text + "\n";
  return out;
}

Redo redo_of(const std::string& text) {
  LoadedRedo loaded = parse_redo(text, "redo.toml");
  REQUIRE_MESSAGE(loaded.errors.empty(), all(loaded));
  return std::move(loaded.redo);
}

/// The configuration `kMinimal` in a file of its own.
struct File {
  std::filesystem::path folder;
  std::string path;
  explicit File(const std::string& text = kMinimal) {
    std::string name = (std::filesystem::temp_directory_path() / "stillpoint-redo-XXXXXX").string();
    REQUIRE(::mkdtemp(name.data()) != nullptr);
    folder = name;
    path = (folder / "day.toml").string();
    std::ofstream(path, std::ios::binary) << text;
  }
  ~File() {
    std::error_code ignored;
    std::filesystem::remove_all(folder, ignored);
  }
  File(const File&) = delete;
  File& operator=(const File&) = delete;
};

}  // namespace

TEST_CASE("a correction gives who, why, the antenna as it stood with its times, and the marks as they should read") {
  const Redo redo = redo_of(kWho + R"(
[[antenna]]
from_utc = "2026-06-03T14:00:00Z"
until_utc = "2026-06-03T15:00:00Z"
vertical_parts_m = { pole = 2.3, adapter = 0.071 }
[[antenna]]
slant_m = { length = 1.9, radius = 0.19 }
[[mark]]
name = "VM-11"
latitude_deg = 47.6000001
height_m = 142
status = "disturbed"
)");
  CHECK(redo.path == "redo.toml");
  CHECK(redo.by == "A. Brandvold");
  CHECK(redo.reason == "the pole was a section longer");
  REQUIRE(redo.antennas.size() == 2);
  CHECK(redo.antennas[0].from == parse_utc("2026-06-03T14:00:00Z"));
  CHECK(redo.antennas[0].until == parse_utc("2026-06-03T15:00:00Z"));
  CHECK(redo.antennas[0].antenna.vertical_parts_m.size() == 2);
  CHECK(redo.antennas[0].line == 4);
  CHECK_FALSE(redo.antennas[1].from);
  CHECK_FALSE(redo.antennas[1].until);
  CHECK(redo.antennas[1].antenna.slant_m->length_m == 1.9);
  REQUIRE(redo.marks.size() == 1);
  CHECK(redo.marks[0].line == 10);
  const std::vector<std::pair<std::string, std::string>> columns{
      {"name", "VM-11"}, {"latitude_deg", "47.6000001"}, {"height_m", "142"}, {"status", "disturbed"}};
  CHECK(redo.marks[0].columns == columns);
}

TEST_CASE("what cannot be a correction is named with its line and what to give") {
  struct Row {
    const char* name;
    std::string text;
    std::string says;
  };
  const std::string pole = "vertical_parts_m = { pole = 2.3 }\n";
  const Row rows[] = {
      {"nobody", "reason = \"x\"\n[[mark]]\nname = \"VM-11\"", "by is missing"},
      {"no reason", "by = \"A\"\n[[mark]]\nname = \"VM-11\"", "reason is missing"},
      {"nothing to correct", kWho, "reason is given but nothing to correct, add [[antenna]], [[source]] or [[mark]]"},
      {"an unknown key", kWho + "why = 1\n[[mark]]\nname = \"VM-11\"",
       "redo.toml, line 3: why is 1, but there is no such key"},
      {"no table", kWho + "antenna = [1]", "antenna holds 1, give a table that starts with [[antenna]]"},
      {"no time", kWho + "[[antenna]]\nfrom_utc = \"14:00\"\n" + pole,
       "antenna.from_utc is \"14:00\", give a UTC time in quotes"},
      {"no text as a time", kWho + "[[antenna]]\nuntil_utc = 14\n" + pole, "antenna.until_utc is 14, give a UTC time"},
      {"times the wrong way round",
       kWho + "[[antenna]]\nfrom_utc = \"2026-06-03T15:00:00Z\"\nuntil_utc = \"2026-06-03T15:00:00Z\"\n" + pole,
       "antenna.until_utc is not after from_utc"},
      {"a local time without a day", kWho + "[[antenna]]\nfrom_local = \"10:05\"\n" + pole,
       "antenna.from_local is \"10:05\", give a time as clocks there show it, in quotes, such as \"2026-06-03 10:05\""},
      {"a local time with a zone of its own", kWho + "[[antenna]]\nuntil_local = \"2026-06-03T10:05:00Z\"\n" + pole,
       "antenna.until_local is \"2026-06-03T10:05:00Z\", give a time as clocks there show it"},
      {"UTC and local times at once",
       kWho + "[[antenna]]\nfrom_utc = \"2026-06-03T14:00:00Z\"\nuntil_local = \"2026-06-03 11:00\"\n" + pole,
       "antenna.until_local says the stays in a second way"},
      {"names and times at once",
       kWho + "[[antenna]]\nfrom_utc = \"2026-06-03T14:00:00Z\"\npoints = [\"CUL-7\"]\n" + pole,
       "antenna.points says the stays in a second way; give times in UTC, or local ones, or names of points"},
      {"no name at all", kWho + "[[antenna]]\npoints = []\n" + pole, "antenna.points holds an empty array"},
      {"a name that is a number", kWho + "[[antenna]]\npoints = [7]\n" + pole,
       "antenna.points holds 7, give an array of names of points"},
      {"an antenna that reduces", kWho + "[[antenna]]\nalready_reduced_by_receiver = true\n" + pole,
       "antenna.already_reduced_by_receiver cannot be changed afterwards, correct the configuration itself"},
      {"an antenna without a height", kWho + "[[antenna]]\n", "vertical_parts_m"},
      {"an unknown key of the antenna", kWho + "[[antenna]]\nlength = 2\n" + pole, "antenna.length"},
      {"a mark without a name", kWho + "[[mark]]\nheight_m = 1", "mark.name is missing"},
      {"a mark's column that is a table", kWho + "[[mark]]\nname = \"VM-11\"\nstatus = { a = 1 }",
       "mark.status is a table, give a number or a text"},
      {"a source without a name", kWho + "[[source]]\nerror_scale = 2", "source.name is missing"},
      {"a source alone", kWho + "[[source]]\nname = \"network\"",
       "source.name stands alone, give the keys that change"},
      {"another match", kWho + "[[source]]\nname = \"network\"\nmatch = { station = [1] }",
       "source.match cannot be changed afterwards"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const LoadedRedo loaded = parse_redo(row.text, "redo.toml");
    CHECK_FALSE(loaded.errors.empty());
    CHECK_MESSAGE(all(loaded).find(row.says) != std::string::npos, all(loaded));
  }
  CHECK(parse_redo("by = ", "redo.toml").errors.size() == 1);
}

TEST_CASE("the stays of a correction are named by local times or by points, a name alone being its first visit") {
  const Redo redo = redo_of(kWho + R"(
[[antenna]]
from_local = "2026-06-03 10:05"
until_local = "2026-06-03T11:30:15"
vertical_parts_m = { pole = 2.3 }
[[antenna]]
points = ["CUL-7", "CUL-9 visit 2", "the visit 0", "a visit x"]
vertical_parts_m = { pole = 1.5 }
)");
  REQUIRE(redo.antennas.size() == 2);
  CHECK(redo.antennas[0].from_local == parse_utc("2026-06-03T10:05:00Z"));
  CHECK(redo.antennas[0].until_local == parse_utc("2026-06-03T11:30:15Z"));
  CHECK_FALSE(redo.antennas[0].from);
  CHECK(redo.antennas[0].antenna.vertical_parts_m.size() == 1);
  const std::vector<std::pair<std::string, int>> named{
      {"CUL-7", 1}, {"CUL-9", 2}, {"the visit 0", 1}, {"a visit x", 1}};
  CHECK(redo.antennas[1].points == named);
}

TEST_CASE("the sources of each correction are laid over those of the file, in turn") {
  const File file;
  const std::string head = kWho + "[[source]]\nname = \"network\"\n";
  const std::vector<Redo> redos{redo_of(head + "error_scale = 1.5\n[source.gate]\nmax_age_s = 8\n"),
                                redo_of(head + "error_scale = 2.0\nframe = \"EPSG:7912\"\n")};
  const Loaded loaded = load_corrected(file.path, redos);
  REQUIRE_MESSAGE(loaded.errors.empty(), all(loaded));
  const Source& source = loaded.settings.sources.at(0);
  CHECK(source.error_scale == 2.0);
  CHECK(source.frame == "EPSG:7912");
  CHECK(source.gate.max_age_s == 8);
  CHECK(source.gate.fresh_age_s == 3);  // what the correction does not name stays
  CHECK(source.coordinate_epoch == 2010.0);
  CHECK(load_corrected(file.path, {}).settings.sources.at(0).gate.max_age_s == 10);
}

TEST_CASE("a correction that does not fit the file is blamed on its own line; a broken file on the file") {
  struct Row {
    const char* name;
    std::string text, says;
  };
  const Row rows[] = {
      {"a source that is not there", "[[source]]\nname = \"other\"\nerror_scale = 2\n",
       "redo.toml, line 3: source.name is \"other\", which the configuration does not have, give one of \"network\""},
      {"a value out of range", "[[source]]\nname = \"network\"\nerror_scale = -1\n",
       "redo.toml, line 5: source \"network\": error_scale is -1"},
      {"limits against those of the file", "[[source]]\nname = \"network\"\n[source.gate]\nfresh_age_s = 11\n",
       "redo.toml, line 3: source \"network\": gate.max_age_s is 10, give at least fresh_age_s (11 s)"},
  };
  const File file;
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const Loaded loaded = load_corrected(file.path, std::vector{redo_of(kWho + row.text)});
    CHECK_FALSE(loaded.errors.empty());
    CHECK_MESSAGE(all(loaded).find(row.says) != std::string::npos, all(loaded));
  }
  const File broken(with(kMinimal, "port = 9001", "port = 0"));
  const Loaded loaded =
      load_corrected(broken.path, std::vector{redo_of(kWho + "[[source]]\nname = \"network\"\nerror_scale = 2\n")});
  REQUIRE(loaded.errors.size() == 1);
  CHECK(loaded.errors[0].text.find("feed") != std::string::npos);
  CHECK(load_corrected("/nowhere/day.toml", {}).errors.size() == 1);
}

}  // namespace stillpoint::config::test
