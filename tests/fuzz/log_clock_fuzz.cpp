// Any log: its pieces joined are the log, times never go back, and a sentence's arrival does not depend on the cuts.
// The first byte chooses the cuts.

#include <algorithm>
#include <utility>

#include "fuzz/check.hpp"
#include "nmea/sentences.hpp"
#include "record/log_clock.hpp"

using namespace stillpoint;

namespace {

struct Timed {
  std::string joined;
  std::vector<std::pair<std::uint64_t, std::int64_t>> arrivals;  ///< end of sentence, time
};

Timed time_log(std::string_view log, std::size_t chunk_size) {
  Timed timed;
  nmea::Framer framer;
  std::int64_t last_ms = 0;
  const auto take = [&](std::string_view bytes, SteadyTime arrived) {
    fuzz::check(arrived.ms >= last_ms, "time went back");
    fuzz::check(!bytes.empty(), "an empty piece");
    last_ms = arrived.ms;
    const std::uint64_t begin = timed.joined.size();
    timed.joined += bytes;
    framer.push(bytes, [&](const nmea::Sentence& s) {
      fuzz::check(s.begin >= begin, "a sentence in two pieces");
      timed.arrivals.emplace_back(s.end, arrived.ms);
    });
  };
  record::LogClock clock;
  for (; !log.empty(); log.remove_prefix(std::min(chunk_size, log.size()))) clock.push(log.substr(0, chunk_size), take);
  clock.finish(take);
  return timed;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size == 0) return 0;
  const std::string_view log(reinterpret_cast<const char*>(data) + 1, size - 1);
  const Timed whole = time_log(log, size);
  const Timed cut = time_log(log, 1U + data[0]);
  fuzz::check(whole.joined == log, "the pieces in one call");
  fuzz::check(cut.joined == log, "the pieces in several calls");
  fuzz::check(whole.arrivals == cut.arrivals, "the arrivals");
  return 0;
}
