#pragma once
/// Gives a log without a journal its time: from TAG blocks (`c:`), else from the stream's own UTC.
///
/// Cuts the bytes at sentence ends and says for each piece when it arrived. The time is steady: it starts at 0 with the
/// first timed sentence and never goes back (a backward step of the stream's UTC holds it). Midnight is run over. With UTC only, all sentences of one instant arrive at once, and
/// silence and repetition cannot be timed.
///
/// Units: milliseconds. Threads: one object, one thread. Errors: none.

#include <cstdint>
#include <string_view>

#include "base/time.hpp"
#include "nmea/framer.hpp"

namespace stillpoint::record {

enum class TimeSource : std::uint8_t { none, utc, tag };

class LogClock {
 public:
  /// Calls `on_piece(std::string_view bytes, SteadyTime arrived)`; the pieces, joined, are the bytes pushed so far
  /// up to the last sentence end. What is left is handed out by later calls or by `finish`.
  template <class OnPiece>
  void push(std::string_view bytes, OnPiece&& on_piece);
  template <class OnPiece>
  void finish(OnPiece&& on_piece);

  TimeSource source() const noexcept { return source_; }

 private:
  TimeSource source_ = TimeSource::none;
};

}  // namespace stillpoint::record
