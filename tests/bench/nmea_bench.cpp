// How fast bytes become sentences, fields and epochs, beside a bare pass over the same bytes.
//
//   cmake -S . -B build -DSTILLPOINT_BENCH=ON && cmake --build build --target nmea_bench &&
//   build/tests/bench/nmea_bench
//
// The stream is invented: full bursts (GGA GST GSA GSV RMC ZDA GNS VTG) of a receiver that tracks four systems.
// `STILLPOINT_BENCH_LOG=FILE` runs over a recording instead.

#include <benchmark/benchmark.h>

#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <iterator>
#include <optional>
#include <string>

#include "epoch/assembler.hpp"
#include "nmea/decode.hpp"
#include "nmea/digest.hpp"
#include "nmea/framer.hpp"
#include "nmea/sentences.hpp"
#include "record/log_clock.hpp"

namespace stillpoint {
namespace {

constexpr std::size_t kBytes = 32U << 20U;

template <class... Args>
std::string text(const char* format, Args... args) {
  char out[256];
  std::snprintf(out, sizeof out, format, args...);
  return out;
}

std::string burst(int n) {
  const std::string time = text("%02d%02d%02d.%d0", n / 36'000 % 24, n / 600 % 60, n / 10 % 60, n % 10);
  const std::string place = text("4735.%07d,N,08723.%07d,W", 9'900'000 + n % 99'991, 9'100'000 + n * 7 % 99'989);
  const std::string time_place = time + "," + place;
  std::string out;
  out += test::line("GNRMC," + time + ",A," + place + text(",0.%03d,211.4,030626,,,R,V", n % 57));
  out += test::line("GNVTG,211.4,T,,M,0.021,N,0.039,K,D");
  out += test::line("GNGNS," + time_place + text(",RRRN,27,0.61,183.%03d,-33.912,1.4,0417,V", n % 997));
  out += test::line("GNGGA," + time_place + text(",4,27,0.61,183.%03d,M,-33.912,M,1.4,0417", n % 997));
  for (int system = 1; system <= 4; ++system)
    out += test::line(text("GNGSA,A,3,05,07,13,14,15,20,24,28,30,,,,1.14,0.61,0.96,%d", system));
  for (int part = 1; part <= 3; ++part)
    out += test::line(text("GPGSV,3,%d,12,05,41,297,44,07,22,063,39,13,67,184,48,14,35,%03d,42,1", part, n % 360));
  for (int part = 1; part <= 2; ++part)
    out += test::line(text("GAGSV,2,%d,08,03,41,297,44,08,22,063,39,15,67,184,48,27,35,%03d,42,7", part, n % 360));
  out += test::line("GNGST," + time + text(",0.52,0.0%02d,0.009,41.5,0.011,0.010,0.0%02d", 10 + n % 20, 15 + n % 30));
  out += test::line("GNZDA," + time + ",03,06,2026,00,00");
  return out;
}

const std::string& stream() {
  static const std::string bytes = [] {
    if (const char* path = std::getenv("STILLPOINT_BENCH_LOG")) {
      std::ifstream in(path, std::ios::binary);
      const std::string once{std::istreambuf_iterator<char>(in), {}};
      std::string many;
      while (!once.empty() && many.size() < kBytes) many += once;
      return many;
    }
    std::string made;
    for (int n = 0; made.size() < kBytes; ++n) made += burst(n);
    return made;
  }();
  return bytes;
}

void report(benchmark::State& state, std::uint64_t sentences) {
  state.SetBytesProcessed(state.iterations() * static_cast<std::int64_t>(stream().size()));
  state.counters["sentences"] = static_cast<double>(sentences);
}

/// The least anyone can do with one byte at a time: follow '$' and '*', XOR what is between, compare.
std::uint64_t bare_scalar_pass(const std::string& bytes) {
  const auto hex = [](char c) { return static_cast<unsigned>(c <= '9' ? c - '0' : c - 'A' + 10); };
  std::uint64_t good = 0;
  unsigned parity = 0;
  for (std::size_t at = 0; at + 2 < bytes.size(); ++at) {
    const char c = bytes[at];
    if (c == '$') {
      parity = 0;
    } else if (c == '*') {
      good += parity == hex(bytes[at + 1]) * 16 + hex(bytes[at + 2]) ? 1U : 0U;
    } else {
      parity ^= static_cast<unsigned char>(c);
    }
  }
  return good;
}

/// And with what the compiler and the C library make of it: find each '*' with memchr, XOR the bytes since the '$' one
/// by one, compare.
std::uint64_t bare_pass(const std::string& bytes) {
  std::uint64_t good = 0;
  const char* const end = bytes.data() + bytes.size();
  for (const char* at = bytes.data(); at < end;) {
    const auto* dollar = static_cast<const char*>(std::memchr(at, '$', static_cast<std::size_t>(end - at)));
    if (dollar == nullptr) break;
    const auto* star = static_cast<const char*>(std::memchr(dollar, '*', static_cast<std::size_t>(end - dollar)));
    if (star == nullptr || end - star < 3) break;
    unsigned parity = 0;
    for (const char* c = dollar + 1; c < star; ++c) parity ^= static_cast<unsigned char>(*c);
    const auto hex = [](char c) { return static_cast<unsigned>(c <= '9' ? c - '0' : c - 'A' + 10); };
    good += parity == hex(star[1]) * 16 + hex(star[2]) ? 1U : 0U;
    at = star + 3;
  }
  return good;
}

void bare_scalar(benchmark::State& state) {
  std::uint64_t good = 0;
  for (auto _ : state) benchmark::DoNotOptimize(good = bare_scalar_pass(stream()));
  report(state, good);
}

void bare_memchr_and_xor(benchmark::State& state) {
  std::uint64_t good = 0;
  for (auto _ : state) benchmark::DoNotOptimize(good = bare_pass(stream()));
  report(state, good);
}

/// Cuts the stream as a reader of files would and hands each sentence on.
template <class OnSentence>
void frame_all(nmea::Framer& framer, OnSentence on_sentence) {
  constexpr std::size_t kChunk = 65'536;
  std::string_view rest = stream();
  while (!rest.empty()) {
    framer.push(rest.substr(0, kChunk), on_sentence);
    rest.remove_prefix(std::min(kChunk, rest.size()));
  }
}

void framing(benchmark::State& state) {
  std::uint64_t sentences = 0;
  for (auto _ : state) {
    nmea::Framer framer;
    frame_all(framer, [](const nmea::Sentence& s) { benchmark::DoNotOptimize(s.body.data()); });
    sentences = framer.counters().sentences;
  }
  report(state, sentences);
}

/// As the session does it.
void framing_and_decoding(benchmark::State& state) {
  std::uint64_t sentences = 0;
  nmea::Decoder decoder;
  for (auto _ : state) {
    nmea::Framer framer;
    frame_all(framer, [&decoder](const nmea::Sentence& s) { benchmark::DoNotOptimize(&decoder.decode(s.body)); });
    sentences = framer.counters().sentences;
  }
  report(state, sentences);
}

/// One character after the other, nothing remembered.
void framing_and_plain_decoding(benchmark::State& state) {
  std::uint64_t sentences = 0;
  for (auto _ : state) {
    nmea::Framer framer;
    frame_all(framer, [](const nmea::Sentence& s) {
      const nmea::Decoded decoded = nmea::decode(s.body);
      benchmark::DoNotOptimize(&decoded);
    });
    sentences = framer.counters().sentences;
  }
  report(state, sentences);
}

/// The digest of all that both decoders say of the whole stream; nothing when they differ.
std::optional<std::uint64_t> agreed_digest() {
  nmea::Framer framer;
  nmea::Decoder decoder;
  test::Digest fast, plain;
  frame_all(framer, [&](const nmea::Sentence& s) {
    fast.add(decoder.decode(s.body));
    plain.add(nmea::decode(s.body));
  });
  return fast.value() == plain.value() ? std::optional(fast.value()) : std::nullopt;
}

void to_epochs(benchmark::State& state) {
  std::uint64_t epochs = 0;
  std::uint64_t sentences = 0;
  nmea::Decoder decoder;
  for (auto _ : state) {
    nmea::Framer framer;
    epoch::Assembler assembler;
    frame_all(framer, [&](const nmea::Sentence& s) {
      const epoch::Epoch* epoch = assembler.push(decoder.decode(s.body), SteadyTime{0});
      benchmark::DoNotOptimize(&epoch);
    });
    epochs = assembler.counters().epochs;
    sentences = framer.counters().sentences;
  }
  report(state, sentences);
  state.counters["epochs"] = static_cast<double>(epochs);
}

void log_clock(benchmark::State& state) {
  std::uint64_t pieces = 0;
  for (auto _ : state) {
    record::LogClock clock;
    pieces = 0;
    std::string_view rest = stream();
    for (constexpr std::size_t kChunk = 65'536; !rest.empty(); rest.remove_prefix(std::min(kChunk, rest.size()))) {
      clock.push(rest.substr(0, kChunk), [&](std::string_view, SteadyTime) { ++pieces; });
    }
  }
  report(state, pieces);
}

BENCHMARK(bare_scalar)->Unit(benchmark::kMillisecond);
BENCHMARK(bare_memchr_and_xor)->Unit(benchmark::kMillisecond);
BENCHMARK(framing)->Unit(benchmark::kMillisecond);
BENCHMARK(framing_and_decoding)->Unit(benchmark::kMillisecond);
BENCHMARK(framing_and_plain_decoding)->Unit(benchmark::kMillisecond);
BENCHMARK(to_epochs)->Unit(benchmark::kMillisecond);
BENCHMARK(log_clock)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace stillpoint

int main(int argc, char** argv) {
  stillpoint::stream();  // made before anything is timed
  const auto digest = stillpoint::agreed_digest();
  if (!digest) {
    std::fputs("nmea_bench: the fast decoder and the plain one differ on this stream\n", stderr);
    return 1;
  }
  std::fprintf(stderr, "fast and plain decoding agree: %016llx\n", static_cast<unsigned long long>(*digest));
  benchmark::Initialize(&argc, argv);
  if (benchmark::ReportUnrecognizedArguments(argc, argv)) return 2;
  benchmark::RunSpecifiedBenchmarks();
  return 0;
}
