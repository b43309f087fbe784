#pragma once
/// The field test of a real-time receiver: does it reach the precision it is said to have, or had last year?
///
/// Sets:    one set shoots two points one after the other. Simplified test: one series of five sets. Full test: three
///          series of five sets, the series 90 min or more apart.
/// Units:   metres; standard deviations are 1 sigma of a single set.
/// Threads: pure.
/// Errors:  one sentence for sets that do not make a series. `next_set` says what is still to be measured.
/// Source:  ISO 17123-8:2015, method and factors from memory; the factors 1.153 and 1.215 (chi-square, 56 and 28
///          degrees of freedom) and 1.698 and 2.130 (F) are recomputed in the tests.

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/result.hpp"
#include "control/table.hpp"

namespace stillpoint::control {

inline constexpr int kSetsInSeries = 5;
inline constexpr int kSeriesInFullTest = 3;

struct SetShot {
  int series = 1, set = 1, point = 1;
  double easting_m = 0, northing_m = 0, height_m = 0;
};
/// Columns series, set, point, easting_m, northing_m, height_m.
Result<std::vector<SetShot>> set_shots(const Table& table);

/// Series, set and point that come next; nothing when all sets are there.
std::optional<SetShot> next_set(std::span<const SetShot> shots, bool full);

/// Known beforehand, by a better instrument, between the two points.
struct Nominal {
  double distance_m = 0, height_difference_m = 0;
};
/// The precision claimed or found before.
struct Claimed {
  double horizontal_m = 0, vertical_m = 0;
};

struct Deviation {
  int series = 1, set = 1;
  double distance_m = 0, height_m = 0;  ///< measured minus nominal
  bool within = false;
};
struct Simplified {
  double limit_distance_m = 0, limit_height_m = 0;  ///< 2.5·√2·sigma
  std::vector<Deviation> deviations;
  bool passed = false;
};
Result<Simplified> simplified_test(std::span<const SetShot> shots, const Nominal& nominal, const Claimed& claimed);

/// One statistical test: the value, its limits at 95 %, the answer.
struct Question {
  double value = 0, lower = 0, upper = 0;
  bool holds = false;
};
struct Full {
  double s_x_m = 0, s_y_m = 0, s_horizontal_m = 0, s_height_m = 0;
  int freedom_horizontal = 0, freedom_height = 0;
  Question horizontal, height;  ///< chi-square: s against the claimed sigma times its factor
};
Result<Full> full_test(std::span<const SetShot> shots, const Claimed& claimed);

/// F: do two full tests come from the same precision?
struct Compared {
  Question horizontal, height;
};
Compared compare_tests(const Full& now, const Full& before) noexcept;

}  // namespace stillpoint::control
