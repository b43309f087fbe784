// Ten minutes of a full receiver through the whole session, for counting instructions: a number without noise.
//
// Only what runs inside `stillpoint_measured_day` is counted; the sentences are made and the frames opened before.

#include <cstdio>
#include <string>
#include <vector>

#include "session/session.hpp"
#include "support/epochs.hpp"
#include "support/nmea_text.hpp"

using namespace stillpoint;

namespace {
constexpr int kSeconds = 600;
}

extern "C" __attribute__((noinline)) void stillpoint_measured_day(session::Session& day,
                                                                  const std::vector<std::string>& seconds) {
  for (std::size_t t = 0; t < seconds.size(); ++t) {
    day.push(seconds[t], SteadyTime{static_cast<std::int64_t>(t) * 1000 + 80});
    if (t == 20) day.occupy({"A"});
    day.take();
  }
}

int main() {
  const auto settings = support::settings();
  auto frames = geodesy::Frames::open(settings);
  if (!frames) {
    std::fputs(frames.error().text.c_str(), stderr);
    return 1;
  }
  session::Options options;
  options.keep_epochs = false;
  session::Session day(settings, std::move(*frames), options);
  day.feed(session::FeedState::open, "a test", SteadyTime{0});
  std::vector<std::string> seconds;
  for (int t = 0; t < kSeconds; ++t) {
    support::Second second;
    second.t_s = t;
    second.north_m = 0.002 * (t * 7 % 5 - 2);
    second.up_m = 0.0001 * (t % 7);
    seconds.push_back(second.text());
  }
  stillpoint_measured_day(day, seconds);
  const auto sums = day.summary();
  std::printf("epochs %llu accepted %llu\n", static_cast<unsigned long long>(sums.epochs),
              static_cast<unsigned long long>(sums.accepted));
  return sums.epochs == kSeconds - 1 || sums.epochs == kSeconds ? 0 : 1;
}
