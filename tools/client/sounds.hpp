#pragma once
/// What the terminal's bell says, and when: a rhythm for each severity, for eyes that are on the bubble.
///
/// An alert sounds once when it is new (after a short wait where a cause often passes by itself), and again when the
/// daemon tells it again. What comes and goes falls silent for two minutes. Being quiet silences everything but
/// alerts that are new. Training is silent.
///
/// Units:   milliseconds of the caller's steady clock.
/// Threads: plain values.

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "client/wire_names.hpp"

namespace stillpoint::client {

enum class Sound : std::uint8_t { none, good, low, medium, high };

inline constexpr std::int64_t kQuiet_ms = 120'000;

/// Decides what is to be heard.
class Ears {
 public:
  /// `counts`: the verdict on the screen. Call with every status, and between them so that waits run out.
  Sound hear(const Json& status, bool counts, bool lost, std::int64_t now_ms);
  void be_quiet(std::int64_t now_ms) noexcept { quiet_until_ms_ = now_ms + kQuiet_ms; }
  bool quiet(std::int64_t now_ms) const noexcept { return now_ms < quiet_until_ms_; }
  std::int64_t quiet_left_ms(std::int64_t now_ms) const noexcept {
    return quiet(now_ms) ? quiet_until_ms_ - now_ms : 0;
  }

 private:
  struct Known {
    std::int64_t since_ms = 0;
    long long repeats = 0, times = 1;
    bool told = false;
  };
  Sound of_alert(const Json& alert, std::int64_t now_ms, std::map<std::string, Known>& present);
  bool good_news(const Json& status, bool counts);

  std::map<std::string, Known> known_;
  std::map<std::string, std::int64_t> muted_until_ms_;  ///< by key: what comes and goes
  std::int64_t quiet_until_ms_ = 0, good_at_ms_ = 0;
  bool counted_ = true, was_enough_ = true, was_lost_ = false;
  std::string point_;
};

/// Turns a sound into single strokes of the bell. A stronger sound replaces a weaker one, never the other way.
class Bell {
 public:
  void ring(Sound sound, std::int64_t now_ms);
  /// True when a stroke is due; asks no more than one at a time, since terminals merge them.
  bool stroke(std::int64_t now_ms);
  /// Until the next stroke, or -1.
  std::int64_t wait_ms(std::int64_t now_ms) const;

 private:
  std::vector<std::int64_t> strokes_ms_;  ///< still to come, the next one last
  Sound sound_ = Sound::none;
};

}  // namespace stillpoint::client
