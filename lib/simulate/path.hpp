#pragma once
/// Where the antenna truly is, in the frame of each correction source.
///
/// Units:   degrees, metres, seconds.
/// Time:    a mark is brought into a source's frame at the scenario's start (or the source's numeric epoch); the frames
///          part by less than 0.003 mm in an hour.
/// Threads: plain values after construction.
/// Errors:  `marks_in` says why a frame cannot be reached.

#include <vector>

#include "base/result.hpp"
#include "geodesy/local.hpp"
#include "simulate/scenario.hpp"

namespace stillpoint::simulate {

/// A mark's true place in one frame, and what a metre is there in degrees.
struct FramedMark {
  geodesy::Geographic at;
  double deg_per_m_north = 0, deg_per_m_east = 0;
};

/// The scenario's marks in `frame`; the scenario's own frame when it is empty or the same.
Result<std::vector<FramedMark>> marks_in(const Scenario& scenario, const std::string& frame,
                                         std::optional<double> coordinate_epoch);

/// What is true of the pole at one moment, without a frame.
struct PoleAt {
  std::size_t from = 0, to = 0;  ///< marks; equal while it stands
  double part = 0;               ///< of the way between them
  double antenna_height_m = 0;
  double speed_mps = 0, course_deg = 0;
  const Stand* stand = nullptr;  ///< null while it is carried
};

class Path {
 public:
  /// `marks` in the scenario's own frame.
  Path(const Scenario& scenario, const std::vector<FramedMark>& marks);
  /// `at_s` must not go back between calls.
  PoleAt at(double at_s) noexcept;

 private:
  struct Leg {
    double speed_mps = 0, course_deg = 0;
  };
  const std::vector<Stand>& stands_;
  std::vector<Leg> legs_;  ///< behind stand i
  std::size_t next_ = 0;   ///< first stand that has not ended
};

/// The true position of the phase centre in the frame of `marks`, moved by `offset_m`; plumb above the mark.
geodesy::Geographic antenna_at(const PoleAt& pole, const std::vector<FramedMark>& marks, const Axes& offset_m) noexcept;
/// `position` against `truth`, in metres.
Axes difference_m(const geodesy::Geographic& position, const geodesy::Geographic& truth,
                  const FramedMark& near) noexcept;

}  // namespace stillpoint::simulate
