// Prints what a session says of a log, second by second: its status, alerts, events, points and checks as JSON lines.
//
//   golden_statuses CONFIG.toml LOG
//
// The same stays are begun and kept whatever the log: one of a minute every two minutes, and a drop now and then.

#include <cstdlib>
#include <fstream>
#include <iostream>
#include <sstream>
#include <string>

#include "config/load.hpp"
#include "session/session.hpp"
#include "wire/json.hpp"

namespace {

using namespace stillpoint;

/// The milliseconds of a TAG block's `c:` in front of a line; the last one where a line has none.
std::int64_t time_of(const std::string& line, std::int64_t last_ms) {
  if (!line.starts_with("\\c:")) return last_ms;
  return std::strtoll(line.c_str() + 3, nullptr, 10);
}

void tell(const session::Outputs& out) {
  for (const auto& alert : out.alerts_in_order()) std::cout << wire::to_json(alert) << '\n';
  for (const auto& event : out.events) std::cout << event.kind << ": " << event.text << '\n';
  for (const auto& point : out.points) std::cout << wire::to_json(point.point) << '\n';
  for (const auto& check : out.checks) std::cout << "check of " << check.point.name << '\n';
}

void act(session::Session& day, std::int64_t second) {
  const std::string name = "GS-" + std::to_string(second / 120);
  session::CommandResult done;
  if (second % 120 == 20) {
    session::OccupyCommand command;
    command.name = name;
    done = day.occupy(command);
  } else if (second % 120 == 80) {
    done = second % 840 == 80 ? day.drop() : day.keep();
  } else {
    return;
  }
  std::cout << (done.done ? "done: " : "refused: ") << done.text << '\n';
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 3) return 2;
  const auto loaded = config::load(argv[1]);
  if (!loaded.errors.empty()) return 2;
  auto frames = geodesy::Frames::open(loaded.settings);
  if (!frames) return 2;
  session::Session day(loaded.settings, std::move(*frames), {});
  std::ifstream log(argv[2], std::ios::binary);
  std::string line;
  std::int64_t first_ms = -1, now_ms = 0, told_second = -1;
  while (std::getline(log, line)) {
    now_ms = std::max(now_ms, time_of(line, now_ms));
    if (first_ms < 0) {
      first_ms = now_ms;
      day.feed(session::FeedState::open, "a log", SteadyTime{now_ms});
    }
    const std::int64_t second = (now_ms - first_ms) / 1000;
    for (; told_second < second; ++told_second) {
      day.advance(SteadyTime{first_ms + (told_second + 1) * 1000});
      act(day, told_second + 1);
      tell(day.take());
      std::cout << wire::to_json(day.status()) << '\n';
    }
    day.push(line + "\n", SteadyTime{now_ms});
  }
  day.finish();
  tell(day.take());
  std::cout << wire::to_json(day.summary(), 0) << '\n';
  return 0;
}
