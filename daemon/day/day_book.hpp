#pragma once
/// What was counted since the last closing of a day.
///
/// Rule:    a closing covers what was measured since the one before it, at most 24 hours back (pointbook/closings.hpp).
/// Units:   none. Time: UTC of the data. Threads: plain values. Errors: none.

#include <map>
#include <string>
#include <vector>

#include "keeping/catalogue.hpp"
#include "pointbook/closings.hpp"
#include "pointbook/happened.hpp"

namespace stillpoint::daemon {

/// Key of the alert that tells of them: when it is over, somebody has seen it.
inline constexpr const char* kStayLost = "stay-lost";

/// What was counted.
struct DayTally {
  std::size_t accepted = 0, held = 0, rejected = 0, abandoned = 0, outages = 0;
  std::map<std::string, std::size_t> alerts;  ///< raised, by key
  std::vector<std::string> held_points;       ///< names, visits and why
  std::vector<std::string> by_hand;           ///< accepted so: names, visits, why they were held, who and why
};

/// A stay that ended otherwise than by hand and left nothing, since the last closing.
struct LostStay {
  UtcTime utc;
  pointbook::LostStay stay;
  std::string text;  ///< one sentence
  bool seen = false;
};

/// What has happened so far, as far as a closing counts it.
class DayBook {
 public:
  /// Every event, in the order of storing.
  void hear(const pointbook::Event& event);
  const pointbook::Closings& closings() const noexcept { return closings_; }
  /// Of what a closing at `now` would cover.
  DayTally tally(const Catalogue& points, UtcTime now) const;
  /// Closed, and nothing was kept since.
  bool is_closed(const Catalogue& points) const;
  const std::vector<LostStay>& lost_stays() const noexcept { return lost_; }
  /// Those that nobody has seen yet, in one sentence; empty: there are none.
  std::string unseen_stays() const;
  /// Points of earlier days that no closing of now can cover.
  std::size_t left_open(const Catalogue& points, UtcTime now) const;

 private:
  struct Happened {
    UtcTime utc;
    std::string kind;
    bool alert = false;
  };
  pointbook::Closings closings_;
  std::vector<Happened> happened_;  ///< since the last closing
  std::vector<LostStay> lost_;      ///< and before it, what nobody has seen
};

/// Sentences or names in one line.
std::string listed(const std::vector<std::string>& each, const char* between);

}  // namespace stillpoint::daemon
