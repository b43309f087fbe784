#include "live_link.hpp"

#include <spdlog/spdlog.h>

#include <algorithm>

namespace stillpoint::daemon {

LinkEvents::LinkEvents(std::string what, const config::Feed& settings)
    : what_(std::move(what)),
      patience_(std::max<std::int64_t>(10'000, static_cast<std::int64_t>(settings.silence_s * 3000.0))) {}

void LinkEvents::start(FeedEvents events) {
  events_ = std::move(events);
}

void LinkEvents::tell(session::FeedState state, const std::string& what, SteadyTime at) {
  if (stopped_ || (told_ && state == told_state_ && what == told_what_)) return;
  told_ = true;
  told_state_ = state;
  told_what_ = what;
  if (state == session::FeedState::open) spdlog::info("feed {}: bytes arrive", what_);
  if (state == session::FeedState::waiting) spdlog::warn("feed {}", what);
  events_.state(state, what, at);
}

void LinkEvents::bytes(std::string_view bytes) {
  if (stopped_ || bytes.empty()) return;
  const SteadyTime arrived = steady_now();
  if (!flowing_) tell(session::FeedState::open, what_, arrived);
  flowing_ = true;
  backoff_.heard(bytes);
  if (!stopped_) events_.bytes(bytes, arrived);
}

void LinkEvents::lost(const std::string& why) {
  if (stopped_) return;
  const SteadyTime at = steady_now();
  if (std::exchange(flowing_, false)) events_.cut(at);
  tell(session::FeedState::waiting, what_ + ": " + why, at);
}

void LinkEvents::connected() {
  backoff_.opened();
  spdlog::info("feed {}: connected", what_);
}

void Watchdog::expect_within(std::chrono::milliseconds patience, const std::shared_ptr<void>& owner) {
  deadline_ = std::chrono::steady_clock::now() + patience;
  has_expired_ = false;
  if (std::exchange(running_, true)) return;
  wait(owner);
}

void Watchdog::stop() {
  running_ = false;
  timer_.cancel();
}

// Bytes come far more often than silence: the deadline moves without touching the timer, which only looks now and then.
void Watchdog::wait(const std::shared_ptr<void>& owner) {
  timer_.expires_after(std::chrono::milliseconds(100));
  timer_.async_wait([this, owner](const boost::system::error_code& error) {
    if (error || !running_) return;
    if (std::chrono::steady_clock::now() < deadline_) return wait(owner);
    running_ = false;
    has_expired_ = true;
    expired_();
  });
}

}  // namespace stillpoint::daemon
