// Any order of sentences: what comes out was all said, for this second or for a short while that a slow kind holds.
// Each line is a body without its checksum; a line `~123` lets 123 ms pass, in ticks of 100 ms.

#include <algorithm>
#include <string_view>

#include "epoch/assembler.hpp"
#include "fuzz/check.hpp"
#include "nmea/fields.hpp"

using namespace stillpoint;

namespace {

constexpr std::int64_t kMsPerDay = 86'400'000;

class Listener {
 public:
  void line(std::string_view text) {
    if (text.starts_with('~')) {
      pass(nmea::to_whole(text.substr(1, 6)).value_or(0));
      return;
    }
    take(assembler_.push(nmea::decode(text), SteadyTime{now_ms_}));
  }

  void finish() {
    take(assembler_.finish());
    fuzz::check(!assembler_.finish(), "nothing is left after the end");
    fuzz::check(assembler_.counters().epochs == epochs_, "the count of epochs");
  }

 private:
  void pass(int ms) {
    for (const std::int64_t end_ms = now_ms_ + ms; now_ms_ < end_ms;) {
      now_ms_ = std::min(end_ms, (now_ms_ / 100 + 1) * 100);
      take(assembler_.tick(SteadyTime{now_ms_}));
    }
  }

  void take(const epoch::Epoch* e) {
    if (!e) return;
    ++epochs_;
    fuzz::check(e->first_arrival <= e->last_arrival && e->last_arrival.ms <= now_ms_, "arrivals");
    fuzz::check(!e->utc || e->stream_ms, "a date without a time");
    fuzz::check(e->quality != Quality::none || !e->position, "a position without a fix");
    fuzz::check(!e->hdop || *e->hdop != 0, "an HDOP of zero");
    if (!e->stream_ms) {
      fuzz::check(!e->error && !e->rmc_valid && !e->pdop && !e->speed_mps, "an epoch without a time took something in");
      return;
    }
    check_step(*e);
    check_seconds(*e);
  }

  void check_step(const epoch::Epoch& e) {
    using epoch::TimeStep;
    if (last_ms_) {
      const TimeStep expected = *e.stream_ms > *last_ms_   ? TimeStep::forward
                                : *e.stream_ms < *last_ms_ ? TimeStep::backward
                                                           : TimeStep::repeated;
      fuzz::check(e.step == expected, "the step");
    } else {
      fuzz::check(e.step == TimeStep::first, "the first step");
    }
    last_ms_ = e.stream_ms;
  }

  static void check_seconds(const epoch::Epoch& e) {
    if (!e.error || !e.utc) return;
    const std::int64_t in_day = (e.utc->ms % kMsPerDay + kMsPerDay) % kMsPerDay;
    fuzz::check(e.error->time_of_day_ms.has_value(), "a GST without a time");
    const std::int64_t old_ms = (in_day - *e.error->time_of_day_ms % kMsPerDay + kMsPerDay) % kMsPerDay;
    fuzz::check(old_ms < epoch::Period::kLongestMs, "a GST of the future, or one that no longer holds");
  }

  epoch::Assembler assembler_;
  std::int64_t now_ms_ = 0;
  std::uint64_t epochs_ = 0;
  std::optional<std::int64_t> last_ms_;
};

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  std::string_view text(reinterpret_cast<const char*>(data), size);
  Listener listener;
  while (!text.empty()) {
    const std::string_view line = text.substr(0, text.find('\n'));
    listener.line(line);
    text.remove_prefix(std::min(line.size() + 1, text.size()));
  }
  listener.finish();
  return 0;
}
