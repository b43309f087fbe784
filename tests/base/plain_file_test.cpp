#include "base/plain_file.hpp"

#include <doctest/doctest.h>
#include <fcntl.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>

#include "base/identity.hpp"

namespace {

using namespace stillpoint;
namespace fs = std::filesystem;

struct Folder {
  Folder() {
    std::string name = (fs::temp_directory_path() / "stillpoint-plain.XXXXXX").string();
    REQUIRE(::mkdtemp(name.data()) != nullptr);
    path = name;
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  ~Folder() { fs::remove_all(path); }
  std::string file(const std::string& name, const std::string& text) const {
    std::ofstream(path / name, std::ios::binary) << text;
    return (path / name).string();
  }
  std::string at(const std::string& name) const { return (path / name).string(); }
  fs::path path;
};

std::string make_socket(const std::string& path) {
  sockaddr_un name{};
  name.sun_family = AF_UNIX;
  path.copy(name.sun_path, sizeof name.sun_path - 1);
  const int fd = ::socket(AF_UNIX, SOCK_STREAM, 0);
  REQUIRE(::bind(fd, reinterpret_cast<const sockaddr*>(&name), sizeof name) == 0);
  ::close(fd);
  return path;
}

TEST_CASE("what is no regular file is refused without waiting") {
  const Folder folder;
  REQUIRE(::mkfifo(folder.at("pipe").c_str(), 0600) == 0);
  REQUIRE(::symlink(folder.at("pipe").c_str(), folder.at("link").c_str()) == 0);
  struct Row {
    const char* name;
    std::string path;
    FileTrouble what;
    const char* words;
  };
  const Row rows[] = {
      {"nothing there", folder.at("none"), FileTrouble::missing, "does not exist"},
      {"below a file", folder.file("a", "") + "/b", FileTrouble::missing, "does not exist"},
      {"a folder", folder.path.string(), FileTrouble::folder, "is a folder"},
      {"a pipe without a writer", folder.at("pipe"), FileTrouble::no_file, "is no file but a pipe or a device"},
      {"a link to it", folder.at("link"), FileTrouble::no_file, "is no file but a pipe or a device"},
      {"a device that never ends", "/dev/zero", FileTrouble::no_file, "is no file but a pipe or a device"},
      {"a socket", make_socket(folder.at("socket")), FileTrouble::no_file, "is no file but a socket or a device"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const auto read = read_plain_file(row.path, 100);
    REQUIRE(!read);
    CHECK(read.error().what == row.what);
    CHECK(read.error().words == row.words);
    CHECK(plain_file_fault(row.path)->what == row.what);
    CHECK(!sha256_file(row.path));
  }
}

TEST_CASE("a file is read to its last byte, and not beyond the bound") {
  const Folder folder;
  const std::string most(200'000, 'x');
  struct Row {
    const char* name;
    std::string text;
    bool read;
  };
  const Row rows[] = {
      {"empty", "", true},
      {"bytes of every kind", std::string("\0\xFF\r\n", 4), true},
      {"as many as allowed", most, true},
      {"one more", most + "x", false},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const std::string path = folder.file("some", row.text);
    const auto read = read_plain_file(path, most.size());
    CHECK(bool(read) == row.read);
    if (read) CHECK((*read == row.text));
    if (!read) CHECK(read.error().what == FileTrouble::too_large);
    CHECK(!plain_file_fault(path));
  }
}

TEST_CASE("a link to a file is followed") {
  const Folder folder;
  REQUIRE(::symlink(folder.file("file", "text").c_str(), folder.at("link").c_str()) == 0);
  CHECK(*read_plain_file(folder.at("link"), 100) == "text");
}

}  // namespace
