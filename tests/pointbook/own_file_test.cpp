#include "pointbook/own_file.hpp"

#include <doctest/doctest.h>
#include <sys/stat.h>

#include <filesystem>

#include "pointbook/book.hpp"
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
