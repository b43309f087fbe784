#pragma once
/// Whether the daemon is still there while nothing comes from it: after a short silence it is asked, and an answer that
/// does not come soon means that it is lost, so that the screen never shows an old YES for longer than 2.5 s.
///
/// Units:   milliseconds of the caller's steady clock.
/// Threads: plain value.

#include <cstdint>

namespace stillpoint::client {

class Liveness {
 public:
  Liveness(std::int64_t now_ms, std::int64_t quiet_ms) : heard_ms_(now_ms), quiet_ms_(quiet_ms) {}

  void heard(std::int64_t now_ms) noexcept {
    heard_ms_ = now_ms;
    asked_ = false;
  }
  /// True once per silence: ask now.
  bool ask_once(std::int64_t now_ms) noexcept {
    if (asked_ || now_ms - heard_ms_ < quiet_ms_) return false;
    return asked_ = true;
  }
  bool lost(std::int64_t now_ms) const noexcept { return asked_ && now_ms - heard_ms_ >= 2 * quiet_ms_; }
  double silent_for_s(std::int64_t now_ms) const noexcept { return static_cast<double>(now_ms - heard_ms_) / 1000.0; }

 private:
  std::int64_t heard_ms_;
  std::int64_t quiet_ms_;
  bool asked_ = false;
};

}  // namespace stillpoint::client
