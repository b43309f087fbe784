#pragma once
/// Learns whether a sentence without a time (GSA, VTG) opens its receiver's burst or comes later in it.
///
/// Undecided, it is taken to belong to the instant before it. Three bursts in a row that show otherwise decide: each
/// began with it after a silence, or its HDOP was that of the position behind it and not of the one before it.
/// Agreement of HDOPs is the better witness: what it decided, silences do not undo.
///
/// Units:   milliseconds; HDOP as printed.
/// Threads: one object, one thread.
/// Errors:  none.

#include <cmath>
#include <cstdint>
#include <optional>

namespace stillpoint::epoch {

class Lead {
 public:
  static constexpr std::int64_t kSilenceMs = 100;
  static constexpr int kVotes = 3;

  bool leads() const noexcept { return leads_; }

  /// A burst's first one came `silence_ms` after the sentence before it.
  void saw_before(std::int64_t silence_ms) noexcept {
    silent_before_ = silence_ms >= kSilenceMs;
    if (by_hdop_ || leads_) return;
    votes_by_silence_ = silent_before_ ? votes_by_silence_ + 1 : 0;
    if (votes_by_silence_ >= kVotes) turn(true, false);
  }

  /// The sentence with a time behind the group came `silence_ms` after it.
  void saw_behind(std::int64_t silence_ms) noexcept {
    if (by_hdop_ || !leads_) return;
    const bool ends_burst = !silent_before_ && silence_ms >= kSilenceMs;
    votes_by_silence_ = ends_burst ? votes_by_silence_ + 1 : 0;
    if (votes_by_silence_ >= kVotes) turn(false, false);
  }

  /// The group's HDOP and those of the positions before and behind it.
  void compare(std::optional<double> before, std::optional<double> group, std::optional<double> behind) noexcept {
    if (!before || !group || !behind || *before == *behind) return;
    const bool with_before = agrees(*group, *before, *behind);
    const bool with_behind = agrees(*group, *behind, *before);
    if (with_before == with_behind) return;
    votes_by_hdop_ = with_behind != leads_ ? votes_by_hdop_ + 1 : 0;
    if (votes_by_hdop_ >= kVotes) turn(with_behind, true);
  }

 private:
  /// True when the group has the value of `with` and not that of `not_with`; values printed with unlike decimals may
  /// differ by rounding.
  static bool agrees(double group, double with, double not_with) noexcept {
    constexpr double kRounding = 0.051;
    if (group == with) return true;
    return std::fabs(group - with) <= kRounding && std::fabs(group - not_with) > kRounding;
  }

  void turn(bool leads, bool by_hdop) noexcept {
    leads_ = leads;
    by_hdop_ = by_hdop;
    votes_by_silence_ = 0;
    votes_by_hdop_ = 0;
  }

  bool leads_ = false;
  bool by_hdop_ = false;
  bool silent_before_ = false;
  int votes_by_silence_ = 0;
  int votes_by_hdop_ = 0;
};

}  // namespace stillpoint::epoch
