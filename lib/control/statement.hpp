#pragma once
/// How accurate the day's product is, over check points, in the words of two standards that differ.
///
/// Units:   metres. Threads: pure.
/// Errors:  none; with fewer points than a standard demands its figures are computed and marked as not a statement.
/// Source:  NSSDA, FGDC-STD-007.3-1998: 95 %, 1.7308·RMSEr or 2.4477·½(RMSEx + RMSEy), 1.9600·RMSEz, at least 20
///          points. ASPRS Positional Accuracy Standards, Edition 2 (2023): RMSE, with the check points' own survey
///          error in it, at least 30 points.

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/result.hpp"
#include "control/table.hpp"

namespace stillpoint::control {

inline constexpr std::size_t kNssdaPoints = 20;
inline constexpr std::size_t kAsprsPoints = 30;

struct CheckPoint {
  std::string name;
  double east_m = 0, north_m = 0;
  std::optional<double> up_m;
};

/// Of the check points' own survey, 1 sigma (an RMSE).
struct SurveyError {
  double horizontal_m = 0, vertical_m = 0;
};

struct Statement {
  std::size_t points = 0, points_with_height = 0;
  double mean_east_m = 0, mean_north_m = 0, mean_up_m = 0;
  double rmse_x_m = 0, rmse_y_m = 0, rmse_r_m = 0, rmse_z_m = 0;

  double nssda_horizontal95_m = 0, nssda_vertical95_m = 0;
  bool nssda_equal = false;       ///< RMSEx equals RMSEy: 1.7308·RMSEr was used
  bool nssda_approximate = true;  ///< their ratio is 0.6 or more, as the other formula demands
  bool nssda_enough_horizontal = false, nssda_enough_vertical = false;

  double asprs_rmse_h_m = 0, asprs_rmse_v_m = 0, asprs_rmse_3d_m = 0;
  bool asprs_enough_horizontal = false, asprs_enough_vertical = false;
};

std::optional<Statement> accuracy(std::span<const CheckPoint> points, const SurveyError& survey);

/// Lines for people, each figure with its standard, its confidence level and the number of points it demands.
std::vector<std::string> statement_lines(const Statement& statement, const SurveyError& survey);

/// One sentence for a person who reads no figures of standards: by which of them the points are too few, and what the
/// figures are worth then; empty: they are enough.
std::string too_few_points(const Statement& statement);

/// Columns name (or id, or mark) and off_east_m, off_north_m, off_up_m (or dE, dN, dZ).
Result<std::vector<CheckPoint>> check_points(const Table& table);

}  // namespace stillpoint::control
