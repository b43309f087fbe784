#pragma once
/// One stay on one point: takes judged epochs, sorts the accepted ones into homogeneous segments, knows how far it is
/// from "enough", and ends as a `Point` with its whole provenance.
///
/// One mean is one source, one station, one quality class, one antenna height, one frame, and no gap.
///
/// Units:   metres, milliseconds of stream time.
/// Time:    epochs in the order received; nothing here reads a clock.
/// Threads: one occupation, one thread. The settings and frames must outlive it.
/// Errors:  none; an epoch that cannot be transformed is refused with its reason.

#include <algorithm>
#include <cstdint>
#include <deque>
#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "config/settings.hpp"
#include "estimate/stay.hpp"
#include "gate/judge.hpp"
#include "geodesy/frames.hpp"
#include "geodesy/local.hpp"
#include "occupation/point.hpp"

namespace stillpoint::occupation {

struct Stand {
  std::string name;
  int visit = 1;
  std::string code, note;
  double antenna_height_m = 0;
  bool keep_epochs = true;
  bool training = false;
};

/// Why a stay is not whole.
enum class CutOff : std::uint8_t {
  no,
  broke_off,    ///< nothing came for a while, or the program ended
  clock_back,   ///< the receiver's clock stepped back: what comes next is not joined either
  base_changed  ///< corrections come from another base: what comes next is not joined either
};

struct Progress {
  std::uint64_t accepted = 0, refused = 0;
  double counted_s = 0;                  ///< stream time that the kept segment covers
  bool enough = false;                   ///< minimum epochs and minimum time are reached
  estimate::Conclusion conclusion;       ///< its estimate is meaningful when `accepted` > 0
  std::uint64_t other_level_epochs = 0;  ///< of the largest segment that disagrees
  std::string source;                    ///< of the kept segment; empty: there is none
  double error_scale = 1.0;
  bool error_scale_verified = false;
  bool assumed_sigma = false;  ///< some of its errors are the configuration's: the receiver gave none
};

/// Why an averaged epoch is not in the point, as things stand with it.
enum class Elsewhere : std::uint8_t {
  no,           ///< it is in the point
  place,        ///< at another place than the point
  corrections,  ///< under another source, station or quality than the point
};

/// What the session needs to know about one observed epoch.
struct Observed {
  bool counted = false;   ///< accepted and averaged, wherever
  bool in_point = false;  ///< it is among the seconds that the point would have if it ended here
  Elsewhere elsewhere = Elsewhere::no;
  std::uint64_t lost = 0;    ///< earlier epochs that were in the point until now, and no longer are
  std::uint64_t gained = 0;  ///< earlier epochs that were not, and now are
  gate::ReasonSet reasons;   ///< the gate's, and the occupation's own
  std::string frame_fault;   ///< sentence, when the transformation failed
  bool walked = false;       ///< set apart because somebody walked there: no jump of a standing receiver
  /// Set with `outlier` and `jump`: how far from the last second that counted, in plan and in height.
  double apart_m = 0, apart_up_m = 0;
  /// Of an accepted second (95 %); of one that is set apart the larger of its own and that of the last one counted.
  double claimed95_m = 0, claimed95_up_m = 0;
};

class Occupation {
 public:
  Occupation(Stand stand, const config::Settings& settings, const geodesy::Frames& frames);

  Observed observe(const gate::Judged& judged);
  /// The feed was cut or silent, or its clock stepped back: what comes next is never joined to what is here.
  void interrupt(CutOff how = CutOff::broke_off) noexcept;

  Progress progress() const;
  /// An epoch with a time was observed.
  bool timed() const noexcept { return first_ms_.has_value(); }
  bool empty() const noexcept { return observed_ == 0; }
  std::uint64_t observed() const noexcept { return observed_; }
  const Stand& stand() const noexcept { return stand_; }
  /// The same stay under another name.
  void call(const Called& called) { called.give(stand_); }
  std::optional<UtcTime> started_utc() const noexcept { return started_utc_; }
  /// Stream time since the first observed epoch.
  double lasted_s() const noexcept;

  Point finish() const;
  /// The epochs with their final verdicts, when they were kept.
  std::vector<EpochRecord> epochs() const;

 private:
  /// What one averaged epoch adds to the provenance of its segment.
  struct Facts {
    bool coasted = false, week_rollover = false, behind_clock = false, clock_dated = false, assumed_sigma = false;
    bool low_altitude = false, separation = false;  ///< an altitude far below the sea; a separation that is not zero
    bool age_unknown = false;                       ///< the quality alone was trusted
    bool satellites_lost = false;                   ///< many satellites at once, just before
    bool jump = false;                              ///< an outlier that was not the first in a row
    double coordinate_epoch = 0;
    /// The receiver's own geoid, lowest and highest.
    double geoid_low_m = std::numeric_limits<double>::infinity();
    double geoid_high_m = -std::numeric_limits<double>::infinity();
    void merge(const Facts& other) noexcept {
      coasted |= other.coasted;
      week_rollover |= other.week_rollover;
      behind_clock |= other.behind_clock;
      clock_dated |= other.clock_dated;
      assumed_sigma |= other.assumed_sigma;
      low_altitude |= other.low_altitude;
      age_unknown |= other.age_unknown;
      satellites_lost |= other.satellites_lost;
      separation |= other.separation;
      geoid_low_m = std::min(geoid_low_m, other.geoid_low_m);
      geoid_high_m = std::max(geoid_high_m, other.geoid_high_m);
    }
  };
  struct ClassOf {
    std::size_t source = 0;
    std::optional<int> station;
    Quality quality = Quality::none;
    int stretch = 0;  ///< counts gaps
    bool operator==(const ClassOf&) const = default;
  };
  /// How far the receiver said, or its positions say, that it went since the last second that was averaged.
  struct Walk {
    double path_m = 0, seconds = 0;
    bool goes_on = false;   ///< the newest epoch is part of it
    bool measured = false;  ///< the receiver said its speed; else worked out from positions, which a jump moves too
  };
  static constexpr int kNotAveraged = -1;
  static constexpr int kOutlier = -2;

  int class_key(const ClassOf& wanted);
  void note_time(const epoch::Epoch& epoch) noexcept;
  void note_walk(const gate::Judged& judged, std::optional<std::int64_t> before_ms) noexcept;
  bool walked(double apart_m) const noexcept;
  /// Transforms, reduces to the mark and averages one accepted epoch; returns its segment or one of the two constants.
  int place(const gate::Judged& judged, Observed& out);
  void recount(const estimate::Placed& placed, Observed& out);
  estimate::Sample sample_of(const gate::Judged& judged, const geodesy::Geographic& mark);
  int set_apart(const estimate::Placed& placed, const estimate::Sample& sample, Facts facts, Observed& out);
  void note_placed(const estimate::Placed& placed, const Facts& facts);
  void join_waiting(int segment, std::size_t moved);
  void fill_coordinates(Point& point, const estimate::Conclusion& kept) const;
  void hold_for_geoid(Point& point, const geodesy::Delivered& delivered, const estimate::Conclusion& kept) const;
  void fill_reasons(Point& point, const estimate::Conclusion& kept) const;
  void fill_flags(Point& point, const estimate::Conclusion& kept) const;
  void fill_counts(Point& point, const estimate::Conclusion& kept) const;
  Facts facts_of(const estimate::Conclusion& kept) const noexcept;
  estimate::Completion completion() const noexcept;
  /// What the stay comes to, with the geoid's error in the height where heights above it are delivered.
  estimate::Conclusion conclude() const;
  double counted_s(const estimate::Conclusion& kept) const;
  std::uint64_t epochs_of(const estimate::Conclusion& kept) const;
  const config::Source& source_of(int segment) const;

  Stand stand_;
  const config::Settings* settings_;
  const geodesy::Frames* frames_;
  std::int64_t silence_ms_;  ///< a longer step between epochs is a gap
  estimate::Stay stay_;
  std::optional<geodesy::LocalFrame> plane_;
  double cosine_of_latitude_ = 1;  ///< of its origin
  std::vector<ClassOf> classes_;
  std::vector<Facts> facts_;   ///< by segment
  std::deque<Facts> waiting_;  ///< of the last outliers: they may turn out to be a new segment
  int stretch_ = 0;
  CutOff cut_off_ = CutOff::no;
  std::uint64_t observed_ = 0, gate_refused_ = 0, outliers_ = 0, jumps_ = 0;
  int outliers_in_a_row_ = 0;
  /// The last second that was averaged.
  struct Counted {
    double east_m = 0, north_m = 0, up_m = 0;
    double claimed95_m = 0, claimed95_up_m = 0;
  };
  std::optional<Counted> counted_;
  Walk walk_;  ///< since then
  std::array<std::uint64_t, gate::kReasonCount> refused_{};
  std::optional<UtcTime> started_utc_, finished_utc_;
  std::optional<std::int64_t> first_ms_, last_ms_;
  std::vector<EpochRecord> records_;
  std::vector<int> placed_;     ///< beside `records_`: segment, or one of the two constants
  std::vector<bool> in_point_;  ///< by segment: it was in the point at the last epoch
};

}  // namespace stillpoint::occupation
