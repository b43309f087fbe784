#pragma once
/// What a receiver prints as a habit, and whether that changed in the middle of the day.
///
/// Looked at in windows of ten stream seconds in which every epoch had a position: the kinds of sentences, the talkers
/// of GGA, GNS and RMC, the rate, the decimals of a minute. Two windows in a row that agree with each other and not
/// with what was so before are a change. A kind that comes now and then (fewer than three times a window) says nothing,
/// and the satellites' own sentences are taken without their talkers, which come and go with the sky.
///
/// Time:    stream time of the epochs. Threads: one object, one thread. Errors: none.

#include <array>
#include <cstdint>
#include <optional>
#include <string>

#include "epoch/epoch.hpp"
#include "nmea/decode.hpp"

namespace stillpoint::epoch {

class Fingerprint {
 public:
  /// Every sentence, before its epoch.
  void sentence(const nmea::Decoded& sentence) noexcept;
  /// An epoch that closed. Returns what changed as one sentence; empty: nothing.
  std::string epoch(const Epoch& epoch);

 private:
  static constexpr std::size_t kKinds = 9;
  struct Habits {
    std::array<bool, kKinds> comes{};
    std::array<std::array<char, 3>, 3> talkers{};  ///< of GGA, GNS, RMC
    std::int64_t interval_ms = 0;                  ///< 0: not known
    int minute_decimals = 0;
    bool operator==(const Habits&) const = default;
  };
  struct Window {
    std::array<int, kKinds> counts{};
    std::array<std::array<char, 3>, 3> talkers{};
    std::int64_t first_ms = 0, last_ms = 0;
    int epochs = 0;
    int minute_decimals = 0;
    bool whole = true;  ///< no gap, a position in every epoch
  };
  Habits habits_of(const Window& window) const noexcept;
  static std::string difference(const Habits& before, const Habits& now);

  Window window_;
  std::optional<Habits> known_, candidate_;
};

}  // namespace stillpoint::epoch
