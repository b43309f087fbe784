#include "feeds/live_link.hpp"

#include <spdlog/spdlog.h>

#include <algorithm>

#include "feeds/sentences.hpp"

namespace stillpoint::daemon {
namespace {

constexpr std::size_t kMostHeld = 65'536;

}  // namespace

LinkEvents::LinkEvents(std::string what, const config::Feed& settings)
    : what_(std::move(what)),
      patience_(std::max<std::int64_t>(10'000, static_cast<std::int64_t>(settings.silence_s * 3000.0))) {}

void LinkEvents::start(FeedEvents events) {
  events_ = std::move(events);
}

void LinkEvents::tell(session::FeedState state, const std::string& what, FeedTime at) {
  if (stopped_ || (told_ && state == told_state_ && what == told_what_)) return;
  told_ = true;
  told_state_ = state;
  told_what_ = what;
  if (state == session::FeedState::open) spdlog::info("feed {}: bytes arrive", what_);
  if (state == session::FeedState::waiting) spdlog::warn("feed {}", what);
  events_.state(state, what, at);
}

bool LinkEvents::bytes(std::string_view bytes) {
  if (stopped_ || bytes.empty()) return false;
  const FeedTime arrived = stamped(machine_now());
  heard_any_ = heard_since_ = true;
  const std::uint64_t before = backoff_.sentences();
  backoff_.heard(bytes);
  const bool sentence = backoff_.sentences() > before;
  if (sentence) heard_since_ = false;
  if (!flowing_ && backoff_.sentences() < required_) {
    if (held_.size() + bytes.size() > kMostHeld) held_.clear();
    held_ += bytes.substr(bytes.size() > kMostHeld ? bytes.size() - kMostHeld : 0);
    return sentence;
  }
  std::string whole;
  if (!std::exchange(flowing_, true)) {
    tell(session::FeedState::open, what_, arrived);
    // In one piece, as nothing may come between them that has a later time.
    whole = std::exchange(held_, {}) + std::string(bytes);
    bytes = whole;
  }
  if (!stopped_) events_.bytes(bytes, arrived);
  return sentence;
}

void LinkEvents::lost(const std::string& why) {
  if (stopped_) return;
  const FeedTime at = stamped(machine_now());
  held_.clear();
  was_silent_ = std::exchange(up_, false) && !flowing_;
  if (std::exchange(flowing_, false)) events_.cut(at);
  tell(session::FeedState::waiting, what_ + ": " + why, at);
}

void LinkEvents::taken_over() {
  if (stopped_) return;
  discard();
  if (std::exchange(flowing_, false)) events_.cut(stamped(machine_now()));
}

void LinkEvents::sender_changed(const std::string& text) {
  if (!stopped_ && events_.sender_changed) events_.sender_changed(what_ + ": " + text);
}

void LinkEvents::connected() {
  discard();
  up_ = true;
  spdlog::info("feed {}: connected", what_);
  // Why the link was down is no longer so. That it is up and silent, once told, stands until something comes.
  if (told_ && told_state_ == session::FeedState::waiting && !was_silent_) {
    tell(session::FeedState::waiting, kSayOfFeeds.up_and_silent(what_), stamped(machine_now()));
  }
}

void LinkEvents::discard() {
  backoff_.opened();
  held_.clear();
  heard_any_ = heard_since_ = false;
}

std::string LinkEvents::silence(std::string_view noun, std::string_view hint) const {
  const std::string seconds = std::to_string(patience_.count() / 1000);
  if (heard_since_) return kSayOfFeeds.no_nmea(seconds, hint);
  return heard_any_ ? kSayOfFeeds.nothing_for(noun, seconds) : kSayOfFeeds.nothing_at_all(noun, seconds);
}

void Watchdog::expect_within(std::chrono::milliseconds patience, const std::shared_ptr<void>& owner) {
  deadline_ = std::chrono::steady_clock::now() + patience;
  has_expired_ = false;
  // Bytes come far more often than silence. A deadline that moves away leaves the timer alone: when it runs out early,
  // it looks again at the later deadline.
  if (std::exchange(running_, true) && timer_.expiry() <= deadline_) return;
  wait(owner);
}

void Watchdog::stop() {
  running_ = false;
  timer_.cancel();
}

void Watchdog::wait(const std::shared_ptr<void>& owner) {
  timer_.expires_at(deadline_);
  timer_.async_wait([this, owner](const boost::system::error_code& error) {
    if (error || !running_) return;
    if (std::chrono::steady_clock::now() < deadline_) return wait(owner);
    running_ = false;
    has_expired_ = true;
    expired_();
  });
}

}  // namespace stillpoint::daemon
