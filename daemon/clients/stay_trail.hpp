#pragma once
/// The seconds of the open stay for the page's drawing: where each lay, in millimetres about the first that counted,
/// and what became of it, with the two ellipses that hold 95 %.
///
/// A stay on a control mark adds where the mark lies.
///
/// Units:   millimetres east, north and up; seconds since the first epoch observed; degrees from north, clockwise.
/// Threads: plain value.
/// Errors:  none; no stay, or one in which nothing counted yet, is the text `null`.

#include <optional>
#include <string>
#include <vector>

#include "session/session.hpp"

namespace stillpoint::daemon {

class StayTrail {
 public:
  static constexpr std::size_t kMostSeconds = 20'000;  ///< the newest are kept
  static constexpr std::size_t kForgetAtOnce = 1'000;  ///< of the oldest: then a page needs everything anew

  /// The text that brings a page which has all texts since `whole` up to date. Empty: nothing has changed.
  std::string update(const std::optional<session::OpenStay>& stay);
  /// The text for a page that has nothing.
  std::string whole() const;

 private:
  struct Second {
    double time_s = 0, east_mm = 0, north_mm = 0, up_mm = 0;
    int kind = 0;
    bool operator==(const Second&) const = default;
  };
  void place(const session::FinishedPoint& stay);
  std::vector<Second> seconds_of(const session::FinishedPoint& stay) const;
  std::string head_of(const session::OpenStay& stay) const;
  std::string text_from(std::size_t first) const;

  std::string name_;
  int visit_ = 0;
  std::optional<UtcTime> started_;
  double latitude_deg_ = 0, longitude_deg_ = 0, height_m_ = 0;
  std::string head_;
  std::vector<Second> seconds_;
  bool open_ = false;
};

}  // namespace stillpoint::daemon
