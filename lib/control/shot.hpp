#pragma once
/// A check shot as it is written down: what a stay on a control mark came to, ready to be stored.
///
/// Units:   metres; offsets are shot minus mark in the project frame, limits are those the verdict used.
/// Threads: a plain value. Errors: none.

#include <optional>
#include <string>

#include "base/time.hpp"
#include "occupation/point.hpp"

namespace stillpoint::control {

struct CheckShot {
  std::string uuid;  ///< UUID version 7; of this version of the shot
  int version = 1;
  std::string supersedes;
  std::string mark;
  std::string kind;  ///< `opening`, `due`, `closing` …
  UtcTime utc;
  bool passed = false;
  std::string frame;
  occupation::Coordinates at;
  double off_east_m = 0;
  double off_north_m = 0;
  std::optional<double> off_up_m;  ///< empty: the mark has no height
  double limit_horizontal_m = 0;
  std::optional<double> limit_vertical_m;
  std::string source;
  double antenna_height_m = 0;
  std::string text;        ///< one sentence
  std::string diagnosis;   ///< empty: passed, or nothing recognised
  std::string point_uuid;  ///< the stored point it was made from; empty: its own stay
  UtcTime stored_at;
};

}  // namespace stillpoint::control
