#include "record/log_clock.hpp"

#include <doctest/doctest.h>

#include "nmea/sentences.hpp"

namespace stillpoint {
namespace {

using record::LogClock;
using record::TimeSource;
using test::framed;
using test::line;
using test::tag;

struct Piece {
  std::string bytes;
  std::int64_t arrived_ms = 0;
};

/// The pieces of a log pushed in these chunks.
struct Timed {
  std::vector<Piece> pieces;
  TimeSource source = TimeSource::none;
};
Timed time_log(const std::vector<std::string_view>& chunks) {
  Timed timed;
  LogClock clock;
  const auto keep = [&](std::string_view bytes, SteadyTime arrived) {
    timed.pieces.push_back({std::string(bytes), arrived.ms});
  };
  for (const std::string_view chunk : chunks) clock.push(chunk, keep);
  clock.finish(keep);
  timed.source = clock.source();
  return timed;
}

/// The arrival of every sentence, found by framing the pieces; a sentence in two pieces would come with the second.
std::vector<std::pair<std::uint64_t, std::int64_t>> arrivals(const Timed& timed) {
  std::vector<std::pair<std::uint64_t, std::int64_t>> result;
  nmea::Framer framer;
  std::uint64_t begin = 0;
  for (const Piece& piece : timed.pieces) {
    framer.push(piece.bytes, [&](const nmea::Sentence& s) {
      CHECK(s.begin >= begin);
      result.emplace_back(s.end, piece.arrived_ms);
    });
    begin += piece.bytes.size();
  }
  return result;
}

std::string joined(const Timed& timed) {
  std::string bytes;
  for (const Piece& piece : timed.pieces) bytes += piece.bytes;
  return bytes;
}

std::string gst(const std::string& time) {
  return "GNGST," + time + ",,,,,,,";
}
const std::string kGsa = "GNGSA,A,3,,,,,,,,,,,,,1.5,0.8,1.2,1";

TEST_CASE("one piece an instant, cut behind the line end") {
  const std::string first = line(kGsa) + line("GNGGA,140000,,,,,0,,,,,,,,") + line(gst("140000")) + line(kGsa);
  const std::string second = line("GNRMC,140001,V,,,,,,,,,") + line(kGsa);
  const std::string third = "noise" + line("GNZDA,140001.50,,,,,");
  const Timed timed = time_log({first + second + third + "$GN"});
  REQUIRE(timed.pieces.size() == 4);
  CHECK(timed.pieces[0].bytes == first);
  CHECK(timed.pieces[0].arrived_ms == 0);
  CHECK(timed.pieces[1].bytes == second);
  CHECK(timed.pieces[1].arrived_ms == 1000);
  CHECK(timed.pieces[2].bytes == third);
  CHECK(timed.pieces[2].arrived_ms == 1500);
  CHECK(timed.pieces[3].bytes == "$GN");
  CHECK(timed.pieces[3].arrived_ms == 1500);
  CHECK(timed.source == TimeSource::utc);
}

TEST_CASE("how the time runs") {
  struct Row {
    const char* name;
    std::vector<std::string> sentences;  ///< each is one sentence, with its TAG block
    std::vector<std::int64_t> ms;
    TimeSource source;
  };
  const auto timed_gst = [](const char* time) { return framed(gst(time)); };
  const auto tagged = [](const char* time) { return tag(std::string("c:") + time) + framed(kGsa); };
  const std::vector<Row> rows{
      {"every kind that prints a time",
       {timed_gst("140000"), framed("GNRMC,140001,V,,,,,,,,,"), framed("GNGGA,140002,,,,,0,,,,,,,,"),
        framed("GNZDA,140003,,,,,"), framed("GNGNS,140004,,,,,,,,,,,"), framed("GNGLL,,,,,140005,V,N"),
        framed("PQGGA,140006,,,,,0,,,,,,,,")},
       {0, 1000, 2000, 3000, 4000, 5000, 6000},
       TimeSource::utc},
      {"kinds that print none, or are not ours",
       {timed_gst("140000"), framed(kGsa), framed("PABGGA,140009"), framed("GNTXT,140009"), framed("GNRMC,,V,,,,,,,,,"),
        framed("GNGGA,149900,,,,,0,,,,,,,,")},
       {0, 0, 0, 0, 0, 0},
       TimeSource::utc},
      {"no time at all", {framed(kGsa), framed(kGsa)}, {0, 0}, TimeSource::none},
      {"before the first time",
       {framed(kGsa), timed_gst("140000"), timed_gst("140001")},
       {0, 0, 1000},
       TimeSource::utc},
      {"a gap", {timed_gst("140000"), timed_gst("141000")}, {0, 600'000}, TimeSource::utc},
      {"midnight", {timed_gst("235959"), timed_gst("000000"), timed_gst("000001")}, {0, 1000, 2000}, TimeSource::utc},
      {"a leap second",
       {timed_gst("235959"), timed_gst("235960"), timed_gst("000000"), timed_gst("000001")},
       {0, 1000, 1000, 2000},
       TimeSource::utc},
      {"two seconds back hold it",
       {timed_gst("140000"), timed_gst("140010"), timed_gst("140009"), timed_gst("140010"), timed_gst("140011")},
       {0, 10'000, 10'000, 10'000, 11'000},
       TimeSource::utc},
      {"another log goes on from where the first stood",
       {timed_gst("140000"), timed_gst("140010"), timed_gst("090000"), timed_gst("090001")},
       {0, 10'000, 10'000, 11'000},
       TimeSource::utc},
      {"TAG seconds", {tagged("1780495200"), framed(kGsa), tagged("1780495203")}, {0, 0, 3000}, TimeSource::tag},
      {"TAG milliseconds",
       {tagged("1780495200000"), tagged("1780495200040"), tagged("1780495200030")},
       {0, 40, 40},
       TimeSource::tag},
      {"a TAG time beyond reason is none",
       {tagged("1780495200000"), tagged("9223372036854775807"), tagged("1780495200040")},
       {0, 0, 40},
       TimeSource::tag},
      {"TAG before UTC",
       {tag("c:1780495200000") + timed_gst("140000"), timed_gst("140005"),
        tag("c:1780495201500") + timed_gst("140006")},
       {0, 0, 1500},
       TimeSource::tag},
      {"TAG blocks that begin late go on",
       {timed_gst("140000"), timed_gst("140002"), tagged("1780495200000"), tagged("1780495200500"),
        timed_gst("150000")},
       {0, 2000, 2000, 2500, 2500},
       TimeSource::tag},
  };
  for (const Row& row : rows) {
    CAPTURE(std::string(row.name));
    std::string log;
    for (const std::string& sentence : row.sentences) log += sentence + "\r\n";
    const Timed timed = time_log({log});
    CHECK(joined(timed) == log);
    CHECK(timed.source == row.source);
    std::vector<std::int64_t> ms;
    for (const auto& [end, arrived_ms] : arrivals(timed)) ms.push_back(arrived_ms);
    CHECK(ms == row.ms);
  }
}

std::string long_log() {
  std::string log = "noise\r\n";
  for (int s = 0; s < 8; ++s) {
    const std::string time = "14000" + std::to_string(s);
    log += line(kGsa) + line(gst(time)) + framed("GNGGA," + time + ",,,,,0,,,,,,,,") + "\n" + "\xB5\x62$x";
    if (s > 4) log += tag("c:178049520" + std::to_string(s)) + line(kGsa);
  }
  return log + "$GNGST,14";
}

TEST_CASE("a sentence that was decoded tells the clock what its bytes tell it") {
  const std::vector<std::string> bodies{"GNGGA,235958.00,4736.0000,N,08724.0000,W,4,14,0.7,184.5,M,-36.2,M,1.0,0417",
                                        "GNGGA,,,,,,0,,,,,,,,",
                                        gst("235958.20"),
                                        kGsa,
                                        "GNRMC,235958.40,A,4736.0000,N,08724.0000,W,0.01,,030626,,,R,V",
                                        "GNRMC,235959.00,X,malformed,but,with,a,time,,,,",
                                        "GPGLL,4736.00,N,08724.00,W,235959.50,A,A",
                                        "GNVTG,211.4,T,,M,0.012,N,0.022,K,D",
                                        "PVEN,000000.00,of,its,maker",
                                        "GNZDA,000000.10,04,06,2026,00,00",
                                        "GNGNS,000000.20,4736.0000,N,08724.0000,W,RR,14,0.7,184.5,-36.2,1.0,0417",
                                        "GNGSV,1,1,00",
                                        "XXGGA,000000.30,4736.0000,N,08724.0000,W,4,14,0.7,184.5,M,-36.2,M,1.0,0417",
                                        "GNGGA,000000.20,4736.0000,N,08724.0000,W,4,14,0.7,184.5,M,-36.2,M,1.0,0417"};
  record::SentenceClock by_bytes, by_fields;
  for (const std::string& body : bodies) {
    CAPTURE(body);
    nmea::Sentence sentence;
    sentence.body = body;
    const SteadyTime at = by_bytes.hear(sentence);
    CHECK(by_fields.hear(sentence, nmea::decode(body)) == at);
  }
  CHECK(by_bytes.now().ms == 2300);  // over midnight, and not back
}

TEST_CASE("a sentence's arrival does not depend on how the log was cut") {
  const std::string log = long_log();
  const std::string_view view = log;
  const Timed whole = time_log({view});
  const auto expected = arrivals(whole);
  CHECK(expected.size() == 27);
  for (std::size_t cut = 0; cut <= log.size(); ++cut) {
    CAPTURE(cut);
    const Timed timed = time_log({view.substr(0, cut), view.substr(cut)});
    REQUIRE(joined(timed) == log);
    REQUIRE(arrivals(timed) == expected);
  }
  for (const std::size_t size : {1U, 2U, 7U, 64U}) {
    CAPTURE(size);
    std::vector<std::string_view> chunks;
    for (std::size_t at = 0; at < view.size(); at += size) chunks.push_back(view.substr(at, size));
    const Timed timed = time_log(chunks);
    REQUIRE(joined(timed) == log);
    REQUIRE(arrivals(timed) == expected);
  }
}

TEST_CASE("what was handed out after each call ends with a sentence or its line end") {
  const std::string log = long_log();
  LogClock clock;
  std::string out;
  const auto keep = [&](std::string_view bytes, SteadyTime) {
    out += bytes;
    const std::string last = out.substr(out.find_last_of('*'));
    CHECK((last.size() == 3 || last == last.substr(0, 3) + "\n" || last == last.substr(0, 3) + "\r\n" ||
           last == last.substr(0, 3) + "\r"));
  };
  for (const char c : log) clock.push(std::string_view(&c, 1), keep);
  CHECK(out.size() > 300);
}

TEST_CASE("long noise is handed out without waiting for a sentence, and loses none") {
  const std::string noise(100'000, '\xB5');
  const std::string log = line(gst("140000")) + noise + line(gst("140001")) + line(gst("140002"));
  for (const std::size_t size : {97U, 5000U, 200'000U}) {
    CAPTURE(size);
    LogClock clock;
    Timed timed;
    std::size_t out = 0;
    std::size_t most_kept = 0;
    const auto keep = [&](std::string_view bytes, SteadyTime arrived) {
      out += bytes.size();
      timed.pieces.push_back({std::string(bytes), arrived.ms});
    };
    for (std::size_t at = 0; at < log.size(); at += size) {
      const std::string_view chunk = std::string_view(log).substr(at, size);
      clock.push(chunk, keep);
      most_kept = std::max(most_kept, at + chunk.size() - out);
    }
    clock.finish(keep);
    CHECK(joined(timed) == log);
    CHECK(most_kept <= 8192 + size);
    const auto found = arrivals(timed);
    REQUIRE(found.size() == 3);
    CHECK(found[0].second == 0);
    CHECK(found[1].second == 1000);
    CHECK(found[2].second == 2000);
  }
}

TEST_CASE("a clock that has ended takes another stretch") {
  LogClock clock;
  std::string out;
  std::int64_t last_ms = -1;
  const auto keep = [&](std::string_view bytes, SteadyTime arrived) {
    out += bytes;
    last_ms = arrived.ms;
  };
  const std::string a = line(gst("140000")) + "$GNG";
  const std::string b = line(gst("140003"));
  clock.push(a, keep);
  clock.finish(keep);
  clock.push(b, keep);
  clock.finish(keep);
  CHECK(out == a + b);
  CHECK(last_ms == 3000);
}

TEST_CASE("a sentence without a time of its own moves no clock, whatever its first letters") {
  CHECK(record::peek_time_of_day("GNGNS,140003.00,,,,,,,,,,,") == 50'403'000);
  CHECK_FALSE(record::peek_time_of_day("GNGBS,140003.00,0.1,0.1,0.2,,,,").has_value());
  CHECK_FALSE(record::peek_time_of_day("GNGSV,140003.00,0.1,0.1,0.2,,,,").has_value());
}

TEST_CASE("a step back of five seconds is held, and one of a millisecond more is a clock that was put back") {
  struct Row {
    const char* name;
    std::int32_t back_ms;
    std::int64_t a_second_later_ms;
  };
  const Row rows[] = {{"5000 ms", 5000, 10'000}, {"5001 ms", 5001, 11'000}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    record::RunningTime time;
    time.utc(100'000);
    time.utc(110'000);
    time.utc(110'000 - row.back_ms);
    CHECK(time.now().ms == 10'000);
    time.utc(111'000 - row.back_ms);
    CHECK(time.now().ms == row.a_second_later_ms);
  }
}

}  // namespace
}  // namespace stillpoint
