// Parts of the daemon that decide something by themselves, without a process around them.

#include <doctest/doctest.h>

#include <fcntl.h>
#include <spdlog/logger.h>
#include <sys/resource.h>
#include <sys/stat.h>

#include <algorithm>
#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <thread>

#include "clients/alert_runner.hpp"
#include "clients/control_socket.hpp"
#include "clients/status_pace.hpp"
#include "day/battery_guard.hpp"
#include "day/own_alerts.hpp"
#include "feeds/live_link.hpp"
#include "feeds/log_pieces.hpp"
#include "keeping/catalogue.hpp"
#include "keeping/open_stay.hpp"
#include "keeping/record_inspection.hpp"
#include "keeping/recorder.hpp"
#include "log_sink.hpp"
#include "preflight/needs.hpp"

using namespace stillpoint;
using namespace stillpoint::daemon;

namespace {

constexpr std::string_view kSentence = "$GPGLL,4736.000,N,08724.000,W,140000,A*32\r\n";

class Folder {
 public:
  Folder() {
    std::string pattern = (std::filesystem::temp_directory_path() / "stillpoint-parts-XXXXXX").string();
    path_ = ::mkdtemp(pattern.data());
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  ~Folder() { std::filesystem::remove_all(path_); }
  const std::string& path() const { return path_; }
  std::vector<std::string> names(const std::string& ending = "") const {
    std::vector<std::string> names;
    for (const auto& entry : std::filesystem::directory_iterator(path_)) {
      const std::string name = entry.path().filename().string();
      if (name.ends_with(ending)) names.push_back(name);
    }
    std::sort(names.begin(), names.end());
    return names;
  }
  std::string text(const std::string& name) const {
    std::ostringstream out;
    out << std::ifstream(path_ + "/" + name, std::ios::binary).rdbuf();
    return out.str();
  }

 private:
  std::string path_;
};

std::int64_t nth_wait_ms(Backoff& backoff, int n) {
  std::int64_t wait = 0;
  for (int i = 0; i < n; ++i) wait = backoff.next().count();
  return wait;
}

occupation::StoredPoint point(const std::string& name, int visit, occupation::PointStatus status,
                              const std::string& uuid) {
  occupation::StoredPoint stored;
  stored.uuid = uuid;
  stored.point.name = name;
  stored.point.visit = visit;
  stored.point.status = status;
  return stored;
}

}  // namespace

TEST_CASE("a watchdog expires at the deadline given last, whether it lies before or behind the one given first") {
  using std::chrono::milliseconds;
  struct Row {
    const char* name;
    milliseconds first, last;
  };
  for (const Row& row : {Row{"nearer", milliseconds(20'000), milliseconds(5)},
                         Row{"farther", milliseconds(1), milliseconds(10)}, Row{"at once", {}, {}}}) {
    CAPTURE(row.name);
    boost::asio::io_context io;
    int expired = 0;
    const auto owner = std::make_shared<int>(0);
    Watchdog watchdog(io, [&expired] { ++expired; });
    const auto begun = std::chrono::steady_clock::now();
    watchdog.expect_within(row.first, owner);
    watchdog.expect_within(row.last, owner);
    CHECK(!watchdog.has_expired());
    io.run();
    const auto took = std::chrono::steady_clock::now() - begun;
    CHECK(expired == 1);
    CHECK(watchdog.has_expired());
    CHECK(took >= row.last);
    CHECK(took < row.last + milliseconds(5'000));
  }
}

TEST_CASE("the wait before the next try") {
  struct Row {
    const char* name;
    int tries;
    std::int64_t wait_ms;
  };
  const Row rows[] = {{"begins at a quarter of a second", 1, 250},
                      {"doubles", 2, 500},
                      {"doubles again", 4, 2000},
                      {"is five seconds at most", 6, 5000},
                      {"stays there", 20, 5000}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Backoff backoff;
    CHECK(nth_wait_ms(backoff, row.tries) == row.wait_ms);
  }
}

TEST_CASE("an open without a sentence does not shorten the wait, the first valid sentence does") {
  Backoff backoff;
  nth_wait_ms(backoff, 4);
  backoff.opened();
  backoff.heard("noise that is no sentence\r\n");
  CHECK(backoff.sentences() == 0);
  CHECK(backoff.next().count() == 4000);
  backoff.opened();
  backoff.heard(kSentence.substr(0, 20));
  CHECK(backoff.next().count() == 5000);
  backoff.heard(kSentence.substr(20));
  CHECK(backoff.sentences() == 1);
  CHECK(backoff.next().count() == 250);
}

TEST_CASE("the words of an alert are put into its arguments, one argument each, and never read again") {
  session::Alert alert;
  alert.key = "feed-silent";
  alert.severity = session::Severity::warning;
  alert.text = "nothing for 12 s; $(reboot) {key}";
  const auto arguments = filled({"/usr/bin/tell", "{severity}: {text}", "{key}{key}", "{other}", ""}, alert);
  CHECK(arguments == std::vector<std::string>{"/usr/bin/tell", "warning: nothing for 12 s; $(reboot) {key}",
                                              "feed-silentfeed-silent", "{other}", ""});
}

TEST_CASE("an alert of the machine is raised once and cleared once for each occurrence") {
  OwnAlerts alerts;
  CHECK(alerts.raise("disk-low", session::Severity::warning, {"400 MiB free", "little room"}));
  CHECK_FALSE(alerts.raise("disk-low", session::Severity::warning, {"399 MiB free", "less room"}));
  CHECK(alerts.showing().at(0).text == "399 MiB free");
  CHECK(alerts.showing().at(0).brief == "less room");
  CHECK(alerts.clear("disk-low"));
  CHECK_FALSE(alerts.clear("disk-low"));
  CHECK(alerts.showing().size() == 1);  // gone, and nobody has seen it
  CHECK(alerts.seen("") == 1);
  CHECK(alerts.showing().empty());
  CHECK(alerts.raise("disk-low", session::Severity::warning, {"again", "again"}));
  CHECK(alerts.all().size() == 2);
}

TEST_CASE("the newest visit is found without a number, and only the newest version is known") {
  Catalogue points;
  points.put(point("HF-1", 1, occupation::PointStatus::held, "a"), Storage::spooled);
  points.put(point("HF-1", 2, occupation::PointStatus::accepted, "b"), Storage::memory);
  points.put(point("HF-10", 1, occupation::PointStatus::accepted, "c"), Storage::stored);
  REQUIRE(points.find("HF-1", std::nullopt) != nullptr);
  CHECK(points.find("HF-1", std::nullopt)->stored.uuid == "b");
  CHECK(points.find("HF-1", 1)->stored.uuid == "a");
  CHECK(points.find("HF-1", 3) == nullptr);
  CHECK(points.find("HF", std::nullopt) == nullptr);
  CHECK(points.find("HF-2", std::nullopt) == nullptr);
  points.put(point("HF-1", 1, occupation::PointStatus::accepted, "d"), Storage::memory);
  points.mark("a", Storage::stored);  // news of a version that was superseded meanwhile
  CHECK(points.find("HF-1", 1)->storage == Storage::memory);
  points.mark("d", Storage::stored);
  CHECK(points.find("HF-1", 1)->storage == Storage::stored);
  CHECK(points.entries().size() == 3);
}

TEST_CASE("a held point is resolved and an accepted one rejected, with a reason, as the next version") {
  const CatalogueEntry held{point("HF-1", 1, occupation::PointStatus::held, "a"), Storage::stored};
  const CatalogueEntry accepted{point("HF-2", 1, occupation::PointStatus::accepted, "b"), Storage::stored};
  const auto decide = [](const CatalogueEntry& entry, bool accept, const char* reason) {
    return resolved(entry, {entry.stored.point.name, {}, accept, false, reason, "kim"});
  };
  CHECK_FALSE(decide(held, true, ""));
  CHECK_FALSE(decide(accepted, true, "again"));
  CHECK_FALSE(decide(accepted, false, ""));
  const auto taken_back = decide(accepted, false, "the mark is 0.60 m off");
  REQUIRE(taken_back);
  CHECK(taken_back->point.status == occupation::PointStatus::rejected);
  const auto next = decide(held, false, "wrong mark");
  REQUIRE(next);
  CHECK(next->version == 2);
  CHECK(next->supersedes == "a");
  CHECK(next->changed_by == "kim");
  CHECK(next->change_reason == "wrong mark");
  CHECK(next->point.status == occupation::PointStatus::rejected);
}

TEST_CASE("what a hand accepts says so in its flags until a hand takes it back") {
  auto stored = point("HF-1", 1, occupation::PointStatus::held, "a");
  stored.point.flags = {"coasted", "training"};
  stored.point.reasons = {occupation::HoldReason::unresolved};
  const CatalogueEntry held{stored, Storage::stored};
  const auto accepted = resolved(held, {"HF-1", {}, true, false, "seen on the photograph", "kim"});
  REQUIRE(accepted);
  CHECK(accepted->point.flags == std::vector<std::string>{"accepted-by-hand", "coasted", "training"});
  CHECK(accepted->point.reasons == stored.point.reasons);
  CHECK(is_by_hand(accepted->point));
  const auto rejected = resolved({*accepted, Storage::stored}, {"HF-1", {}, false, false, "it was not", "kim"});
  REQUIRE(rejected);
  CHECK(rejected->point.flags == stored.point.flags);
  CHECK_FALSE(is_by_hand(rejected->point));
  CHECK_FALSE(is_by_hand(stored.point));
}

TEST_CASE("a held point that misses the wanted error on either axis is asked about, an equal one is not") {
  struct Row {
    const char* name;
    double horizontal_m, vertical_m;
    occupation::PointStatus status;
    bool missed;
  };
  const Row rows[] = {
      {"equal", 0.05, 0.08, occupation::PointStatus::held, false},
      {"worse in plan", 0.051, 0.08, occupation::PointStatus::held, true},
      {"worse in height", 0.05, 0.081, occupation::PointStatus::held, true},
      {"accepted already", 0.5, 0.8, occupation::PointStatus::accepted, false},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    auto stored = point("HF-1", 1, row.status, "a");
    stored.point.at.emplace();
    stored.point.at->error95_horizontal_m = row.horizontal_m;
    stored.point.at->error95_vertical_m = row.vertical_m;
    CHECK(misses_error({stored, Storage::stored}, 0.05, 0.08) == row.missed);
  }
}

TEST_CASE("a limit needs its sentence only while it is applied") {
  config::Settings settings;
  settings.sources.resize(1);
  config::Source& source = settings.sources[0];
  const auto needs = [&](std::string_view kind) {
    const auto all = needs_of(settings);
    return std::count_if(all.begin(), all.end(), [&](const Need& need) {
      return std::find(need.any_of.begin(), need.any_of.end(), kind) != need.any_of.end();
    });
  };
  CHECK(needs("GGA") == 1);
  CHECK(needs("ZDA") == 1);
  CHECK(needs("GSA") == 0);
  CHECK(needs("GST") == 1);  // an error is needed for the average even without a limit
  CHECK(needs("VTG") == 0);
  source.gate.max_pdop = 4;
  source.gate.max_error95_vertical_m = 0.08;
  source.gate.max_speed_mps = 0.1;
  CHECK(needs("GSA") == 1);
  source.gate.max_vdop = 3;
  CHECK(needs("GSA") == 2);
  CHECK(needs("GST") == 2);
  CHECK(needs("VTG") == 1);
  source.assumed_sigma_m = config::PerAxis{0.015, 0.025};
  CHECK(needs("GST") == 0);
}

TEST_CASE("a socket path of the system's limit will do, one byte more gets its own sentence") {
  CHECK_FALSE(socket_path_fault(std::string(107, 's')));
  const auto fault = socket_path_fault(std::string(108, 's'));
  REQUIRE(fault);
  CHECK(fault->find("108") != std::string::npos);
  CHECK(fault->find("107") != std::string::npos);
}

TEST_CASE("the record: untouched bytes, a line for each read, a command at its place") {
  const Folder folder;
  const record::JournalHead head{*parse_utc("2026-06-03T14:00:00Z"), SteadyTime{5000}, true};
  Recorder recorder(folder.path(), [&] { return head; });
  REQUIRE(recorder.bytes(std::string_view("ab\0\xff", 4), SteadyTime{5100}));
  REQUIRE(recorder.command(R"({"command":"keep"})", SteadyTime{5150}));
  REQUIRE(recorder.bytes("c", SteadyTime{5200}));
  recorder.close();
  CHECK(folder.names() == std::vector<std::string>{"20260603T140000Z-01.journal", "20260603T140000Z-01.nmea",
                                                   "20260603T140000Z-01.sha256"});
  CHECK(folder.text("20260603T140000Z-01.sha256") == sha256_hex(std::string_view("ab\0\xff"
                                                                                 "c",
                                                                                 5)) +
                                                         "  20260603T140000Z-01.nmea\n" +
                                                         sha256_hex(folder.text("20260603T140000Z-01.journal")) +
                                                         "  20260603T140000Z-01.journal\n");
  CHECK(folder.text("20260603T140000Z-01.nmea") == std::string("ab\0\xff"
                                                               "c",
                                                               5));
  CHECK(folder.text("20260603T140000Z-01.journal") ==
        "stillpoint-journal 1 utc 2026-06-03T14:00:00.100Z steady 5100 by clock\n"
        "0 5100 {\"event\":\"started\"}\n4 5100\n4 5150 {\"command\":\"keep\"}\n5 5200\n");
}

TEST_CASE("corrections lie in a file of their own beside the pair, summed like the two, and only where some came") {
  const Folder folder;
  const record::JournalHead head{*parse_utc("2026-06-03T14:00:00Z"), SteadyTime{5000}, true};
  const std::string stem = "20260603T140000Z-01";
  {
    Recorder recorder(folder.path(), [&] { return head; });
    CHECK_FALSE(recorder.corrections("before the receiver said anything", false, SteadyTime{5050}).value());
    REQUIRE(recorder.bytes("ab", SteadyTime{5100}));
    CHECK(recorder.corrections("\xd3one", false, SteadyTime{5120}).value());
    CHECK(recorder.corrections("two", true, SteadyTime{5140}).value());
    REQUIRE(recorder.bytes("c", SteadyTime{5200}));
    REQUIRE(recorder.seal(SteadyTime{5300}));
    recorder.close();
  }
  CHECK(folder.text(stem + ".rtcm") == "\xd3onetwo");
  CHECK(folder.text(stem + ".nmea") == "abc");
  CHECK(folder.text(stem + ".journal") ==
        "stillpoint-journal 1 utc 2026-06-03T14:00:00.100Z steady 5100 by clock\n"
        "0 5100 {\"event\":\"started\"}\n2 5100\n2 5120 {\"event\":\"corrections\",\"to\":4}\n"
        "2 5140 {\"event\":\"corrections\",\"to\":7,\"lost\":true}\n3 5200\n");
  CHECK(folder.text(stem + ".sha256").ends_with(sha256_hex("\xd3onetwo") + "  " + stem + ".rtcm\n"));
  const auto names = folder.names();
  CHECK(std::count_if(names.begin(), names.end(), [](const auto& name) { return name.ends_with(".rtcm"); }) == 1);
  const std::atomic<bool> stop = false;
  const auto inspect = [&] { return inspect_record(folder.path(), {{stem, {}, "", ""}}, stop); };
  CHECK(inspect().faults.empty());
  CHECK(inspect().files.size() == 3);
  std::ofstream(folder.path() + "/" + stem + ".rtcm", std::ios::binary) << "\xd3onetwO";
  REQUIRE(inspect().faults.size() == 1);
  CHECK(inspect().faults[0] == stem + ".rtcm has changed since it was recorded");
}

TEST_CASE(
    "a log that is played again brings its corrections between the receiver's bytes, as far as the disk has them") {
  const Folder folder;
  const auto write = [&](const std::string& name, const std::string& text) {
    std::ofstream(folder.path() + "/" + name, std::ios::binary) << text;
  };
  write("day.nmea", "abcd");
  write("day.journal",
        "stillpoint-journal 1 utc 2026-06-03T14:00:00.000Z steady 0 by clock\n"
        "2 100\n2 120 {\"event\":\"delivery\",\"state\":\"running\",\"reason\":\"none\"}\n"
        "2 130 {\"event\":\"corrections\",\"to\":3}\n2 140 {\"event\":\"corrections\",\"to\":5,\"lost\":true}\n4 200\n"
        "4 210 {\"event\":\"corrections\",\"to\":9}\n");
  const auto played = [&] {
    auto pieces = LogPieces::open(folder.path() + "/day.nmea").value();
    std::vector<std::string> out;
    while (const auto piece = pieces.next()) {
      if (piece->clock) continue;
      const char* to = piece->to == Piece::To::session ? "" : piece->to == Piece::To::receiver ? ">" : "x";
      out.push_back(piece->delivery ? piece->delivery->state : to + piece->bytes);
    }
    return out;
  };
  CHECK(played() == std::vector<std::string>{"ab", "running", "cd"});
  write("day.rtcm", "onetwo");
  CHECK(played() == std::vector<std::string>{"ab", "running", ">one", "xtw", "cd", ">o"});
}

TEST_CASE("a pair that is sealed behind a command goes on in time, whatever time the seal was given") {
  const Folder folder;
  const record::JournalHead head{*parse_utc("2026-06-03T14:00:00Z"), SteadyTime{5000}, true};
  Recorder recorder(folder.path(), [&] { return head; });
  REQUIRE(recorder.bytes("a", SteadyTime{5100}));
  REQUIRE(recorder.command(R"({"command":"keep"})", SteadyTime{5150}));
  REQUIRE(recorder.seal(SteadyTime{5100}));
  REQUIRE(recorder.bytes("b", SteadyTime{5200}));
  recorder.close();
  // A head before the last line of the pair before would read like another boot of the machine.
  CHECK(folder.text("20260603T140000Z-02.journal") ==
        "stillpoint-journal 1 utc 2026-06-03T14:00:00.150Z steady 5150 by clock\n1 5200\n");
}

TEST_CASE("events begin no file of the record") {
  const Folder folder;
  Recorder recorder(folder.path(), [] { return record::JournalHead{}; });
  REQUIRE(recorder.event(R"({"event":"cut"})", SteadyTime{1}));
  CHECK(folder.names().empty());
  REQUIRE(recorder.command(R"({"command":"occupy"})", SteadyTime{2}));
  REQUIRE(recorder.event(R"({"event":"stopped"})", SteadyTime{3}));
  CHECK(folder.text("19700101T000000Z-01.journal")
            .ends_with("0 2 {\"command\":\"occupy\"}\n0 3 {\"event\":\"stopped\"}\n"));
}

TEST_CASE("the record begins a new pair with the hour and never writes into an old one") {
  const Folder folder;
  const record::JournalHead head{*parse_utc("2026-06-03T14:59:59Z"), SteadyTime{0}, false};
  for (int run = 0; run < 2; ++run) {
    Recorder recorder(folder.path(), [&] { return head; });
    REQUIRE(recorder.bytes("a", SteadyTime{999}));
    REQUIRE(recorder.bytes("b", SteadyTime{1000}));
  }
  CHECK(folder.names("nmea") == std::vector<std::string>{"20260603T145959Z-01.nmea", "20260603T145959Z-02.nmea",
                                                         "20260603T150000Z-01.nmea", "20260603T150000Z-02.nmea"});
  CHECK(folder.names("sha256").size() == 4);
  CHECK(folder.text("20260603T150000Z-02.journal") ==
        "stillpoint-journal 1 utc 2026-06-03T15:00:00.000Z steady 1000 by log\n1 1000\n");
}

TEST_CASE("a record that paused is down until it is resumed, and then begins with what is owed") {
  const Folder folder;
  const record::JournalHead head{*parse_utc("2026-06-03T14:00:00Z"), SteadyTime{0}, true};
  Recorder recorder(folder.path(), [&] { return head; });
  REQUIRE(recorder.bytes("a", SteadyTime{100}));
  REQUIRE(recorder.event(R"({"event":"cut"})", SteadyTime{150}));
  CHECK_FALSE(recorder.is_down());
  recorder.pause();
  CHECK(recorder.is_down());
  CHECK(folder.names("sha256").size() == 1);
  CHECK_FALSE(recorder.bytes("lost", SteadyTime{200}));
  CHECK_FALSE(recorder.ready(SteadyTime{200}));
  CHECK_FALSE(recorder.event(R"({"event":"cut"})", SteadyTime{300}));
  CHECK_FALSE(recorder.command(R"({"command":"drop"})", SteadyTime{400}));
  CHECK_FALSE(recorder.try_again(SteadyTime{500}, true));
  recorder.resume();
  REQUIRE(recorder.try_again(SteadyTime{2000}));
  CHECK_FALSE(recorder.is_down());
  REQUIRE(recorder.bytes("b", SteadyTime{2100}));
  recorder.close();
  CHECK(folder.text("20260603T140000Z-02.nmea") == "b");
  CHECK(folder.text("20260603T140000Z-02.journal") ==
        "stillpoint-journal 1 utc 2026-06-03T14:00:00.400Z steady 400 by clock\n"
        "0 400 {\"command\":\"drop\"}\n1 2100\n");
}

/// No file of this process may grow beyond so many bytes.
class SizeLimit {
 public:
  explicit SizeLimit(std::uint64_t bytes) {
    std::signal(SIGXFSZ, SIG_IGN);
    ::getrlimit(RLIMIT_FSIZE, &before_);
    const struct rlimit limit { bytes, before_.rlim_max };
    ::setrlimit(RLIMIT_FSIZE, &limit);
  }
  SizeLimit(const SizeLimit&) = delete;
  SizeLimit& operator=(const SizeLimit&) = delete;
  ~SizeLimit() { ::setrlimit(RLIMIT_FSIZE, &before_); }

 private:
  struct rlimit before_ {};
};

TEST_CASE("a write that fails anywhere leaves whole lines only, and the next pair begins with what is owed") {
  const record::JournalHead head{*parse_utc("2026-06-03T14:00:00Z"), SteadyTime{0}, true};
  bool command_failed = false, bytes_failed = false, line_failed = false;
  for (std::uint64_t most = 1; most < 320; ++most) {
    CAPTURE(most);
    const Folder folder;
    Recorder recorder(folder.path(), [&] { return head; });
    std::string given, journaled;
    {
      const SizeLimit limit(most);
      for (int n = 1; n < 12 && !recorder.is_down(); ++n) {
        const std::string bytes(n % 3 == 0 ? 300 : 1, 'x');
        const auto before = given.size();
        if (recorder.bytes(bytes, SteadyTime{n * 10})) given += bytes;
        if (recorder.is_down()) (bytes.size() + before > most ? bytes_failed : line_failed) = true;
        if (recorder.is_down()) break;
        if (!recorder.command(R"({"command":"keep"})", SteadyTime{n * 10 + 5})) command_failed = true;
        journaled += "k";
      }
      REQUIRE(recorder.is_down());
    }
    recorder.owe(R"({"event":"cut"})", SteadyTime{200});
    REQUIRE(recorder.try_again(SteadyTime{300}, true));
    REQUIRE(recorder.bytes("b", SteadyTime{400}));
    while (folder.names("sha256").size() + 1 < folder.names("nmea").size()) std::this_thread::yield();
    recorder.close();
    CHECK(folder.names("sha256").size() == folder.names("nmea").size());
    std::string all, kept;
    bool cut = false;
    for (const std::string& name : folder.names("nmea")) {
      const std::string log = folder.text(name);
      const auto journal = record::parse_journal(folder.text(record::journal_path_of(name)));
      REQUIRE(journal);
      std::uint64_t end = 0;
      for (const auto& line : journal->lines) {
        end = line.offset;
        if (line.command.find("keep") != std::string::npos) kept += 'k';
        cut |= line.command.find("cut") != std::string::npos;
      }
      CHECK(end == log.size());
      all += log;
    }
    CHECK(all == given + "b");
    CHECK(kept == journaled);
    CHECK(cut);
  }
  CHECK(command_failed);
  CHECK(bytes_failed);
  CHECK(line_failed);
}

TEST_CASE("pairs that a crash left without checksums get them at the next start, whole ones keep theirs") {
  const Folder folder;
  const auto write = [&](const std::string& name, const std::string& text) {
    std::ofstream(folder.path() + "/" + name) << text;
  };
  write("20260603T140000Z-01.nmea", "bytes");
  write("20260603T140000Z-01.journal", "lines");
  write("20260603T130000Z-01.nmea", "bytes");
  write("20260603T130000Z-01.sha256", "as it was");
  {
    Recorder recorder(folder.path(), [] { return record::JournalHead{}; });
    while (folder.names("sha256").size() < 2) std::this_thread::yield();
  }
  CHECK(folder.text("20260603T130000Z-01.sha256") == "as it was");
  CHECK(folder.text("20260603T140000Z-01.sha256") ==
        sha256_hex("bytes") + "  20260603T140000Z-01.nmea\n" + sha256_hex("lines") + "  20260603T140000Z-01.journal\n");
}

TEST_CASE("the open stay comes back as it was saved, and a damaged one is set aside and told") {
  const Folder folder;
  OpenStay stay(folder.path() + "/book.gpkg");
  REQUIRE(stay.left());
  CHECK_FALSE(stay.left()->has_value());
  auto saved = point("HF-1", 2, occupation::PointStatus::held, "018f2b1e-0000-7000-8000-000000000001");
  saved.epochs.resize(3);
  REQUIRE(stay.save(point("HF-1", 1, occupation::PointStatus::held, "018f2b1e-0000-7000-8000-000000000000")));
  REQUIRE(stay.save(saved));
  const auto left = stay.left();
  REQUIRE((left && *left));
  CHECK((*left)->point.visit == 2);
  CHECK((*left)->epochs.size() == 3);
  CHECK(folder.names() == std::vector<std::string>{"book.gpkg.open"});
  std::ofstream(folder.path() + "/book.gpkg.open", std::ios::app) << "x";
  CHECK_FALSE(stay.left());
  CHECK(folder.names() == std::vector<std::string>{"book.gpkg.open.damaged"});
  CHECK(stay.left());
}

TEST_CASE("a link or a pipe under the name of the open stay is neither read nor written through") {
  namespace fs = std::filesystem;
  const Folder folder;
  const std::string other = folder.path() + "/other", name = folder.path() + "/book.gpkg.open";
  std::ofstream(other) << "somebody's";
  OpenStay stay(folder.path() + "/book.gpkg");
  fs::create_symlink(other, name + ".new");
  fs::create_symlink(other, name);
  const auto left = stay.left();
  REQUIRE_FALSE(left);
  CHECK(left.error().text.find("set aside") != std::string::npos);
  CHECK(stay.left());
  REQUIRE(stay.save(point("HF-1", 1, occupation::PointStatus::held, "018f2b1e-0000-7000-8000-000000000000")));
  CHECK(folder.text("other") == "somebody's");
  CHECK(fs::is_regular_file(fs::symlink_status(name)));
  CHECK(fs::status(name).permissions() == fs::perms(0640));
  stay.forget();
  REQUIRE(::mkfifo(name.c_str(), 0600) == 0);
  CHECK_FALSE(stay.left());
}

TEST_CASE("the lock of the control socket is no link to another file") {
  namespace fs = std::filesystem;
  const Folder folder;
  fs::create_symlink(folder.path() + "/other", folder.path() + "/control.lock");
  boost::asio::io_context io;
  ControlSocket server(io, folder.path() + "/control");
  const auto done = server.listen();
  REQUIRE_FALSE(done);
  CHECK(done.error().text.find("symbolic link") != std::string::npos);
  CHECK_FALSE(fs::exists(folder.path() + "/other"));
}

TEST_CASE("a record that cannot be written says so once and not with every read") {
  const Folder folder;
  Recorder recorder(folder.path() + "/gone", [] { return record::JournalHead{}; });
  const auto first = recorder.bytes("a", SteadyTime{0});
  REQUIRE_FALSE(first);
  CHECK(first.error().text.find("cannot be written") != std::string::npos);
  const auto second = recorder.bytes("b", SteadyTime{1});
  REQUIRE_FALSE(second);
  CHECK(second.error().text.empty());
  CHECK(recorder.is_down());
}

TEST_CASE("two statuses are never closer than the pace, however late the one who publishes wakes up") {
  using std::chrono::milliseconds;
  const StatusPace::Time start{milliseconds(1'000'000)};
  StatusPace pace(milliseconds(20));
  CHECK_FALSE(pace.is_due(start));  // nothing has changed
  pace.changed();
  CHECK(pace.is_due(start));
  pace.published(start);
  CHECK_FALSE(pace.waits());
  pace.changed();
  CHECK_FALSE(pace.is_due(start + milliseconds(19)));
  CHECK(pace.next() == start + milliseconds(20));
  // Bytes publish at 20 ms, the change of 21 ms waits, and the timer of 20 ms is served at 25 ms only.
  pace.published(start + milliseconds(20));
  pace.changed();
  CHECK_FALSE(pace.is_due(start + milliseconds(25)));
  CHECK(pace.waits());
  CHECK(pace.is_due(start + milliseconds(40)));
}

TEST_CASE("the charge is that of the machine's own batteries") {
  const Folder made;
  const std::filesystem::path folder = made.path();
  const auto supply = [&folder](const std::string& name,
                                const std::vector<std::pair<std::string, std::string>>& files) {
    std::filesystem::create_directories(folder / name);
    for (const auto& [file, text] : files) std::ofstream(folder / name / file) << text << '\n';
  };
  CHECK_FALSE(charge_of(folder).has_value());
  supply("AC", {{"type", "Mains"}, {"online", "1"}});
  supply("pen", {{"type", "Battery"}, {"scope", "Device"}, {"capacity", "3"}, {"status", "Discharging"}});
  supply("silent", {{"type", "Battery"}, {"status", "Unknown"}});
  supply("mad", {{"type", "Battery"}, {"capacity", "655"}});
  CHECK_FALSE(charge_of(folder).has_value());
  supply("BAT0", {{"type", "Battery"}, {"capacity", "80"}, {"status", "Discharging"}});
  supply("BAT1", {{"type", "Battery"}, {"capacity", "20"}, {"status", "Not charging"}});
  REQUIRE(charge_of(folder).has_value());
  CHECK(charge_of(folder)->percent == 50);
  CHECK_FALSE(charge_of(folder)->rises);
  supply("BAT1", {{"status", "Charging"}});
  CHECK(charge_of(folder)->rises);
}

TEST_CASE("a log that nobody reads holds nobody up, and says afterwards what was lost") {
  std::array<int, 2> ends{};
  REQUIRE(::pipe(ends.data()) == 0);
  const auto read_all = [&] {
    std::string out;
    std::array<char, 65536> buffer{};
    ::fcntl(ends[0], F_SETFL, O_NONBLOCK);
    for (ssize_t size = 0; (size = ::read(ends[0], buffer.data(), buffer.size())) > 0;)
      out.append(buffer.data(), static_cast<std::size_t>(size));
    return out;
  };
  spdlog::logger log("test", std::make_shared<LogSink>(ends[1]));
  log.set_pattern("%v");
  const std::string line(1000, 'x');
  for (int i = 0; i < 1000; ++i) log.info(line);  // fifteen times what a pipe holds
  const std::string before = read_all();
  const auto lines = static_cast<int>(std::count(before.begin(), before.end(), '\n'));
  CHECK(lines > 30);
  CHECK(lines < 1000);
  log.info("goes on");
  CHECK(read_all() == std::to_string(1000 - lines) + " lines of the log could not be written and are lost\ngoes on\n");
  log.info(std::string(10'000, 'y'));
  CHECK(read_all().size() == LogSink::kLongestLine);
  ::close(ends[0]);
  ::close(ends[1]);
}
