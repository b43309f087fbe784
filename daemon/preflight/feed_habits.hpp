#pragma once
/// How often each kind of sentence comes in a stream, with how many digits, and what both mean for the limits.
///
/// Units:   milliseconds of the receiver's time. Threads: one. Errors: none.

#include <array>
#include <cstdint>
#include <map>
#include <optional>
#include <ostream>
#include <string>
#include <vector>

#include "config/settings.hpp"
#include "epoch/epoch.hpp"
#include "epoch/period.hpp"
#include "nmea/decode.hpp"

namespace stillpoint::daemon {

class FeedHabits {
 public:
  /// Every sentence, under the kind it is listed as.
  void hear(const std::string& kind, const nmea::Decoded& decoded);
  void take(const epoch::Epoch& epoch);

  void tell_periods(std::ostream& out, const config::Settings& settings) const;
  void tell_digits(std::ostream& out) const;
  /// What the digits make impossible under these limits, in whole lines.
  std::vector<std::string> too_coarse(const config::Gate& gate) const;

 private:
  struct Digits {
    std::optional<int> fewest, most;
    void note(int decimals) noexcept;
    std::string text() const;
  };
  struct Kind {
    epoch::Period period;
    std::uint64_t instants = 0;
    std::int64_t first_ms = 0, last_ms = 0;
  };
  /// How often a kind comes; empty: it came once.
  std::optional<std::int64_t> period_of(const Kind& kind) const noexcept;
  std::string meaning(const std::string& name, const Kind& kind, const config::Settings& settings) const;
  std::string of_positions(const config::Settings& settings) const;

  std::optional<std::int64_t> now_ms_;  ///< the newest time that was printed
  std::map<std::string, Kind> kinds_;
  std::int64_t interval_ms_ = 0;  ///< of positions; 0: not known
  Digits minutes_, heights_;
};

}  // namespace stillpoint::daemon
