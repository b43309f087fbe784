#include <doctest/doctest.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>

#include "config/support.hpp"

namespace stillpoint::config::test {
namespace {

namespace fs = std::filesystem;

/// A folder that is gone again at the end of the test.
struct Folder {
  Folder() {
    std::string name = (fs::temp_directory_path() / "stillpoint-config-XXXXXX").string();
    if (mkdtemp(name.data()) == nullptr) throw std::runtime_error("no temporary folder");
    path = name;
  }
  ~Folder() {
    std::error_code ignored;
    fs::remove_all(path, ignored);
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;

  std::string put(const std::string& name, const std::string& bytes) const {
    std::ofstream(path / name, std::ios::binary) << bytes;
    return (path / name).string();
  }
  fs::path path;
};

}  // namespace

TEST_CASE("a file is read, and its relative paths start at its folder") {
  const Folder folder;
  const Loaded loaded = load(folder.put("day.toml", kMinimal));
  REQUIRE_MESSAGE(loaded.errors.empty(), all(loaded));
  CHECK(loaded.settings.project.pointbook == (folder.path / "pointbook.gpkg").string());
  CHECK(loaded.settings.control.socket == (folder.path / "control").string());
}

TEST_CASE("a path that is itself relative still gives absolute paths") {
  const Loaded loaded = parse(kMinimal, "somewhere/day.toml");
  CHECK(loaded.settings.control.socket == (fs::current_path() / "somewhere" / "control").string());
  const Loaded bare = parse(kMinimal, "day.toml");
  CHECK(bare.settings.control.socket == (fs::current_path() / "control").string());
}

TEST_CASE("a configuration in a folder whose name is no UTF-8 is refused, since every path would begin with it") {
  const Folder folder;
  fs::create_directory(folder.path / "caf\xE9");
  const Loaded loaded = load(folder.put("caf\xE9/day.toml", kMinimal));
  REQUIRE(loaded.errors.size() == 1);
  CHECK(loaded.errors.front().text.find("caf?/day.toml is no UTF-8 text") != std::string::npos);
}

TEST_CASE("a byte order mark and line ends of another system change nothing") {
  std::string text = "\xEF\xBB\xBF";
  for (const char c : kMinimal) text += c == '\n' ? std::string("\r\n") : std::string(1, c);
  const Loaded loaded = parse(text, "day.toml");
  CHECK_MESSAGE(loaded.errors.empty(), all(loaded));
}

TEST_CASE("a file that cannot be a configuration has its own sentence") {
  const Folder folder;
  const std::string missing = (folder.path / "none.toml").string();
  const std::string huge = folder.put("huge.toml", std::string(1024 * 1024 + 1, '#'));
  struct Row {
    const char* name;
    std::string path, sentence;
  };
  const std::vector<Row> rows{
      {"a missing file", missing, "there is no configuration file " + missing + "; check the path given with --config"},
      {"a folder", folder.path.string(), folder.path.string() + " is a folder; give the configuration file inside it"},
      {"a huge file", huge,
       huge + ": the file is larger than 1 MiB, which no configuration is; check that it is the right file"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const Loaded loaded = load(row.path);
    REQUIRE(loaded.errors.size() == 1);
    CHECK(loaded.errors[0].text == row.sentence);
  }
}

TEST_CASE("an endless file is not read to its end") {
  const Loaded loaded = load("/dev/zero");
  REQUIRE(loaded.errors.size() == 1);
  CHECK(loaded.errors[0].text == "/dev/zero is no file but a pipe or a device; give the configuration file itself");
}

TEST_CASE("a file of exactly 1 MiB is still read") {
  const Folder folder;
  const std::string text = kMinimal + std::string(1024 * 1024 - kMinimal.size(), '\n');
  CHECK(load(folder.put("day.toml", text)).errors.empty());
}

TEST_CASE("a file that may not be read has its own sentence") {
  if (geteuid() == 0) return;  // the superuser may read everything
  const Folder folder;
  const std::string path = folder.put("day.toml", kMinimal);
  fs::permissions(path, fs::perms::none);
  const Loaded loaded = load(path);
  REQUIRE(loaded.errors.size() == 1);
  CHECK(loaded.errors[0].text == "cannot read the configuration file " + path + "; check that you may read it");
}

TEST_CASE("a bare grid name means the file beside the configuration when there is one") {
  const Folder folder;
  const std::string text = with(
      kMinimal, "[[feed]]",
      "height = \"orthometric\"\n[project.geoid]\ngrid = \"g.tif\"\nname = \"G\"\nframe = \"EPSG:6319\"\n[[feed]]");
  const std::string path = folder.put("day.toml", text);
  CHECK(load(path).settings.project.geoid->grid == "g.tif");
  folder.put("g.tif", "grid");
  CHECK(load(path).settings.project.geoid->grid == (folder.path / "g.tif").string());
}

}  // namespace stillpoint::config::test
