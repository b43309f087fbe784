#pragma once
/// The epochs of one occupation sorted into homogeneous segments: classes never mixed, outliers refused, steps found.
///
/// A segment is averaged alone. Five outliers in a row that agree among themselves open a new segment (a step). Segments
/// of different classes: the best complete one is kept. Segments of the kept class that disagree: the stay is unresolved,
/// held with a radius that covers all of them.
///
/// Units:   as `average.hpp`. Threads: one object, one thread. Errors: none.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "estimate/average.hpp"

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
  int segment = -1;              ///< of the averaged epoch; -1 for an outlier
  double distance_sigma = 0;     ///< from the running median, whitened
  int moved_from_outlier = 0;    ///< this many epochs directly before, refused as outliers, now belong to `segment` as well
};

struct Segment {
  int class_key = 0;
  int rank = 0;
  std::uint64_t epochs = 0;
  std::int64_t first_ms = 0, last_ms = 0;  ///< stream time of its first and last averaged epoch
};

/// What a stay comes to, now or at its end.
struct Conclusion {
  int segment = -1;      ///< the kept one; -1: nothing was averaged
  Estimate estimate;     ///< of the kept segment; when unresolved its radii cover all segments of the class
  bool unresolved = false;
  std::vector<int> disagreeing;  ///< the other segments of the kept class, when unresolved
  double separation_m = 0;       ///< largest horizontal distance among them
};

/// Rules of completion used to choose among classes.
struct Completion {
  int min_epochs = 1;
  std::int64_t min_duration_ms = 0;  ///< last − first + one interval
};

class Stay {
 public:
  Stay();
  /// `stream_ms` never goes backwards within a stay.
  Placed observe(const Class& cls, const Sample& sample, std::int64_t stream_ms);
  const std::vector<Segment>& segments() const noexcept;
  /// Smallest time step seen between averaged epochs, ms; 0 before there were two.
  std::int64_t interval_ms() const noexcept;
  Conclusion conclude(const Completion& completion) const;

 private:
  std::vector<Segment> segments_;
};

}  // namespace stillpoint::estimate
