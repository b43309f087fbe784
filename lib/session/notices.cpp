#include "session/notices.hpp"

#include <utility>

namespace stillpoint::session {
namespace {
constexpr std::int64_t kShownMs = 60'000;
}

void Notices::note(AlertKind kind, AlertText text, const Moment& moment, AlertBoard& board) {
  board.report(kind, {}, moment, [] { return AlertText(); });
  board.expect(moment.now.ms);
  const auto noted =
      std::find_if(passing_.begin(), passing_.end(), [&](const Passing& each) { return each.kind == kind; });
  if (noted == passing_.end()) return;
  noted->at = moment.now;
  noted->text = std::move(text);
}

void Notices::look(const Moment& moment, AlertBoard& board) const {
  for (const Passing& each : passing_) {
    if (!each.at) continue;
    const bool shown = moment.now.ms - each.at->ms < kShownMs;
    board.report(each.kind, {shown, shown ? each.at->ms + kShownMs : kNotByTime}, moment,
                 [&each] { return each.text; });
  }
}

}  // namespace stillpoint::session
