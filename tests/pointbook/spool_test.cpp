#include <doctest/doctest.h>

#include <algorithm>
#include <cerrno>
#include <filesystem>
#include <limits>
#include <random>

#include "base/identity.hpp"
#include "pointbook/content.hpp"
#include "pointbook/fields.hpp"
#include "pointbook/forgetful.hpp"
#include "pointbook/passing_disk.hpp"
#include "pointbook/samples.hpp"
#include "pointbook/spool.hpp"

namespace {

using namespace stillpoint;
using pointbook::decode_stored_point;
using pointbook::encode;
using pointbook::Spool;
using samples::ForgetfulDisk;
using samples::ForgetfulStore;

const std::string kBook = "/day.gpkg";
const std::string kSpool = "/day.gpkg.spool";

std::vector<std::string> names(const std::vector<occupation::StoredPoint>& points) {
  std::vector<std::string> out;
  for (const auto& point : points) out.push_back(point.point.name);
  return out;
}

using Names = std::vector<std::string>;

/// The bytes of a spool with points 1 to `count` in it.
std::string spool_of(int count) {
  ForgetfulStore store;
  ForgetfulDisk disk(store);
  auto spool = Spool::open(kBook, disk);
  REQUIRE(spool.has_value());
  for (int i = 1; i <= count; ++i) REQUIRE(spool->append(samples::point(i)).has_value());
  return store.find(kSpool)->current;
}

struct Opened {
  ForgetfulStore store;
  ForgetfulDisk disk{store};
  Result<Spool> spool;
  explicit Opened(const std::string& bytes) : store(samples::Files{{kSpool, bytes}}), spool(Spool::open(kBook, disk)) {}
};

/// A disk that does everything in small pieces and is interrupted all the time.
class TiresomeDisk final : public samples::PassingDisk {
 public:
  explicit TiresomeDisk(pointbook::Disk& inner) : PassingDisk(inner), inner_(inner) {}
  std::int64_t read_at(int fd, char* into, std::size_t size, std::uint64_t at) override {
    return interrupted() ? -EINTR : inner_.read_at(fd, into, std::min<std::size_t>(size, 7), at);
  }
  std::int64_t write_at(int fd, const char* from, std::size_t size, std::uint64_t at) override {
    if (fail_write) return -ENOSPC;
    return interrupted() ? -EINTR : inner_.write_at(fd, from, std::min<std::size_t>(size, 11), at);
  }
  int truncate(int fd, std::uint64_t size) override {
    if (fail_truncate) return -EIO;
    return interrupted() ? -EINTR : inner_.truncate(fd, size);
  }
  int sync_data(int fd) override {
    ++syncs;
    if (fail_sync) return -EIO;
    return interrupted() ? -EINTR : inner_.sync_data(fd);
  }

  int syncs = 0;
  bool fail_sync = false, fail_write = false, fail_truncate = false;

 private:
  bool interrupted() { return ++calls_ % 3 == 0; }
  pointbook::Disk& inner_;
  int calls_ = 0;
};

}  // namespace

// The sums were taken with version 0.1.0, before there was a version 2.
TEST_CASE("what version 1 can say is written in the bytes and with the content of version 1") {
  const auto point = samples::point(1);
  const auto shot = samples::shot(1);
  CHECK(sha256_hex(pointbook::encode(point)) == "0e201fa116f3ef1c5653ab7a63d61b556f4bbb47faa596102a7eb4ae7aaac3de");
  CHECK(sha256_hex(pointbook::encode(shot)) == "42c239015e1457a6951388d51f7cfe89376c8894afa5d6194a6ae71c6c8b6f43");
  CHECK(sha256_hex(pointbook::canonical_content(point, pointbook::digest_of(point.epochs))) ==
        "8e090d274b414029adbe48a3bd894c6a04237b0c3c294b81d1ff036aea8dc7ae");
  CHECK(sha256_hex(pointbook::canonical_content(shot)) ==
        "867283455fee614710a2dfd9c55e58f9418b3d951d98b5ca15d56828d469207f");
}

// What the first version called its reasons, in the order of its bits.
constexpr std::string_view kFirstReasons =
    "quality unknown-source unlisted-station correction-age corrections-stale correction-age-missing frozen hdop pdop "
    "satellites horizontal-error vertical-error error-missing moving settling no-date no-position no-height frame "
    "coarse-coordinates conflict jump outlier other-segment time-repeated";

TEST_CASE(
    "a point that was refused for a reason of version 1 has the bytes of version 1, for a later one a newer version") {
  for (std::size_t i = 0; i < gate::kReasonCount; ++i) {
    const std::string word(gate::to_word(static_cast<gate::Reason>(i)));
    CAPTURE(word);
    const bool first = (" " + std::string(kFirstReasons) + " ").find(" " + word + " ") != std::string::npos;
    auto counted = samples::point(1), told = samples::point(1);
    counted.point.refused[i] = 7;
    told.epochs.front().reasons.set(i);
    for (const auto& point : {counted, told}) {
      const std::string bytes = encode(point);
      CHECK(bytes.starts_with("stillpoint-point 1\n") == first);
      const auto back = decode_stored_point(bytes);
      REQUIRE_MESSAGE(back.has_value(), back.error().text);
      CHECK(back->point.refused == point.point.refused);
      CHECK(back->epochs.front().reasons == point.epochs.front().reasons);
    }
  }
}

TEST_CASE("the bytes of version 1 name its own reasons and no later one") {
  std::string words;
  for (std::size_t i = 0; i < pointbook::reason_count(1); ++i) {
    words += (i == 0 ? "" : " ") + std::string(gate::to_word(static_cast<gate::Reason>(i)));
  }
  CHECK(words == kFirstReasons);
  CHECK(pointbook::reason_count(pointbook::kNewestFields) == gate::kReasonCount);
}

TEST_CASE("a point reads back from its bytes, bit for bit") {
  struct Row {
    const char* name;
    occupation::StoredPoint point;
  };
  occupation::StoredPoint odd = samples::point(3);
  odd.point.at->latitude_deg = -0.0;
  odd.point.at->longitude_deg = std::numeric_limits<double>::denorm_min();
  odd.point.at->easting_m = std::numeric_limits<double>::quiet_NaN();
  odd.point.at->northing_m = -std::numeric_limits<double>::infinity();
  odd.point.note = std::string("a\0b\n", 4);
  odd.point.visit = std::numeric_limits<int>::max();
  odd.point.station = -1;
  odd.point.epochs_used = std::numeric_limits<std::uint64_t>::max();
  odd.stored_at.ms = -1;
  for (auto& epoch : odd.epochs) epoch.reasons.set();
  const Row rows[] = {{"every field has a value", samples::point(1, 30)},
                      {"nothing has a value", occupation::StoredPoint{}},
                      {"numbers and texts at their limits", odd}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const std::string bytes = encode(row.point);
    const auto back = decode_stored_point(bytes);
    REQUIRE_MESSAGE(back.has_value(), back.error().text);
    CHECK(encode(*back) == bytes);
    CHECK(back->point.note == row.point.point.note);
    CHECK(back->epochs.size() == row.point.epochs.size());
  }
}

TEST_CASE("bytes that are cut short or too long are no point") {
  const std::string bytes = encode(samples::point(1, 2));
  for (std::size_t size = 0; size < bytes.size(); ++size) {
    CAPTURE(size);
    CHECK_FALSE(decode_stored_point(std::string_view(bytes).substr(0, size)).has_value());
  }
  CHECK_FALSE(decode_stored_point(bytes + "x").has_value());
}

TEST_CASE("no changed byte makes the decoder fail in any other way than with a sentence") {
  const std::string good = encode(samples::point(1, 2));
  std::mt19937_64 random(7);
  for (int i = 0; i < 20'000; ++i) {
    std::string bytes = good;
    for (std::uint64_t n = random() % 4 + 1; n > 0; --n) bytes[random() % bytes.size()] = static_cast<char>(random());
    const auto back = decode_stored_point(bytes);
    if (!back) CHECK_FALSE(back.error().text.empty());
  }
}

TEST_CASE("points wait until they are settled, over a restart too") {
  samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  {
    auto spool = Spool::open(file);
    REQUIRE_MESSAGE(spool.has_value(), spool.error().text);
    CHECK(spool->waiting().empty());
    for (int i = 1; i <= 3; ++i) REQUIRE(spool->append(samples::point(i)).has_value());
    REQUIRE(spool->append(samples::point(2)).has_value());
    REQUIRE(spool->settle(samples::uuid(2)).has_value());
    REQUIRE(spool->settle(samples::uuid(77)).has_value());
    CHECK(names(spool->waiting()) == Names{"CUL-1", "CUL-3"});
  }
  auto spool = Spool::open(file);
  REQUIRE(spool.has_value());
  REQUIRE(names(spool->waiting()) == Names{"CUL-1", "CUL-3"});
  CHECK(encode(spool->waiting()[1]) == encode(samples::point(3)));
  CHECK(spool->damage().empty());
  REQUIRE(spool->settle(samples::uuid(1)).has_value());
  REQUIRE(spool->settle(samples::uuid(3)).has_value());
  CHECK(std::filesystem::file_size(file + ".spool") == 19);
}

TEST_CASE("a check shot reads back from its bytes, bit for bit, and no other bytes are one") {
  pointbook::CheckShot odd = samples::shot(2);
  odd.off_up_m.reset();
  odd.limit_vertical_m.reset();
  odd.at.latitude_deg = std::numeric_limits<double>::denorm_min();
  for (const auto& shot : {samples::shot(1), odd, pointbook::CheckShot{}}) {
    const std::string bytes = encode(shot);
    const auto back = pointbook::decode_check_shot(bytes);
    REQUIRE_MESSAGE(back.has_value(), back.error().text);
    CHECK(encode(*back) == bytes);
    CHECK(back->text == shot.text);
    CHECK(back->off_up_m == shot.off_up_m);
    for (std::size_t size = 0; size < bytes.size(); ++size) {
      CAPTURE(size);
      CHECK_FALSE(pointbook::decode_check_shot(std::string_view(bytes).substr(0, size)).has_value());
    }
    CHECK_FALSE(pointbook::decode_check_shot(bytes + "x").has_value());
    CHECK_FALSE(decode_stored_point(bytes).has_value());
  }
  CHECK_FALSE(pointbook::decode_check_shot(encode(samples::point(1))).has_value());
}

TEST_CASE("check shots wait beside points until they are settled, over a restart too") {
  samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  {
    auto spool = Spool::open(file);
    REQUIRE_MESSAGE(spool.has_value(), spool.error().text);
    for (int i = 1; i <= 3; ++i) {
      REQUIRE(spool->append(samples::shot(i)).has_value());
      REQUIRE(spool->append(samples::point(i)).has_value());
    }
    REQUIRE(spool->append(samples::shot(2)).has_value());
    REQUIRE(spool->settle(samples::shot_uuid(2)).has_value());
  }
  auto spool = Spool::open(file);
  REQUIRE(spool.has_value());
  CHECK(spool->damage().empty());
  CHECK(names(spool->waiting()) == Names{"CUL-1", "CUL-2", "CUL-3"});
  REQUIRE(spool->waiting_shots().size() == 2);
  CHECK(encode(spool->waiting_shots()[0]) == encode(samples::shot(1)));
  CHECK(encode(spool->waiting_shots()[1]) == encode(samples::shot(3)));
  for (int i = 1; i <= 3; ++i) REQUIRE(spool->settle(samples::uuid(i)).has_value());
  CHECK(std::filesystem::file_size(file + ".spool") > 19);
  for (int i = 1; i <= 3; ++i) REQUIRE(spool->settle(samples::shot_uuid(i)).has_value());
  CHECK(std::filesystem::file_size(file + ".spool") == 19);
}

TEST_CASE("a spool that the program wrote before it knew check shots opens, and takes them") {
  samples::Folder folder;
  const std::string file = folder.file("day.gpkg");
  samples::write_file(file + ".spool", samples::read_file(STILLPOINT_DATA "/points-only.spool"));
  {
    auto spool = Spool::open(file);
    REQUIRE_MESSAGE(spool.has_value(), spool.error().text);
    CHECK(spool->damage().empty());
    REQUIRE(names(spool->waiting()) == Names{"CUL-1", "CUL-2"});
    for (int i = 1; i <= 2; ++i) {
      CHECK(encode(spool->waiting()[static_cast<std::size_t>(i) - 1]) == encode(samples::point(i, 40)));
    }
    REQUIRE(spool->append(samples::shot(1)).has_value());
  }
  const auto again = Spool::open(file);
  CHECK(names(again->waiting()) == Names{"CUL-1", "CUL-2"});
  CHECK(again->waiting_shots().size() == 1);
}

TEST_CASE("a failed sync acknowledges no check shot and takes the entry back") {
  ForgetfulStore store;
  ForgetfulDisk inner(store);
  TiresomeDisk disk(inner);
  auto spool = Spool::open(kBook, disk);
  REQUIRE(spool.has_value());
  disk.fail_sync = true;
  REQUIRE_FALSE(spool->append(samples::shot(1)).has_value());
  CHECK(spool->waiting_shots().empty());
  disk.fail_sync = false;
  REQUIRE(spool->append(samples::shot(1)).has_value());
  CHECK(Spool::open(kBook, disk)->waiting_shots().size() == 1);
}

TEST_CASE("a second user of one spool is refused") {
  samples::Folder folder;
  auto first = Spool::open(folder.file("day.gpkg"));
  REQUIRE(first.has_value());
  const auto second = Spool::open(folder.file("day.gpkg"));
  REQUIRE_FALSE(second.has_value());
  CHECK(second.error().text.find("already uses the spool") != std::string::npos);
}

TEST_CASE("two names of one pointbook have one spool") {
  samples::Folder folder;
  samples::write_file(folder.file("day.gpkg"), "");
  std::filesystem::create_symlink(folder.file("day.gpkg"), folder.file("alias.gpkg"));
  REQUIRE(Spool::open(folder.file("alias.gpkg"))->append(samples::point(1)).has_value());
  CHECK(names(Spool::open(folder.file("day.gpkg"))->waiting()) == Names{"CUL-1"});
}

TEST_CASE("a spool cut anywhere gives the whole entries before the cut, and takes new ones") {
  const std::string bytes = spool_of(2);
  const std::size_t first_end = spool_of(1).size();
  for (std::size_t size = 0; size <= bytes.size(); ++size) {
    CAPTURE(size);
    Opened opened(bytes.substr(0, size));
    REQUIRE(opened.spool.has_value());
    Names expected;
    if (size >= first_end) expected.push_back("CUL-1");
    if (size == bytes.size()) expected.push_back("CUL-2");
    CHECK(names(opened.spool->waiting()) == expected);
    const bool between = size <= 19 || size == first_end || size == bytes.size();
    REQUIRE(opened.spool->damage().size() == (between ? 0 : 1));
    if (!between) {
      const std::string& said = opened.spool->damage()[0];
      CHECK(said.find("ends within an entry, with " + std::to_string(size - (size < first_end ? 19 : first_end)) +
                      " bytes of it") != std::string::npos);
      const std::string aside = kSpool + ".damaged-" + sha256_hex(bytes.substr(0, size)).substr(0, 8);
      CHECK(said.find(aside) != std::string::npos);
      REQUIRE(opened.store.find(aside) != nullptr);
      CHECK(opened.store.find(aside)->current == bytes.substr(0, size));
    }
    REQUIRE(opened.spool->append(samples::point(9)).has_value());
    expected.push_back("CUL-9");
    auto again = Spool::open(kBook, opened.disk);
    REQUIRE(again.has_value());
    CHECK(names(again->waiting()) == expected);
    CHECK(again->damage().empty());
  }
}

TEST_CASE("a changed byte costs one entry at most, and is told") {
  const std::string bytes = spool_of(3);
  const std::size_t ends[] = {19, spool_of(1).size(), spool_of(2).size(), bytes.size()};
  for (std::size_t at = 0; at < bytes.size(); at += at < 200 ? 1 : 13) {
    CAPTURE(at);
    std::string damaged = bytes;
    damaged[at] = static_cast<char>(damaged[at] ^ 0x10);
    Opened opened(damaged);
    REQUIRE_MESSAGE(opened.spool.has_value(), opened.spool.error().text);
    Names expected{"CUL-1", "CUL-2", "CUL-3"};
    if (at >= ends[0]) expected.erase(expected.begin() + (at < ends[1] ? 0 : at < ends[2] ? 1 : 2));
    CHECK(names(opened.spool->waiting()) == expected);
    CHECK(opened.spool->damage().size() == 1);
    const auto aside = opened.store.after_power_cut(samples::Loss::all, 0);
    CHECK(std::any_of(aside.begin(), aside.end(), [&](const auto& f) {
      return f.first.find(".damaged-") != std::string::npos && f.second == damaged;
    }));
  }
}

TEST_CASE("a stretch of zeros in place of an entry is told, whether in the middle or at the end") {
  const std::string bytes = spool_of(3);
  const std::size_t first_end = spool_of(1).size(), second_end = spool_of(2).size();
  struct Row {
    const char* name;
    std::size_t from, to;
    Names expected;
  };
  const Row rows[] = {{"the middle entry", first_end, second_end, {"CUL-1", "CUL-3"}},
                      {"the body of the last entry", second_end + 99, bytes.size(), {"CUL-1", "CUL-2"}},
                      {"the last entry", second_end, bytes.size(), {"CUL-1", "CUL-2"}}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    std::string damaged = bytes;
    std::fill(damaged.begin() + static_cast<std::ptrdiff_t>(row.from),
              damaged.begin() + static_cast<std::ptrdiff_t>(row.to), '\0');
    Opened opened(damaged);
    REQUIRE(opened.spool.has_value());
    CHECK(names(opened.spool->waiting()) == row.expected);
    REQUIRE(opened.spool->damage().size() == 1);
    CHECK(opened.spool->damage()[0].find("is damaged at byte " +
                                         std::to_string(row.from < second_end + 99 ? row.from : second_end)) !=
          std::string::npos);
  }
}

TEST_CASE("a file that is no spool is refused and left alone") {
  for (const std::string& bytes :
       {std::string(4000, 'x'), std::string("stillpoint-spool 2\nand entries of another form, longer than the head")}) {
    Opened opened(bytes);
    REQUIRE_FALSE(opened.spool.has_value());
    CHECK(opened.spool.error().text.find("is no spool of this version") != std::string::npos);
    CHECK(opened.store.find(kSpool)->current == bytes);
  }
}

TEST_CASE("short and interrupted reads and writes change nothing") {
  ForgetfulStore store;
  ForgetfulDisk inner(store);
  TiresomeDisk disk(inner);
  auto spool = Spool::open(kBook, disk);
  REQUIRE(spool.has_value());
  for (int i = 1; i <= 3; ++i) REQUIRE(spool->append(samples::point(i)).has_value());
  CHECK(store.find(kSpool)->durable == spool_of(3));
  const auto again = Spool::open(kBook, disk);
  REQUIRE(again.has_value());
  CHECK(names(again->waiting()) == Names{"CUL-1", "CUL-2", "CUL-3"});
}

TEST_CASE("a failed sync acknowledges nothing and takes the entry back") {
  ForgetfulStore store;
  ForgetfulDisk inner(store);
  TiresomeDisk disk(inner);
  auto spool = Spool::open(kBook, disk);
  REQUIRE(spool.has_value());
  REQUIRE(spool->append(samples::point(1)).has_value());
  disk.fail_sync = true;
  const auto failed = spool->append(samples::point(2));
  REQUIRE_FALSE(failed.has_value());
  CHECK(failed.error().text.find("cannot sync the spool") != std::string::npos);
  CHECK(names(spool->waiting()) == Names{"CUL-1"});
  CHECK(store.find(kSpool)->current == spool_of(1));
  disk.fail_sync = false;
  REQUIRE(spool->append(samples::point(3)).has_value());
  CHECK(names(Spool::open(kBook, disk)->waiting()) == Names{"CUL-1", "CUL-3"});
}

TEST_CASE("each append is synced once, and settling is not synced") {
  ForgetfulStore store;
  ForgetfulDisk inner(store);
  TiresomeDisk disk(inner);
  auto spool = Spool::open(kBook, disk);
  REQUIRE(spool.has_value());
  REQUIRE(spool->append(samples::point(1)).has_value());
  const std::string durable = store.find(kSpool)->durable;
  CHECK(durable == spool_of(1));
  disk.syncs = 0;
  REQUIRE(spool->settle(samples::uuid(1)).has_value());
  CHECK(disk.syncs == 0);
  CHECK(store.find(kSpool)->durable == durable);
}

TEST_CASE("what could not be settled still waits, and is settled at the next try") {
  struct Row {
    const char* name;
    bool TiresomeDisk::*fails;
    int waiting;  ///< points in the spool when one is settled: the last one empties it
  };
  const Row rows[] = {
      {"the disk does not empty the file", &TiresomeDisk::fail_truncate, 1},
      {"the disk takes no further entry", &TiresomeDisk::fail_write, 2},
      {"the disk neither takes an entry nor takes one back", &TiresomeDisk::fail_truncate, 2},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    ForgetfulStore store;
    ForgetfulDisk inner(store);
    TiresomeDisk disk(inner);
    auto spool = Spool::open(kBook, disk);
    REQUIRE(spool.has_value());
    for (int i = 1; i <= row.waiting; ++i) REQUIRE(spool->append(samples::point(i)).has_value());
    disk.*row.fails = true;
    if (row.waiting == 2) disk.fail_write = true;
    REQUIRE_FALSE(spool->settle(samples::uuid(1)).has_value());
    CHECK(spool->waiting().size() == static_cast<std::size_t>(row.waiting));
    disk.fail_write = disk.fail_truncate = false;
    REQUIRE(spool->settle(samples::uuid(1)).has_value());
    CHECK(spool->waiting().size() == static_cast<std::size_t>(row.waiting) - 1);
    const auto again = Spool::open(kBook, disk);
    CHECK(again->damage().empty());
    CHECK(again->waiting().size() == static_cast<std::size_t>(row.waiting) - 1);
  }
}

TEST_CASE("an entry that only settles may be cut short: nothing is missing then, and nothing is told") {
  ForgetfulStore store;
  ForgetfulDisk disk(store);
  {
    auto spool = Spool::open(kBook, disk);
    for (int i = 1; i <= 2; ++i) REQUIRE(spool->append(samples::point(i)).has_value());
    REQUIRE(spool->settle(samples::uuid(1)).has_value());
  }
  const std::string bytes = store.find(kSpool)->current;
  const Opened opened(bytes.substr(0, bytes.size() - 5));
  CHECK(opened.spool->damage().empty());
  CHECK(names(opened.spool->waiting()) == Names{"CUL-1", "CUL-2"});
}

TEST_CASE("a spool that was deleted or replaced refuses the entry, and is made anew with all that waits, and told") {
  namespace fs = std::filesystem;
  struct Row {
    const char* name;
    void (*happens)(const samples::Folder& folder, const std::string& spool);
    bool until_mended;  ///< it is refused until somebody does something
    void (*mended)(const samples::Folder& folder, const std::string& spool);
    bool made_anew;
  };
  const auto nothing = [](const samples::Folder&, const std::string&) {};
  const Row rows[] = {
      {"deleted", [](const samples::Folder&, const std::string& spool) { fs::remove(spool); }, false, nothing, true},
      {"replaced by an empty file",
       [](const samples::Folder&, const std::string& spool) {
         fs::rename(spool, spool + ".old");
         samples::write_file(spool, "");
       },
       false, nothing, true},
      {"replaced by somebody's file",
       [](const samples::Folder&, const std::string& spool) {
         fs::rename(spool, spool + ".old");
         samples::write_file(spool, "somebody's");
       },
       true,
       [](const samples::Folder&, const std::string& spool) {
         CHECK(samples::read_file(spool) == "somebody's");
         fs::rename(spool, spool + ".theirs");
       },
       true},
      {"moved, and put back",
       [](const samples::Folder&, const std::string& spool) { fs::rename(spool, spool + ".old"); }, false,
       [](const samples::Folder&, const std::string& spool) { fs::rename(spool + ".old", spool); }, false},
      {"its folder deleted",
       [](const samples::Folder& folder, const std::string&) { fs::remove_all(folder.file("in")); }, true,
       [](const samples::Folder& folder, const std::string&) { fs::create_directory(folder.file("in")); }, true},
      {"its folder replaced",
       [](const samples::Folder& folder, const std::string&) {
         fs::rename(folder.file("in"), folder.file("away"));
         fs::create_directory(folder.file("in"));
       },
       false, nothing, true},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const samples::Folder folder;
    fs::create_directory(folder.file("in"));
    const std::string book = folder.file("in/day.gpkg"), file = book + ".spool";
    {
      auto spool = Spool::open(book);
      REQUIRE(spool);
      REQUIRE(spool->append(samples::point(1)));
      REQUIRE(spool->append(samples::shot(2)));
      REQUIRE(spool->settle(samples::uuid(1)));
      row.happens(folder, file);
      const auto refused = spool->append(samples::point(3));
      REQUIRE_FALSE(refused);
      CHECK(refused.error().text.find("was deleted or replaced while it was in use") != std::string::npos);
      if (row.until_mended) CHECK_FALSE(spool->append(samples::point(3)));
      row.mended(folder, file);
      REQUIRE(spool->append(samples::point(3)));
      CHECK(spool->damage().size() == (row.made_anew ? 1 : 0));
      REQUIRE(spool->append(samples::point(5)));
    }
    const auto spool = Spool::open(book);
    REQUIRE(spool);
    CHECK(spool->damage().empty());
    REQUIRE(spool->waiting().size() == 2);
    CHECK(spool->waiting()[0].uuid == samples::uuid(3));
    REQUIRE(spool->waiting_shots().size() == 1);
  }
}
