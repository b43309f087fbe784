#pragma once
/// What all live links share: telling the state once per change, waiting longer after each failure, and noticing that
/// the link has fallen silent or speaks nothing that can be understood.
///
/// A link counts as open with its first valid sentence, not with its first byte: a wrong rate or a wrong port also
/// brings bytes. What came before that sentence is kept, up to a bound, and handed on with it.
///
/// Time:    the machine's steady clock.
/// Threads: the I/O thread.
/// Errors:  none of its own.

#include <boost/asio/steady_timer.hpp>
#include <boost/asio/write.hpp>
#include <chrono>
#include <string>

#include "common/clock.hpp"
#include "common/timers.hpp"
#include "common/times.hpp"
#include "feeds/feed.hpp"
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
    framer_.push(bytes, [this](const nmea::Sentence&) { ++sentences_; });
    if (sentences_ > 0) next_ = kFirst;
  }
  /// Checksum-valid sentences since the link was opened.
  std::uint64_t sentences() const noexcept { return sentences_; }

 private:
  std::chrono::milliseconds next_ = kFirst;
  nmea::Framer framer_;
  std::uint64_t sentences_ = 0;
};

/// The events of one live link, with `what` in front of every sentence.
class LinkEvents {
 public:
  LinkEvents(std::string what, const config::Feed& settings);

  void start(FeedEvents events);
  /// How many valid sentences show that the link is right; one, unless a rate is being tried.
  void require(std::uint64_t sentences) noexcept { required_ = sentences; }
  void stop() noexcept { stopped_ = true; }
  bool stopped() const noexcept { return stopped_; }

  /// Bytes just read; the first valid sentence among them says that the link is open. True: a sentence was completed,
  /// so the link is well.
  bool bytes(std::string_view bytes);
  /// The link does not work (any more): a cut when bytes had come, then `waiting`.
  void lost(const std::string& why);
  /// What follows is another sender's: a cut, and it must show a sentence like a new link.
  void taken_over();
  void sender_changed(const std::string& text);
  /// Connected, but nothing has come yet.
  void connected();
  /// What came so far was read wrongly (another rate): forget it.
  void discard();
  /// Why the link is given up after `patience` without a sentence, with what to look at when only other bytes came.
  std::string silence(std::string_view noun, std::string_view hint) const;

  Backoff& backoff() noexcept { return backoff_; }
  const Backoff& backoff() const noexcept { return backoff_; }
  /// Any byte since the link was opened or its bytes were discarded.
  bool heard_any() const noexcept { return heard_any_; }
  /// After so long without a sentence a link is taken down and made anew: a half-open one looks just like this.
  std::chrono::milliseconds patience() const noexcept { return scaled(patience_); }

 private:
  void tell(session::FeedState state, const std::string& what, FeedTime at);

  std::string what_;
  std::chrono::milliseconds patience_;
  FeedEvents events_;
  Backoff backoff_;
  std::uint64_t required_ = 1;
  bool stopped_ = false;
  bool up_ = false;           ///< connected, and not lost since
  bool was_silent_ = false;   ///< the link before this one was up and brought no sentence
  bool flowing_ = false;      ///< enough valid sentences have come since the link was opened
  bool heard_any_ = false;    ///< any byte since the link was opened
  bool heard_since_ = false;  ///< any byte since the last valid sentence
  std::string held_;          ///< bytes before the first valid sentence
  bool told_ = false;
  session::FeedState told_state_ = session::FeedState::waiting;
  std::string told_what_;
};

/// Bytes on their way to the receiver, in order, never more than a bound. A link that has taken nothing for a while does
/// not keep up: what waits for it by then is old, and is dropped.
template <class Stream>
class LinkWriter {
 public:
  explicit LinkWriter(Stream& stream) : stream_(stream) {}
  /// False: the link is down or does not keep up; the bytes are not sent.
  bool write(std::string_view bytes, const std::shared_ptr<void>& owner) {
    if (!stream_.is_open() || pending_.size() + bytes.size() > kMost) return false;
    if (writing_ && std::chrono::steady_clock::now() - began_ > scaled(kDeadline)) {
      pending_.clear();
      return false;
    }
    pending_ += bytes;
    if (!writing_) go(owner);
    return true;
  }

 private:
  static constexpr std::size_t kMost = 65'536;
  static constexpr std::chrono::milliseconds kDeadline{5'000};

  void go(const std::shared_ptr<void>& owner) {
    writing_ = true;
    began_ = std::chrono::steady_clock::now();
    current_ = std::exchange(pending_, {});
    asio::async_write(stream_, asio::buffer(current_),
                      [this, owner](const boost::system::error_code& error, std::size_t) {
                        writing_ = false;
                        if (error) {
                          pending_.clear();
                        } else if (!pending_.empty()) {
                          go(owner);
                        }
                      });
  }

  Stream& stream_;
  std::string pending_, current_;
  std::chrono::steady_clock::time_point began_{};  ///< the write that goes on
  bool writing_ = false;
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
  return {utc_now(), stamped(machine_now()), true};
}

}  // namespace stillpoint::daemon
