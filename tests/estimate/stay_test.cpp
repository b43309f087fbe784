#include <doctest/doctest.h>

#include <cmath>

#include "estimate/stay.hpp"
#include "estimate/vectors.hpp"

using namespace stillpoint::estimate;

namespace {

bool same(double value, double expected, double relative) {
  return std::abs(value - expected) <= relative * std::abs(expected);
}

}  // namespace

TEST_CASE("the gate refuses the four gross outliers and the rest equals the reference") {
  Stay stay;
  std::vector<int> refused;
  int epoch = 0;
  for (const Sample& sample : vectors::series("v08_outliers_n100")) {
    if (stay.observe({1, 1, {}}, sample, epoch * 1000).placement == Placement::outlier) refused.push_back(epoch);
    ++epoch;
  }
  CHECK(refused == std::vector<int>{7, 41, 42, 88});
  const char* const series = "v08_outliers_n100+gate";
  const Conclusion conclusion = stay.conclude({});
  CHECK_FALSE(conclusion.unresolved);
  CHECK(conclusion.estimate.epochs == 96);
  CHECK(same(conclusion.estimate.unseen_horizontal, vectors::expected(series, "v"), 1e-9));
  CHECK(same(conclusion.estimate.error95_horizontal_m, vectors::expected(series, "r95"), 1e-9));
}

TEST_CASE("a step opens a segment at its first epoch and the stay is unresolved") {
  Stay stay;
  int epoch = 0, opened_at = -1, moved = 0;
  for (const Sample& sample : vectors::series("v09_step_n60")) {
    const Placed placed = stay.observe({1, 1, {}}, sample, epoch * 1000);
    if (placed.moved_from_outlier > 0) opened_at = epoch, moved = placed.moved_from_outlier;
    ++epoch;
  }
  CHECK(opened_at == 44);
  CHECK(moved == 4);
  REQUIRE(stay.segments().size() == 2);
  CHECK(stay.segments()[0].epochs == 39);
  CHECK(stay.segments()[1].epochs == 20);
  CHECK(stay.segments()[1].first_ms == 40000);
  CHECK(stay.segments()[1].last_ms == 59000);
  const char* const series = "v09_step_n60+segments(0-39 as accepted by gate, 40-59)";
  CHECK(same(stay.estimate_of(1).east_m, 104.307115, 1e-12));
  CHECK(same(stay.estimate_of(1).unseen_horizontal, 0.6790985732744913, 1e-9));
  const Conclusion conclusion = stay.conclude({});
  CHECK(conclusion.unresolved);
  CHECK(conclusion.segment == 0);
  CHECK(conclusion.disagreeing == std::vector<int>{1});
  // The reference radius takes all 40 epochs of the first level, this one the 39 that the gate let in.
  CHECK(same(conclusion.estimate.error95_horizontal_m, vectors::expected(series, "union_r95_with_all40"), 0.02));
}
