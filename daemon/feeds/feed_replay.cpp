/// A recorded log played back at the pace of its own time. The wall clock only paces; every time the session sees is
/// the log's, so any pace gives the same day. Commands in a journal beside the log belong to the day it was recorded on
/// and are not carried out again; cuts of the link are.

#include <spdlog/spdlog.h>

#include <boost/asio/post.hpp>
#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <cmath>
#include <filesystem>
#include <utility>

#include "common/clock.hpp"
#include "feeds/feed.hpp"
#include "feeds/log_pieces.hpp"
#include "feeds/sentences.hpp"

namespace stillpoint::daemon {
namespace {

using Clock = std::chrono::steady_clock;
using boost::system::error_code;

// Clients are served between slices, also at the highest pace.
constexpr std::chrono::milliseconds kSlice{5};
constexpr std::int64_t kLongestWaitMs = 60'000;  // of the log's time

class ReplayFeed final : public Feed {
 public:
  ReplayFeed(asio::io_context& io, const config::Feed& settings, const FeedOptions& options, LogPieces pieces)
      : timer_(io),
        what_("replay " + std::filesystem::path(settings.file).filename().string()),
        pace_(options.as_fast_as_possible ? std::nullopt : settings.pace),
        pieces_(std::move(pieces)) {
    const auto found = find_anchor(settings.file);
    anchor_ = found ? *found : record::JournalHead{utc_now(), FeedTime{0}, false};
  }
  ~ReplayFeed() override { stop(); }

  void start(FeedEvents events) override {
    events_ = std::move(events);
    running_ = true;
    take_next();
    log_start_ = last_ = next_ ? next_->arrived : anchor_.steady;
    wall_start_ = Clock::now();
    boost::asio::post(timer_.get_executor(), [this, alive = std::weak_ptr<int>(alive_)] {
      if (alive.expired() || !running_) return;
      events_.state(session::FeedState::open, what_, last_);
      play();
    });
  }

  void stop() override {
    last_ = now();
    running_ = false;
    timer_.cancel();
  }

  // Between two pieces the log's time runs on with the wall clock, but never past the piece to come.
  FeedTime now() const override {
    if (!running_ || !next_ || !pace_) return last_;
    const double wall_s = std::chrono::duration<double>(Clock::now() - wall_start_).count();
    const FeedTime paced{log_start_.ms + static_cast<std::int64_t>(std::floor(wall_s * *pace_ * 1000.0))};
    return std::clamp(paced, last_, std::max(last_, next_->arrived));
  }

  record::JournalHead anchor() const override { return anchor_; }

 private:
  void take_next() { next_ = pieces_.next(); }

  /// A log may be silent for hours, or its receiver may have learnt the time only after a while: nobody waits for that.
  void shorten_wait() {
    if (!pace_ || !next_) return;
    const std::int64_t silent_ms = next_->arrived.ms - last_.ms;
    if (silent_ms <= kLongestWaitMs) return;
    skipped_ms_ = silent_ms - kLongestWaitMs;
    spdlog::info("feed {}: no byte for {} s of the log; {} s of them are waited for", what_, silent_ms / 1000,
                 kLongestWaitMs / 1000);
  }

  bool is_due() const {
    if (!pace_) return true;
    return Clock::now() >= due();
  }

  Clock::time_point due() const {
    const double wall_s = static_cast<double>(next_->arrived.ms - log_start_.ms - skipped_ms_) / 1000.0 / *pace_;
    return wall_start_ + std::chrono::duration_cast<Clock::duration>(std::chrono::duration<double>(wall_s));
  }

  void play() {
    const auto slice_end = Clock::now() + kSlice;
    while (running_ && next_ && is_due() && Clock::now() < slice_end) deliver();
    if (!running_) return;
    if (!next_) return end();
    timer_.expires_at(pace_ ? due() : Clock::now());
    timer_.async_wait([this, alive = std::weak_ptr<int>(alive_)](const error_code& error) {
      if (!error && !alive.expired() && running_) play();
    });
  }

  void deliver() {
    // Ticks asked for since the last piece may have brought the time further than that piece.
    last_ = std::max(last_, next_->arrived);
    const Piece piece = std::move(*next_);
    log_start_.ms += std::exchange(skipped_ms_, 0);
    take_next();
    shorten_wait();
    if (piece.cut) {
      events_.cut(last_);
    } else if (piece.clock) {
      if (events_.clock) events_.clock(*piece.clock, last_);
    } else if (piece.delivery) {
      if (events_.delivery) events_.delivery(*piece.delivery, last_);
    } else if (piece.to != Piece::To::session) {
      if (events_.corrections) events_.corrections(piece.bytes, piece.to == Piece::To::nobody, last_);
    } else {
      events_.bytes(piece.bytes, last_);
    }
  }

  void end() {
    running_ = false;
    spdlog::info("feed {}: end of the log, {}", what_, pieces_.about());
    events_.state(session::FeedState::ended, kSayOfFeeds.end_of_log(what_, pieces_.about()), last_);
  }

  asio::steady_timer timer_;
  std::string what_;
  std::optional<double> pace_;
  LogPieces pieces_;
  record::JournalHead anchor_;
  FeedEvents events_;
  std::optional<Piece> next_;
  FeedTime log_start_, last_;
  std::int64_t skipped_ms_ = 0;  ///< of the silence before `next_`
  Clock::time_point wall_start_;
  bool running_ = false;
  std::shared_ptr<int> alive_ = std::make_shared<int>(0);
};

}  // namespace

Result<std::unique_ptr<Feed>> open_replay_feed(asio::io_context& io, const config::Feed& settings,
                                               const FeedOptions& options) {
  std::error_code unknown;
  if (std::filesystem::is_directory(settings.file, unknown)) {
    return fail(kSayOfFeeds.log_is_folder(settings.file));
  }
  auto pieces = LogPieces::open(settings.file);
  if (!pieces) return tl::unexpected(pieces.error());
  return std::make_unique<ReplayFeed>(io, settings, options, std::move(*pieces));
}

}  // namespace stillpoint::daemon
