#include "session/notices.hpp"

#include <utility>

namespace stillpoint::session {
namespace {
constexpr std::int64_t kShownMs = 60'000;
}

void Notices::note(AlertKind kind, std::string text, const Moment& moment, AlertBoard& board) {
  board.report(kind, {}, moment.now, moment.utc, [] { return std::string(); });
  board.expect(moment.now.ms);
  for (Passing& each : passing_) {
    if (each.kind != kind) continue;
    each.at = moment.now;
    each.text = std::move(text);
  }
}

void Notices::look(const Moment& moment, AlertBoard& board) const {
  for (const Passing& each : passing_) {
    if (!each.at) continue;
    const bool shown = moment.now.ms - each.at->ms < kShownMs;
    board.report(each.kind, {shown, shown ? each.at->ms + kShownMs : kNotByTime}, moment.now, moment.utc,
                 [&each] { return each.text; });
  }
}

}  // namespace stillpoint::session
