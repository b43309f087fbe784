#pragma once
/// Gives a log without a journal its time: from TAG blocks (`c:`), else from the stream's own UTC.
///
/// Cuts the bytes at sentence ends and says for each piece when it arrived. The time is steady: it starts at 0 with the
/// first timed sentence and never goes back (a backward step of the stream's UTC holds it). Midnight is run over. With
/// UTC only, all sentences of one instant arrive at once, and silence and repetition cannot be timed.
///
/// Within one call a piece ends only where the time changes: behind the sentence and the line end that follows it. At
/// the end of a call what is complete is handed out too. So the pieces depend on how the log was cut into calls, but
/// this does not: every sentence lies whole in one piece, and that piece has the sentence's own arrival.
///
/// A step back of up to 5 s holds the time until the stream has caught up; after a longer one (another log, a receiver
/// that learnt its leap seconds) the time goes on from where it stood. Once a TAG block was seen, only those count.
///
/// Units: milliseconds. Threads: one object, one thread. Errors: none.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "base/time.hpp"
#include "nmea/decode.hpp"
#include "nmea/framer.hpp"

namespace stillpoint::record {

enum class TimeSource : std::uint8_t { none, utc, tag };

/// The time of day printed in a sentence (RMC, GGA, GST, ZDA, GNS, GLL), read without decoding the rest.
std::optional<std::int32_t> peek_time_of_day(std::string_view body) noexcept;

/// So many first bytes are enough for `begins_with_tag`.
inline constexpr std::size_t kTagHead = 512;
/// Whether the first sentence of a log has a TAG block with a time: then a clock stamped its arrivals.
bool begins_with_tag(std::string_view head) noexcept;

/// Runs on with the times printed in a stream and never goes back.
class RunningTime {
 public:
  void utc(std::int32_t time_of_day_ms) noexcept;
  void tag(std::int64_t printed) noexcept;
  SteadyTime now() const noexcept { return SteadyTime{now_ms_}; }
  TimeSource source() const noexcept { return source_; }

 private:
  void run_to(std::int64_t stream_ms) noexcept;

  TimeSource source_ = TimeSource::none;
  std::int64_t now_ms_ = 0;
  std::int64_t origin_ms_ = 0;  ///< stream time at which `now` would be 0
  std::int64_t days_ms_ = 0;
  std::int32_t last_time_of_day_ms_ = 0;
};

/// When each sentence of such a log arrived, for a reader that frames the log itself.
class SentenceClock {
 public:
  /// Every sentence, in order; for a reader that has decoded it, without reading its time once more.
  SteadyTime hear(const nmea::Sentence& sentence) noexcept;
  SteadyTime hear(const nmea::Sentence& sentence, const nmea::Decoded& decoded) noexcept;
  SteadyTime now() const noexcept { return time_.now(); }
  TimeSource source() const noexcept { return time_.source(); }

 private:
  RunningTime time_;
};

class LogClock {
 public:
  /// Calls `on_piece(std::string_view bytes, SteadyTime arrived)`; the pieces, joined, are the bytes pushed so far
  /// up to the last sentence end. What is left is handed out by later calls or by `finish`. Long stretches without
  /// a sentence are handed out early.
  template <class OnPiece>
  void push(std::string_view bytes, OnPiece&& on_piece) {
    chunk_ = bytes;
    if (kept_.size() > kLongKept) hand_out_kept(on_piece);
    framer_.push(bytes, [&](const nmea::Sentence& sentence) {
      const SteadyTime before = time_.now();
      if (time_.hear(sentence) != before && last_end_ > handed_out_)
        hand_out(behind_line_end(last_end_), before, on_piece);
      last_end_ = sentence.end;
    });
    if (last_end_ > handed_out_) hand_out(behind_line_end(last_end_), time_.now(), on_piece);
    keep_rest();
  }

  template <class OnPiece>
  void finish(OnPiece&& on_piece) {
    framer_.finish();
    if (!kept_.empty()) on_piece(std::string_view(kept_), time_.now());
    handed_out_ += kept_.size();
    kept_.clear();
    last_end_ = handed_out_;
  }

  TimeSource source() const noexcept { return time_.source(); }

 private:
  /// A sentence does not reach farther back than kReach; older bytes kept without one need not wait for it.
  static constexpr std::size_t kReach = nmea::Framer::kMaxSentence;
  static constexpr std::size_t kLongKept = 16 * kReach;

  std::uint64_t behind_line_end(std::uint64_t offset) const noexcept;
  std::string_view bytes_until(std::uint64_t offset);
  void keep_rest();

  template <class OnPiece>
  void hand_out(std::uint64_t until, SteadyTime arrived, OnPiece&& on_piece) {
    on_piece(bytes_until(until), arrived);
    handed_out_ = until;
  }

  template <class OnPiece>
  void hand_out_kept(OnPiece&& on_piece) {
    const std::size_t size = kept_.size() - kReach;
    on_piece(std::string_view(kept_).substr(0, size), time_.now());
    kept_.erase(0, size);
    handed_out_ += size;
  }

  nmea::Framer framer_;
  SentenceClock time_;
  std::string kept_;        ///< bytes of earlier calls, from `handed_out_` to `chunk_begin_`
  std::string_view chunk_;  ///< the bytes of this call
  std::uint64_t chunk_begin_ = 0;
  std::uint64_t handed_out_ = 0;
  std::uint64_t last_end_ = 0;  ///< end of the last sentence
};

}  // namespace stillpoint::record
