#pragma once
/// The epochs of one occupation sorted into homogeneous segments: classes never mixed, outliers refused, steps found.
///
/// A segment is averaged alone. An epoch that the gate of the current segment refuses may agree with another segment of
/// its class and goes on there: so a level continues after a false fix. Five refusals in a row that agree among
/// themselves are a step and open a segment, unless they lie within 3.5 sigma of a running median or 3 sigma of a
/// segment's mean: then the error only wandered, and they are let in there. A step no higher than the gate is wide
/// shows where epochs are independent of each other: the mean of the last five leaves that of those before.
///
/// Segments of different classes: of the complete ones the best class is kept, of one rank the longest, of equals the
/// earliest; never the one whose error would be printed smallest. Segments of the kept class whose means lie near each
/// other (2.5 sigma of one epoch) are one level and averaged together; where they disagree the stay is unresolved, held
/// with a radius that covers all of them.
///
/// What it cannot see: a receiver that is wrong from the first epoch to the last, and a step of fewer than five epochs,
/// of which it refuses only what lies beyond the gate.
///
/// Units:   as `average.hpp`.
/// Time:    stream milliseconds handed in.
/// Threads: one object, one thread. Room for all segments is taken at construction; observing allocates nothing.
/// Errors:  none.

#include <array>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "estimate/average.hpp"
#include "estimate/outlier.hpp"

namespace stillpoint::estimate {

/// What makes two epochs averageable: source, station, quality class, antenna height, frame, and no gap between.
/// The caller numbers the combinations; equal numbers are the same class.
struct Class {
  int key = 0;
  int rank = 0;  ///< higher is better
  Scale scale;
};

enum class Placement : std::uint8_t { averaged, outlier };

struct Placed {
  Placement placement = Placement::averaged;
  int segment = -1;           ///< of the averaged epoch; -1 for an outlier
  double distance_sigma = 0;  ///< from the running median, in the gate's scale; an outlier lies beyond 5
  /// This many epochs directly before, refused as outliers, now belong to `segment` (new or not) as well.
  int moved_from_outlier = 0;
};

struct Segment {
  int class_key = 0;
  int rank = 0;
  std::uint64_t epochs = 0;
  std::int64_t first_ms = 0, last_ms = 0;  ///< stream time of its first and last averaged epoch
};

/// What a stay comes to, now or at its end.
struct Conclusion {
  int segment = -1;         ///< the kept one; -1: nothing was averaged
  std::vector<int> joined;  ///< other segments of the class at the same level; their epochs are in the estimate
  Estimate estimate;        ///< of the kept and the joined; when unresolved its radii cover all of the class
  bool unresolved = false;
  std::vector<int> disagreeing;  ///< the other segments of the kept class, when unresolved
  double separation_m = 0;       ///< largest horizontal distance of one of them from the kept level
  double separation_up_m = 0;    ///< largest difference in height
  /// It must not count as it is: two levels, or a position that drifted.
  bool is_held() const noexcept { return unresolved || estimate.motion.drifting || estimate.motion_up.drifting; }
};

/// Rules of completion used to choose among classes.
struct Completion {
  int min_epochs = 1;
  std::int64_t min_duration_ms = 0;  ///< last − first + one interval
};

class Stay {
 public:
  /// Epochs that would open a further one stay outliers.
  static constexpr std::size_t kMostSegments = 64;
  /// Refusals in a row that agree open a segment; a segment of fewer epochs never makes a stay unresolved.
  static constexpr std::size_t kStep = 5;

  Stay();
  /// `stream_ms` never goes backwards within a stay.
  Placed observe(const Class& cls, const Sample& sample, std::int64_t stream_ms);
  const std::vector<Segment>& segments() const noexcept;
  /// Smallest time step seen between averaged epochs, ms; 0 before there were two.
  std::int64_t interval_ms() const noexcept;
  Conclusion conclude(const Completion& completion) const;
  Estimate estimate_of(int segment) const noexcept;
  /// True once a step could not be given a segment because there were too many already.
  bool too_many_segments() const noexcept;

 private:
  struct Run {
    Average average;
    OutlierGate gate;
  };
  /// One of the last epochs offered, whatever became of it.
  struct Offered {
    Sample sample;
    std::int64_t stream_ms = 0;
    bool averaged = false;
  };
  struct Nearest {
    int segment = -1;  ///< of the class; -1 when it has none
    OutlierGate::Distance distance;
  };
  Nearest nearest(int class_key, const Sample& sample) noexcept;
  Nearest nearest_level(int class_key, const Sample& mean, double error_scale) noexcept;
  void offer(const Sample& sample, std::int64_t stream_ms) noexcept;
  Placed place_five(const Class& cls, double distance_sigma);
  std::size_t refused_in_a_row() const noexcept;
  Placed open_from(std::size_t newest, const Class& cls, double distance_sigma);
  Placed settle(std::size_t newest, int segment, double distance_sigma) noexcept;
  bool quiet_step(const OutlierGate::Distance& distance, double error_scale) const noexcept;
  int open(const Class& cls, std::int64_t stream_ms);
  void average(int segment, const Sample& sample, std::int64_t stream_ms) noexcept;
  int best_of_class(int class_key) const noexcept;
  bool complete(const Segment& segment, const Completion& completion) const noexcept;
  void weigh_others(Conclusion& conclusion) const;
  void cover(Conclusion& conclusion, int other, const Estimate& kept) const;

  Sample origin_;  // the first epoch of the stay
  std::vector<Segment> segments_;
  std::vector<Run> runs_;                 // one a segment
  std::array<Offered, kStep> offered_{};  // of one class and since the last step, the newest last
  std::size_t offered_count_ = 0;
  int offered_class_ = 0;
  int current_ = -1;  // the segment last averaged into
  std::int64_t last_ms_ = 0;
  std::int64_t interval_ms_ = 0;
  bool too_many_ = false;
};

}  // namespace stillpoint::estimate
