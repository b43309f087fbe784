#pragma once
/// A check shot as it is written down: what a stay on a control mark came to, ready to be stored.
///
/// Units:   metres; offsets are shot minus mark in the project frame, limits are those the verdict used.
/// Threads: a plain value. Errors: none.

#include <optional>
#include <string>
#include <string_view>

#include "base/time.hpp"
#include "occupation/point.hpp"

namespace stillpoint::control {

/// `CheckShot::suspect` where chance, or something else, is likelier than every mistake that was looked for.
inline constexpr std::string_view kNoSuspect = "none";

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
  std::string diagnosis;   ///< empty: the check passed, or no mistake was recognised
  std::string point_uuid;  ///< the stored point it was made from; empty: its own stay
  // What works out the source's error scale (control/scales.hpp); empty in shots of earlier programs.
  std::optional<double> error_scale;  ///< with which the stay was averaged
  std::optional<double> claim_plan_m2, claim_up_m2, scatter_plan_m2, scatter_up_m2;  ///< `estimate::Claimed`
  std::optional<double> mark_sigma_plan_m, mark_sigma_up_m;  ///< the mark's own, in plan of each axis
  std::string suspect;  ///< the likeliest mistake, `mark-frame` … or `none`; empty: nothing failed, or nobody wrote it
  UtcTime stored_at;

  bool is_explained() const noexcept { return !suspect.empty() && suspect != kNoSuspect; }
  /// What the numbers looked like says nothing about others.
  void forget_diagnosis() { diagnosis.clear(), suspect.clear(); }
  /// Takes over what the stay shows of the receiver's claim, and with which scale it was averaged.
  void tell_claim(const occupation::Point& point) {
    error_scale = point.error_scale;
    if (!point.claimed) return;
    claim_plan_m2 = point.claimed->plan_m2, claim_up_m2 = point.claimed->up_m2;
    scatter_plan_m2 = point.claimed->scatter_plan_m2, scatter_up_m2 = point.claimed->scatter_up_m2;
  }
  void tell_mark(double sigma_plan_m, std::optional<double> sigma_up_m) {
    mark_sigma_plan_m = sigma_plan_m, mark_sigma_up_m = sigma_up_m;
  }
};

}  // namespace stillpoint::control
