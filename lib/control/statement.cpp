#include "control/statement.hpp"

#include <algorithm>
#include <cmath>

#include "base/number.hpp"
#include "control/sentences.hpp"

namespace stillpoint::control {
namespace {

constexpr double kNssdaR = 1.7308, kNssdaXy = 2.4477, kNssdaZ = 1.9600;
constexpr double kSmallestRatio = 0.6;
constexpr double kEqual = 1e-9;

struct Sums {
  double x = 0, y = 0, z = 0, xx = 0, yy = 0, zz = 0;
};

std::string points_text(std::size_t have, std::size_t wanted) {
  std::string text = kSay.points_demanded(std::to_string(have), std::to_string(wanted));
  return have >= wanted ? text : kSay.not_valid(text);
}

void fill_nssda(Statement& s) {
  const double larger = std::max(s.rmse_x_m, s.rmse_y_m), smaller = std::min(s.rmse_x_m, s.rmse_y_m);
  s.nssda_equal = larger - smaller <= kEqual * larger;
  s.nssda_approximate = larger <= 0 || smaller / larger >= kSmallestRatio;
  s.nssda_horizontal95_m = s.nssda_equal ? kNssdaR * s.rmse_r_m : kNssdaXy * 0.5 * (s.rmse_x_m + s.rmse_y_m);
  s.nssda_vertical95_m = kNssdaZ * s.rmse_z_m;
  s.nssda_enough_horizontal = s.points >= kNssdaPoints;
  s.nssda_enough_vertical = s.points_with_height >= kNssdaPoints;
}

void fill_asprs(Statement& s, const SurveyError& survey) {
  s.asprs_rmse_h_m = std::hypot(s.rmse_r_m, survey.horizontal_m);
  s.asprs_rmse_v_m = std::hypot(s.rmse_z_m, survey.vertical_m);
  s.asprs_rmse_3d_m = std::hypot(s.asprs_rmse_h_m, s.asprs_rmse_v_m);
  s.asprs_enough_horizontal = s.points >= kAsprsPoints;
  s.asprs_enough_vertical = s.points_with_height >= kAsprsPoints;
}

std::string first_of(const Table& table, std::initializer_list<std::string_view> names) {
  for (const auto name : names) {
    if (table.has(name)) return std::string(name);
  }
  return {};
}

}  // namespace

std::optional<Statement> accuracy(std::span<const CheckPoint> points, const SurveyError& survey) {
  if (points.empty()) return std::nullopt;
  Statement s;
  Sums sum;
  for (const CheckPoint& p : points) {
    ++s.points;
    sum.x += p.east_m;
    sum.y += p.north_m;
    sum.xx += p.east_m * p.east_m;
    sum.yy += p.north_m * p.north_m;
    if (!p.up_m) continue;
    ++s.points_with_height;
    sum.z += *p.up_m;
    sum.zz += *p.up_m * *p.up_m;
  }
  const auto n = static_cast<double>(s.points), m = static_cast<double>(std::max<std::size_t>(s.points_with_height, 1));
  s.mean_east_m = sum.x / n;
  s.mean_north_m = sum.y / n;
  s.mean_up_m = sum.z / m;
  s.rmse_x_m = std::sqrt(sum.xx / n);
  s.rmse_y_m = std::sqrt(sum.yy / n);
  s.rmse_r_m = std::hypot(s.rmse_x_m, s.rmse_y_m);
  s.rmse_z_m = std::sqrt(sum.zz / m);
  fill_nssda(s);
  fill_asprs(s, survey);
  return s;
}

std::vector<std::string> statement_lines(const Statement& s, const SurveyError& survey) {
  const auto m = [](double value_m) { return fixed(value_m, 4) + " m"; };
  std::vector<std::string> out;
  out.push_back(kSay.check_points(std::to_string(s.points), std::to_string(s.points_with_height), m(s.mean_east_m),
                                  m(s.mean_north_m), s.points_with_height > 0 ? ", up " + m(s.mean_up_m) : ""));
  out.push_back(
      kSay.nssda_horizontal(m(s.nssda_horizontal95_m), s.nssda_equal ? kSay.equal_axes() : kSay.unequal_axes(),
                            s.nssda_approximate ? "" : kSay.formula_doubtful(), points_text(s.points, kNssdaPoints)));
  if (s.points_with_height > 0) {
    out.push_back(kSay.nssda_vertical(m(s.nssda_vertical95_m), points_text(s.points_with_height, kNssdaPoints)));
  }
  out.push_back(kSay.asprs_horizontal(m(s.asprs_rmse_h_m), m(s.rmse_r_m), m(survey.horizontal_m),
                                      points_text(s.points, kAsprsPoints)));
  if (s.points_with_height > 0) {
    out.push_back(kSay.asprs_vertical(m(s.asprs_rmse_v_m), m(s.rmse_z_m), m(survey.vertical_m),
                                      points_text(s.points_with_height, kAsprsPoints)));
    out.push_back("ASPRS Edition 2 (2023), RMSE_3D: " + m(s.asprs_rmse_3d_m));
  }
  return out;
}

std::string too_few_points(const Statement& s) {
  const bool nssda = s.nssda_enough_horizontal && (s.points_with_height == 0 || s.nssda_enough_vertical);
  const bool asprs = s.asprs_enough_horizontal && (s.points_with_height == 0 || s.asprs_enough_vertical);
  if (nssda && asprs) return {};
  const std::string have = std::to_string(s.points), wanted = std::to_string(kAsprsPoints);
  const std::string with_height = std::to_string(s.points_with_height);
  return nssda ? kSay.too_few_for_asprs(have, with_height, wanted)
               : kSay.too_few_for_both(have, with_height, std::to_string(kNssdaPoints), wanted);
}

Result<std::vector<CheckPoint>> check_points(const Table& table) {
  const std::string name = first_of(table, {"name", "mark", "id"});
  const std::string east = first_of(table, {"off_east_m", "dE"}), north = first_of(table, {"off_north_m", "dN"});
  const std::string up = first_of(table, {"off_up_m", "dZ"});
  if (east.empty() || north.empty()) {
    return fail(kSay.offsets_wanted(table.path));
  }
  std::vector<CheckPoint> out;
  for (const Table::Row& row : table.rows) {
    const auto e = number_in(table, row, east), n = number_in(table, row, north);
    const auto u = up.empty() ? Result<std::optional<double>>(std::optional<double>()) : number_in(table, row, up);
    for (const auto* value : {&e, &n, &u}) {
      if (!*value) return tl::unexpected(value->error());
    }
    if (!*e || !*n) return fail(kSay.offset_missing(table.where(row)));
    out.push_back({name.empty() ? std::to_string(row.line) : table.text(row, name), **e, **n, *u});
  }
  return out;
}

}  // namespace stillpoint::control
