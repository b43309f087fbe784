#include <doctest/doctest.h>

#include <cmath>

#include "estimate/average.hpp"
#include "estimate/vectors.hpp"

using namespace stillpoint::estimate;

namespace {

const char* const kSeries[] = {"v01_white_n60",  "v02_gm30_n120", "v03_mix_n180",      "v04_short_n10", "v05_gm5_n600",
                               "v06_hetero_n90", "v07_5hz_n300",  "v08_outliers_n100", "v09_step_n60"};

bool same(double value, double expected, double relative) {
  return std::abs(value - expected) <= relative * std::abs(expected);
}

}  // namespace

TEST_CASE("the unseen variance equals the reference computation to 1e-9") {
  for (const char* series : kSeries) {
    CAPTURE(series);
    Average average;
    for (const Sample& sample : vectors::series(series)) average.add(sample);
    const Estimate estimate = average.result();
    CHECK(static_cast<double>(estimate.epochs) == vectors::expected(series, "n"));
    CHECK(same(estimate.east_m, vectors::expected(series, "E"), 1e-12));
    CHECK(same(estimate.north_m, vectors::expected(series, "N"), 1e-12));
    CHECK(same(estimate.unseen_horizontal, vectors::expected(series, "v"), 1e-9));
    CHECK(same(estimate.effective_epochs, vectors::expected(series, "neff"), 1e-9));
    CHECK(same(estimate.ee_m2, vectors::expected(series, "C", 0), 1e-9));
    CHECK(same(estimate.en_m2, vectors::expected(series, "C", 1), 1e-9));
    CHECK(same(estimate.nn_m2, vectors::expected(series, "C", 2), 1e-9));
    CHECK(same(estimate.error95_horizontal_m, vectors::expected(series, "r95"), 1e-9));
    const Evidence evidence = average.horizontal_evidence();
    CHECK(same(evidence.scatter, vectors::expected(series, "S"), 1e-9));
    CHECK(same(evidence.seen, vectors::expected(series, "vts"), 1e-9));
    CHECK(same(evidence.doubt, vectors::expected(series, "sdS"), 1e-9));
    CHECK(estimate.claim_refuted_horizontal == (vectors::expected(series, "refuted") == 1));
  }
}
