// The report's signs against signs.json, which the page's are held against too (signs_test.mjs).

#include "report/signs.hpp"

#include <doctest/doctest.h>

#include <cstdlib>
#include <fstream>
#include <nlohmann/json.hpp>

#include "report/strokes.hpp"

namespace stillpoint::report {

TEST_CASE("every sign of the report is the one that page and report share, wherever and however large it is") {
  std::ifstream file(STILLPOINT_TEST_DATA "/report/signs.json");
  const nlohmann::json shared = nlohmann::json::parse(file);
  struct Row {
    const char* name;
    Sign sign;
  };
  for (const Row& row : {Row{"held", Sign::held}, Row{"mark", Sign::mark}, Row{"rejected", Sign::rejected}}) {
    for (const double r : {1.0, 20.0}) {
      CAPTURE(row.name);
      CAPTURE(r);
      constexpr double kX = 40, kY = 70;
      const auto strokes = samples::strokes_of(sign_path(row.sign, kX, kY, r));
      REQUIRE(strokes.size() == shared[row.name].size());
      for (std::size_t i = 0; i < strokes.size(); ++i) {
        const auto& wanted = shared[row.name][i];
        REQUIRE(strokes[i].size() == wanted.size());
        for (std::size_t j = 0; j < wanted.size(); ++j) {
          CHECK((strokes[i][j].first - kX) / r == doctest::Approx(wanted[j][0].get<double>()).epsilon(0.011));
          CHECK((strokes[i][j].second - kY) / r == doctest::Approx(wanted[j][1].get<double>()).epsilon(0.011));
        }
      }
    }
  }
  CHECK(sign_path(Sign::accepted, 1, 1, 1).empty());  // a disc
}

TEST_CASE("of a stay a counted second is a dot, a refused one a cross, one set apart an open square") {
  CHECK(second_path(Second::counted, 1, 2) == "M1 2h0");
  const auto cross = samples::strokes_of(second_path(Second::refused, 0, 0));
  REQUIRE(cross.size() == 2);
  CHECK(cross[0].front().first == doctest::Approx(-cross[0].back().first));
  CHECK(cross[1].front().first == doctest::Approx(-cross[1].back().first));
  CHECK(cross[0].front().second * cross[1].front().second > 0);
  const auto square = samples::strokes_of(second_path(Second::set_apart, 0, 0));
  REQUIRE(square.size() == 1);
  CHECK(square[0].size() == 5);
  CHECK(square[0].front() == square[0].back());
}

}  // namespace stillpoint::report
