#include <doctest/doctest.h>

#include <cmath>

#include "control/receiver_test.hpp"
#include "control/statement.hpp"
#include "control/statistics.hpp"

namespace stillpoint::control {
namespace {

// 25 invented residuals; expected values computed with R from the formulas of FGDC-STD-007.3-1998 and of ASPRS Edition
// 2 (2023).
std::vector<CheckPoint> points25() {
  return {
#include "checkpoints25.inc"
  };
}

TEST_CASE("25 check points give the figures that R gives") {
  const auto s = accuracy(points25(), {0.02, 0.03}).value();
  struct Row {
    const char* name;
    double ours, wanted;
  };
  const Row rows[] = {
      {"mean east", s.mean_east_m, -0.07128},
      {"mean north", s.mean_north_m, 0.01824},
      {"mean up", s.mean_up_m, 0.06708},
      {"RMSEx", s.rmse_x_m, 0.32637243},
      {"RMSEy", s.rmse_y_m, 0.28138913},
      {"RMSEr", s.rmse_r_m, 0.43092784},
      {"RMSEz", s.rmse_z_m, 0.47071159},
      {"NSSDA horizontal, unequal", s.nssda_horizontal95_m, 0.74380897},
      {"NSSDA vertical", s.nssda_vertical95_m, 0.92259471},
      {"ASPRS horizontal", s.asprs_rmse_h_m, 0.4313917},
      {"ASPRS vertical", s.asprs_rmse_v_m, 0.47166662},
      {"ASPRS 3D", s.asprs_rmse_3d_m, 0.6391934},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    CHECK(row.ours == doctest::Approx(row.wanted).epsilon(1e-7));
  }
  CHECK(s.nssda_enough_horizontal);
  CHECK(!s.asprs_enough_horizontal);
  const auto lines = statement_lines(s, {0.02, 0.03});
  CHECK(lines[1].find("95 % confidence, horizontal: 0.7438 m") != std::string::npos);
  CHECK(lines[3].find("25 points, at least 30 demanded: NOT a valid statement") != std::string::npos);
}

TEST_CASE("too few points are told in one sentence, by the standards that demand more") {
  // FGDC-STD-007.3-1998, 3.2.2: 20 points at least; ASPRS Edition 2 (2023), 7.12: 30.
  struct Row {
    std::size_t points, with_height;
    const char* says;
  };
  const Row rows[] = {
      {19, 0, "(19, with height 0): the NSSDA demands 20 and ASPRS Edition 2 (2023) 30, so these figures tell of"},
      {20, 0, "(20, with height 0) for a statement by ASPRS Edition 2 (2023), which demands 30."},
      {20, 19, "(20, with height 19): the NSSDA demands 20"},
      {30, 29, "(30, with height 29) for a statement by ASPRS"},
      {30, 30, ""},
      {30, 0, ""},
  };
  for (const Row& row : rows) {
    CAPTURE(row.points);
    CAPTURE(row.with_height);
    std::vector<CheckPoint> points;
    for (std::size_t i = 0; i < row.points; ++i)
      points.push_back({"", 0.01, 0.01, i < row.with_height ? std::optional(0.02) : std::nullopt});
    const std::string said = too_few_points(accuracy(points, {}).value());
    CHECK(said.empty() == std::string_view(row.says).empty());
    CHECK(said.find(row.says) != std::string::npos);
  }
}

// The five-point example of the ASPRS 2014 standard's annex D, from memory; its arithmetic recomputed.
TEST_CASE("five points give the published example's figures, and no statement") {
  const std::vector<CheckPoint> five{{"1", -.140, -.070, -.071},
                                     {"2", -.100, -.100, .010},
                                     {"3", .017, -.070, .102},
                                     {"4", -.070, .150, -.100},
                                     {"5", .130, .120, .087}};
  const auto s = accuracy(five, {}).value();
  CHECK(std::abs(s.rmse_x_m - 0.102) < 0.0006);
  CHECK(std::abs(s.rmse_y_m - 0.106) < 0.0006);
  CHECK(std::abs(s.rmse_r_m - 0.147) < 0.0006);
  CHECK(std::abs(s.rmse_z_m - 0.081) < 0.0006);
  CHECK(std::abs(s.nssda_horizontal95_m - 0.255) < 0.0006);
  CHECK(std::abs(s.nssda_vertical95_m - 0.160) < 0.0016);
  CHECK(!s.nssda_enough_horizontal);
}

TEST_CASE("equal axes use the radial formula, very unequal ones are told") {
  const auto equal = accuracy(std::vector<CheckPoint>{{"a", 1, 1, {}}, {"b", -1, 1, {}}}, {}).value();
  CHECK(equal.nssda_equal);
  CHECK(equal.nssda_horizontal95_m == doctest::Approx(1.7308 * std::sqrt(2.0)));
  CHECK(equal.points_with_height == 0);
  const auto flat = accuracy(std::vector<CheckPoint>{{"a", 1, 0.5, {}}}, {}).value();
  CHECK(!flat.nssda_approximate);
  CHECK(!accuracy({}, {}));
}

// Quantiles of printed tables (chi-square and F, from memory) and the factors of ISO 17123-8:2015.
TEST_CASE("quantiles are those of the tables") {
  CHECK(chi_square_quantile(0.95, 1) == doctest::Approx(3.8415).epsilon(1e-4));
  CHECK(chi_square_quantile(0.95, 10) == doctest::Approx(18.307).epsilon(1e-4));
  CHECK(chi_square_quantile(0.999, 3) == doctest::Approx(16.266).epsilon(1e-4));
  CHECK(chi_square_quantile(0.999, 2) == doctest::Approx(-2 * std::log(0.001)).epsilon(1e-9));
  CHECK(f_quantile(0.95, 5, 10) == doctest::Approx(3.3258).epsilon(1e-4));
  CHECK(f_quantile(0.95, 1, 1) == doctest::Approx(161.448).epsilon(1e-4));
  CHECK(std::sqrt(chi_square_quantile(0.95, 56) / 56) == doctest::Approx(1.153).epsilon(5e-4));
  CHECK(std::sqrt(chi_square_quantile(0.95, 28) / 28) == doctest::Approx(1.215).epsilon(5e-4));
  CHECK(f_quantile(0.975, 56, 56) == doctest::Approx(1.698).epsilon(5e-4));
  CHECK(f_quantile(0.975, 28, 28) == doctest::Approx(2.130).epsilon(5e-4));
}

/// Sets whose easting of every point is `a` off to one side and the other in turn: s_x² = Σr²/28 is known by hand.
std::vector<SetShot> sets(double a) {
  std::vector<SetShot> out;
  int sign = 1;
  for (int series = 1; series <= 3; ++series) {
    for (int set = 1; set <= 5; ++set) {
      const double r = series == 3 && set == 5 ? 0 : sign * a;
      out.push_back({series, set, 1, 100 + r, 200, 10});
      out.push_back({series, set, 2, 112 + r, 205, 11 + r});
      sign = -sign;
    }
  }
  return out;
}

TEST_CASE("the full test takes its deviation from the residuals of both points") {
  // 14 residuals of +-a at each of two points, one of zero: Σ r_x² = 28 a², so s_x = a; Σ r_h² = 14 a².
  const auto full = full_test(sets(0.010), {0.010, 0.010}).value();
  CHECK(full.s_x_m == doctest::Approx(0.010));
  CHECK(full.s_y_m == doctest::Approx(0.0));
  CHECK(full.s_horizontal_m == doctest::Approx(0.010));
  CHECK(full.s_height_m == doctest::Approx(0.010 / std::sqrt(2.0)));
  CHECK(full.freedom_horizontal == 56);
  CHECK(full.freedom_height == 28);
  CHECK(full.horizontal.upper == doctest::Approx(0.01153).epsilon(1e-3));
  CHECK(full.horizontal.holds);
  CHECK(!full_test(sets(0.0116), {0.010, 0.010})->horizontal.holds);
  const auto compared = compare_tests(full_test(sets(0.0129), {0.01, 0.01}).value(), full);
  CHECK(compared.horizontal.upper == doctest::Approx(1.698).epsilon(1e-3));
  CHECK(compared.horizontal.holds);  // 1.29² = 1.664
  CHECK(!compare_tests(full_test(sets(0.0131), {0.01, 0.01}).value(), full).horizontal.holds);
}

TEST_CASE("the simplified test holds every set against two and a half times root two sigma") {
  auto shots = sets(0.0);
  shots.resize(10);
  const Nominal nominal{13.0, 1.0};  // 12 and 5: 13
  CHECK(simplified_test(shots, nominal, {0.01, 0.02})->passed);
  shots[3].height_m += 0.0708;  // limit 2.5 · sqrt(2) · 0.02 = 0.0707
  const auto failed = simplified_test(shots, nominal, {0.01, 0.02}).value();
  CHECK(!failed.passed);
  CHECK(failed.deviations.size() == 5);
  CHECK(!failed.deviations[1].within);
  CHECK(failed.deviations[0].within);
}

TEST_CASE("the guide names the set that comes next, and nothing is computed from half a test") {
  auto shots = sets(0.01);
  CHECK(!next_set(shots, true));
  shots.erase(shots.begin() + 12);
  const auto next = next_set(shots, true);
  REQUIRE(next);
  CHECK(next->series == 2);
  CHECK(next->set == 2);
  CHECK(next->point == 1);
  const auto refused = full_test(shots, {0.01, 0.01});
  REQUIRE(!refused);
  CHECK(refused.error().text == "series 2, set 2, point 1 is still to be measured");
}

TEST_CASE("tables of sets and of check points refuse what cannot be read") {
  const auto points = [](const char* csv) { return check_points(parse_table(csv, "p.csv").value()); };
  CHECK(points("id,dE,dN\n1,0.1,-0.2\n")->front().north_m == -0.2);
  CHECK(!points("id,dE,dN\n1,0.1,\n"));
  CHECK(!points("id,dE\n1,0.1\n"));
  const auto shots = [](const std::string& row) {
    return set_shots(parse_table("series,set,point,easting_m,northing_m,height_m\n" + row, "s.csv").value());
  };
  CHECK(shots("1,1,1,1,2,3\n")->size() == 1);
  // ISO 17123-8: a full test is three series of five sets on two points. Coordinates are no whole numbers.
  const auto shot = shots("3,5,2,512345.678,5271234.5,-0.25\n");
  REQUIRE(shot.has_value());
  CHECK(shot->front().series == 3);
  CHECK(shot->front().set == 5);
  CHECK(shot->front().point == 2);
  CHECK(shot->front().easting_m == 512345.678);
  CHECK(shot->front().northing_m == 5271234.5);
  CHECK(shot->front().height_m == -0.25);
  for (const char* row : {"4,5,2,1,2,3\n", "3,6,2,1,2,3\n", "3,5,3,1,2,3\n", "0,5,2,1,2,3\n", "1.5,5,2,1,2,3\n"}) {
    CAPTURE(row);
    CHECK(!shots(row));
  }
  CHECK(!shots("1,1,1,1,2,\n"));
  CHECK(!shots("1,1,1,1,2,3\n1,1,1,1,2,3\n"));
}

}  // namespace
}  // namespace stillpoint::control
