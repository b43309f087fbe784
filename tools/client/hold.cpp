#include "client/hold.hpp"

#include <algorithm>

namespace stillpoint::client {
namespace {

constexpr std::int64_t kStays_ms = 5000;  ///< a question, and then the time to take it back

}  // namespace

bool Hold::is_of(const Json& stay) const {
  // A stay has no beginning before its first second.
  const bool same_begin = since_.empty() || text_of(stay, "since_utc") == since_;
  return text_of(stay, "name") == name_ && same_begin && count_of(stay, "visit") == visit_;
}

void Hold::press(HeldAct act, const Json& stay, std::int64_t now_ms) {
  if (waits() != HeldAct::none) return;  // a held key goes on pressing
  confirmed_ = asks(now_ms) == act && is_of(stay);
  act_ = act;
  name_ = text_of(stay, "name");
  since_ = text_of(stay, "since_utc");
  visit_ = count_of(stay, "visit");
  until_ms_ = now_ms + kStays_ms;
}

void Hold::forget_question() noexcept {
  if (!confirmed_) until_ms_.reset();
}

bool Hold::undo() noexcept {
  const bool waited = waits() != HeldAct::none;
  until_ms_.reset();
  confirmed_ = false;
  return waited;
}

HeldAct Hold::asks(std::int64_t now_ms) const noexcept {
  return until_ms_ && !confirmed_ && now_ms < *until_ms_ ? act_ : HeldAct::none;
}

int Hold::seconds_left(std::int64_t now_ms) const noexcept {
  return until_ms_ ? static_cast<int>(std::max<std::int64_t>(*until_ms_ - now_ms + 999, 0) / 1000) : 0;
}

std::optional<Hold::Due> Hold::due(const Json& stay, bool lost, std::int64_t now_ms) {
  if (waits() == HeldAct::none) return std::nullopt;
  const bool is_open = !lost && is_of(stay);
  if (is_open && now_ms < *until_ms_) return std::nullopt;
  const Due out{act_, name_, visit_, is_open};
  undo();
  return out;
}

}  // namespace stillpoint::client
