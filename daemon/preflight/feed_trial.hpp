#pragma once
/// Listens to a stream and says what arrives, what is missing, and what that means for this configuration.
///
/// Time:    arrival times as the feed stamps them. Threads: one. Errors: none.

#include <array>
#include <cstdint>
#include <map>
#include <optional>
#include <ostream>
#include <string>
#include <string_view>

#include "common/times.hpp"
#include "config/settings.hpp"
#include "epoch/assembler.hpp"
#include "gate/limits.hpp"
#include "gate/sources.hpp"
#include "nmea/framer.hpp"
#include "preflight/feed_habits.hpp"
#include "preflight/would_count.hpp"

namespace stillpoint::daemon {

class FeedTrial {
 public:
  /// `settings` must outlive the check.
  explicit FeedTrial(const config::Settings& settings);

  void push(std::string_view bytes, FeedTime arrived);
  void finish();
  /// Log or clock time between the first and the last bytes.
  double heard_s() const noexcept;

  void tell(std::ostream& out) const;
  /// Whether any epoch would count on a pole that stands still.
  bool can_count() const noexcept { return counting_.good() > 0; }

 private:
  /// How many there were, and how many had what.
  struct Epochs {
    std::uint64_t all = 0, positions = 0, dated = 0, heights = 0, ages = 0, errors = 0;
  };

  void take(const epoch::Epoch& epoch);
  void count_values(const epoch::Epoch& epoch);
  void tell_arrivals(std::ostream& out) const;
  void tell_epochs(std::ostream& out) const;
  bool has_any(const std::vector<std::string_view>& kinds) const;
  std::vector<std::string> missing() const;
  void missing_fields(std::vector<std::string>& out) const;
  void missing_for(const config::Source& source, std::uint64_t epochs, std::vector<std::string>& out) const;

  const config::Settings& settings_;
  nmea::Framer framer_;
  epoch::Assembler assembler_;
  gate::Matcher matcher_;
  WouldCount counting_;
  std::optional<FeedTime> first_, last_;
  std::map<std::string, std::uint64_t> kinds_;
  std::map<std::string, std::uint64_t> stations_;
  std::array<std::uint64_t, kQualityCount> qualities_{};
  std::vector<std::uint64_t> matched_;  ///< epochs of each source
  std::uint64_t unmatched_ = 0;         ///< with a quality that may have a source, and none found
  Epochs epochs_;
  std::array<std::uint64_t, gate::kLimits.size()> given_{};  ///< epochs with a value for each limit
  FeedHabits habits_;
};

}  // namespace stillpoint::daemon
