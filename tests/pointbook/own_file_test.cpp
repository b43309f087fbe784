#include "pointbook/own_file.hpp"

#include <doctest/doctest.h>
#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <filesystem>

#include "pointbook/book.hpp"
#include "pointbook/lock_file.hpp"
#include "pointbook/samples.hpp"
#include "pointbook/spool.hpp"

namespace {

using namespace stillpoint;
using namespace stillpoint::pointbook;
namespace fs = std::filesystem;

unsigned mode_of(const std::string& path) {
  struct stat about {};
  return ::stat(path.c_str(), &about) == 0 ? about.st_mode & 0777U : 0U;
}

}  // namespace

TEST_CASE("a pointbook and its files are for whom the record is for") {
  samples::Folder folder;
  const std::string file = folder.file("a.gpkg");
  const mode_t before = ::umask(022);
  const auto book = Book::open(file, samples::geographic());
  const auto spool = Spool::open(file);
  ::umask(before);
  REQUIRE_MESSAGE(book.has_value(), book.error().text);
  REQUIRE_MESSAGE(spool.has_value(), spool.error().text);
  for (const char* ending : {"", ".lock", ".spool"}) {
    CAPTURE(ending);
    CHECK(mode_of(file + ending) == 0640U);
  }
  CHECK(::umask(before) == before);
}

TEST_CASE("a pointbook is opened under one of its names at a time") {
  samples::Folder folder;
  const std::string file = folder.file("a.gpkg"), other = folder.file("b.gpkg");
  {
    const auto book = Book::open(file, samples::geographic());
    REQUIRE_MESSAGE(book.has_value(), book.error().text);
    fs::create_hard_link(file, other);
    const auto again = Book::open(other, samples::geographic());
    REQUIRE_FALSE(again.has_value());
    CHECK(again.error().text.find(other + ", by another name of the same file") != std::string::npos);
  }
  CHECK(Book::open(other, samples::geographic()).has_value());
}

TEST_CASE("the lock of a file is given up with its place, and a stranger's file there does not count") {
  samples::Folder folder;
  const std::string file = folder.file("a.gpkg");
  samples::write_file(file, "");
  struct stat about {};
  REQUIRE(::stat(file.c_str(), &about) == 0);
  const std::string name = "stillpoint-" + std::to_string(about.st_dev) + "-" + std::to_string(about.st_ino) + ".lock";
  const auto place_of = [&name] {
    for (const char* shared : {"/run/lock/", "/tmp/"})
      if (fs::exists(shared + name)) return shared + name;
    return std::string();
  };
  std::string place;
  {
    const auto lock = LockFile::take_for_inode(file);
    REQUIRE(lock.has_value());
    if (!*lock) return;  // nowhere on this machine
    place = place_of();
    REQUIRE(!place.empty());
    CHECK_FALSE(LockFile::take_for_inode(file).has_value());
  }
  CHECK(place_of().empty());
  if (::geteuid() != 0) return;  // only root can give files away
  samples::write_file(place, "1\n");
  REQUIRE(::chown(place.c_str(), 65534, 65534) == 0);
  const int squatter = ::open(place.c_str(), O_RDONLY | O_CLOEXEC);
  REQUIRE(::flock(squatter, LOCK_EX) == 0);
  CHECK(LockFile::take_for_inode(file).has_value());
  ::close(squatter);
  fs::remove(place);
}

// POSIX: open() gives the lowest descriptor that is free, which is 0 in a program that was started without an input.
TEST_CASE("a lock that got descriptor 0 is dropped like any other") {
  samples::Folder folder;
  const std::string file = folder.file("a.gpkg"), place = file + ".lock";
  const int input = ::fcntl(0, F_DUPFD_CLOEXEC, 3);
  REQUIRE(input >= 3);
  REQUIRE(::close(0) == 0);
  bool first_at_0 = false;
  {
    const auto lock = LockFile::take(place, file);
    first_at_0 = lock.has_value() && ::fcntl(0, F_GETFD) != -1;
  }
  const bool free_again = ::fcntl(0, F_GETFD) == -1;
  REQUIRE(::dup2(input, 0) == 0);
  ::close(input);
  CHECK(first_at_0);
  CHECK(free_again);
  CHECK(LockFile::take(place, file).has_value());
}

TEST_CASE("a link or a pipe under the name of a lock or a spool is refused and nothing behind it is touched") {
  samples::Folder folder;
  const std::string file = folder.file("a.gpkg"), other = folder.file("other");
  for (const char* ending : {".lock", ".spool"}) {
    for (const bool pipe : {false, true}) {
      CAPTURE(ending);
      CAPTURE(pipe);
      samples::write_file(other, "somebody's");
      if (pipe) {
        REQUIRE(::mkfifo((file + ending).c_str(), 0600) == 0);
      } else {
        fs::create_symlink(other, file + ending);
      }
      const auto book = Book::open(file, samples::geographic());
      const auto spool = Spool::open(file);
      const std::string said = book ? (spool ? "" : spool.error().text) : book.error().text;
      CHECK(said.find(pipe ? "no ordinary file" : "symbolic link") != std::string::npos);
      CHECK(said.find(ending) != std::string::npos);
      CHECK(samples::read_file(other) == "somebody's");
      for (const char* made : {".lock", ".spool"}) fs::remove(file + made);
    }
  }
}
