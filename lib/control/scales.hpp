#pragma once
/// Where the error scale of each source stands, from the stays on marks and the repeat visits of all days.
///
/// Rule:    a stay on a mark is held against the mark, with the mark's own error. A place without truth counts when it
///          was visited twice. Of stays of one source less than 45 min apart one counts, for within that time they
///          share an error: stays on marks go first, the earliest of them first.
///          A check that did not pass counts, or the scale would be that of the good ones alone; unless a mistake that
///          was not the receiver's explains it.
///          Every stay says with which scale it was averaged, and is taken without it: a scale is no evidence of
///          itself. Nothing here changes a figure. Only the line does that somebody pastes into the configuration.
/// Units:   metres; scales are plain factors.
/// Time:    UTC of the stays, in any order. Threads: plain functions.
/// Errors:  sentences: for each source why nothing can be said, and which stays were left out.

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "config/settings.hpp"
#include "control/compare.hpp"
#include "control/marks.hpp"
#include "control/shot.hpp"
#include "estimate/calibration.hpp"
#include "occupation/point.hpp"

namespace stillpoint::control {

/// One stay, as far as it speaks of its source's error figure.
struct ScaleStay {
  std::string source;
  std::string place;  ///< name of the mark or point
  std::string title;  ///< for sentences
  int book = 0;       ///< equal names of different books are different places
  bool on_mark = false;
  std::optional<UtcTime> from, to;
  std::optional<estimate::Claimed> claimed;
  geodesy::Geographic at{};
  geodesy::Enu off_mark{};  ///< on a mark: what it was off
  bool has_height = true;   ///< on a mark: the mark's can be compared
  double mark_sigma_plan_m = 0, mark_sigma_up_m = 0;
  std::optional<double> error95_plan_m;
  bool failed = false;  ///< a check that did not pass
  std::string unfit;    ///< why it does not count; empty: it does
};

ScaleStay stay_of(const CheckShot& shot);
/// A point as one visit of a place; on `mark`, where it has one: `off` is what it was off it.
ScaleStay stay_of(const occupation::Point& point, std::span<const occupation::EpochRecord> epochs);
ScaleStay on_mark(ScaleStay stay, const Mark& mark, const Result<Residual>& off);

/// One source.
struct SourceScale {
  std::string source;
  double in_use = 1;
  UtcTime until;  ///< of the newest stay that counts
  std::optional<estimate::Calibration> result;
  std::string problem;             ///< why there is no result
  std::vector<std::string> notes;  ///< stays left out, marks that are too weak

  /// `marks` `repeats` `marks and repeats`
  std::string_view against() const noexcept;
  bool is_proof() const noexcept { return result && result->counted >= estimate::kFewestToVerify; }
};

/// Of the configured sources those with a stay, in their order. `marks`: those that are known to be disturbed or
/// superseded prove nothing.
std::vector<SourceScale> scales_of(std::span<const config::Source> sources, const Marks& marks,
                                   const std::vector<ScaleStay>& stays);

/// `Source "county network": 8 of 10 visits, scale so far 1.40, between 1.10 and 1.90 at 95 %.`, and below it what
/// would prove it, or the lines to paste.
std::vector<std::string> told(const SourceScale& scale);

}  // namespace stillpoint::control
