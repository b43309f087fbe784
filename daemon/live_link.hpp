#pragma once
/// What all live links share: telling the state once per change, waiting longer after each failure, and noticing that
/// the link has fallen silent.
///
/// Time:    the machine's steady clock.
/// Threads: the I/O thread.
/// Errors:  none of its own.

#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <string>

#include "clock.hpp"
#include "feed.hpp"
#include "nmea/framer.hpp"

namespace stillpoint::daemon {

/// How long to wait before the next try: 0.25 s, doubled up to 5 s, and back to 0.25 s after the first valid sentence.
/// An open that brings no sentence is not a success.
class Backoff {
 public:
  static constexpr std::chrono::milliseconds kFirst{250};
  static constexpr std::chrono::milliseconds kLongest{5000};

  std::chrono::milliseconds next() noexcept {
    const auto wait = next_;
    next_ = std::min(next_ * 2, kLongest);
    return wait;
  }
  /// A new link is open: wait for its first sentence.
  void opened() noexcept {
    framer_ = nmea::Framer();
    sentences_ = 0;
  }
  void heard(std::string_view bytes) noexcept {
    if (sentences_ >= kEnough) return;
    framer_.push(bytes, [this](const nmea::Sentence&) { ++sentences_; });
    if (sentences_ > 0) next_ = kFirst;
  }
  /// Checksum-valid sentences since the link was opened, counted up to two.
  int sentences() const noexcept { return sentences_; }

 private:
  static constexpr int kEnough = 2;
  std::chrono::milliseconds next_ = kFirst;
  nmea::Framer framer_;
  int sentences_ = 0;
};

/// The events of one live link, with `what` in front of every sentence.
class LinkEvents {
 public:
  LinkEvents(std::string what, const config::Feed& settings);

  void start(FeedEvents events);
  void stop() noexcept { stopped_ = true; }
  bool stopped() const noexcept { return stopped_; }

  /// Bytes just read. The first ones say that the link is open.
  void bytes(std::string_view bytes);
  /// The link does not work (any more): a cut when bytes had come, then `waiting`.
  void lost(const std::string& why);
  /// Connected, but nothing has come yet.
  void connected();

  Backoff& backoff() noexcept { return backoff_; }
  /// After so long without a byte a link is taken down and made anew: a half-open one looks just like this.
  std::chrono::milliseconds patience() const noexcept { return patience_; }
  const std::string& what() const noexcept { return what_; }

 private:
  void tell(session::FeedState state, const std::string& what, SteadyTime at);

  std::string what_;
  std::chrono::milliseconds patience_;
  FeedEvents events_;
  Backoff backoff_;
  bool stopped_ = false;
  bool flowing_ = false;
  bool told_ = false;
  session::FeedState told_state_ = session::FeedState::waiting;
  std::string told_what_;
};

/// Calls `expired` once when nothing was heard within the time given last.
class Watchdog {
 public:
  Watchdog(asio::io_context& io, std::function<void()> expired) : timer_(io), expired_(std::move(expired)) {}
  /// The clock starts anew. The watchdog's owner must be kept alive by `owner` while it runs.
  void expect_within(std::chrono::milliseconds patience, const std::shared_ptr<void>& owner);
  void stop();
  bool has_expired() const noexcept { return has_expired_; }

 private:
  void wait(const std::shared_ptr<void>& owner);

  asio::steady_timer timer_;
  std::function<void()> expired_;
  std::chrono::steady_clock::time_point deadline_{};
  bool running_ = false;
  bool has_expired_ = false;
};

/// The head of a journal for bytes stamped by this machine.
inline record::JournalHead clock_anchor() {
  return {utc_now(), steady_now(), true};
}

}  // namespace stillpoint::daemon
