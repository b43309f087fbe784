#pragma once
/// `error-scale`: what each source's `error_scale` should be, from visits to known marks and from repeated visits.
///
/// A visit belongs to the mark of its name. Visits to other names, made twice or more, calibrate without truth. Only
/// accepted visits are used; which were not, and why, is said.
///
/// Units:   metres; scales are plain factors with their 95 % interval.
/// Threads: plain functions.
/// Errors:  sentences: the marks file as a whole, and for each source why it could not be calibrated.

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/result.hpp"
#include "config/settings.hpp"
#include "control/marks.hpp"
#include "estimate/calibration.hpp"
#include "occupation/point.hpp"

namespace stillpoint::office {

struct Visited {
  const occupation::Point* point = nullptr;
  const std::vector<occupation::EpochRecord>* epochs = nullptr;
};

/// One source, against one kind of truth.
struct SourceScale {
  std::string source;
  bool against_marks = true;
  double in_use = 1;
  UtcTime until;  ///< of the newest visit that was used
  std::optional<estimate::Calibration> result;
  std::string problem;             ///< why there is no result
  std::vector<std::string> notes;  ///< visits left out, marks that are too weak, visits too close together
};

/// Every source that was visited, in the order of the configuration. An error is a frame that cannot be had at all.
Result<std::vector<SourceScale>> calibrate(const config::Settings& settings, const control::Marks& marks,
                                           std::span<const Visited> visits);

/// {"calibration": SOURCE, ...}, one line.
std::string to_json(const SourceScale& scale);
/// For people, with the line to paste.
std::vector<std::string> sentences(const SourceScale& scale);

}  // namespace stillpoint::office
