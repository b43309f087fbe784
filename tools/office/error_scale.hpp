#pragma once
/// `error-scale`: where the error scale of each source stands, from pointbooks and from a recomputed record.
///
/// A point belongs to the mark of its name, where a file of marks is given; points of other names count when they were
/// visited twice. Check shots carry what they need themselves.
///
/// Units:   metres; scales are plain factors with their 95 % interval.
/// Threads: plain functions.
/// Errors:  sentences: the marks file as a whole, and for each source why nothing can be said of it.

#include <span>
#include <string>
#include <vector>

#include "base/result.hpp"
#include "config/settings.hpp"
#include "control/scales.hpp"
#include "pointbook/reader.hpp"
#include "reduce/recompute.hpp"

namespace stillpoint::office {

/// What the scales rest on. An error is a frame that cannot be had at all.
class ScaleEvidence {
 public:
  static Result<ScaleEvidence> open(const config::Settings& settings, control::Marks marks);
  void add(const pointbook::Contents& book);
  void add(std::span<const reduce::Row> points, std::span<const reduce::CheckRow> checks);
  std::vector<control::SourceScale> scales() const;

 private:
  ScaleEvidence(const config::Settings& settings, control::Marks marks, geodesy::Transfers transfers)
      : settings_(&settings), marks_(std::move(marks)), transfers_(std::move(transfers)) {}
  void add(const occupation::Point& point, std::span<const occupation::EpochRecord> epochs);

  const config::Settings* settings_;
  control::Marks marks_;
  geodesy::Transfers transfers_;
  int books_ = 0;
  std::vector<control::ScaleStay> stays_;
};

/// {"calibration": SOURCE, ...}, one line.
std::string to_json(const control::SourceScale& scale);

}  // namespace stillpoint::office
