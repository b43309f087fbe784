#include <doctest/doctest.h>

#include <cmath>

#include "estimate/vectors.hpp"
#include "estimate/visits.hpp"

using namespace stillpoint;
using namespace stillpoint::estimate;

namespace {

constexpr std::int64_t kMinute_ms = 60'000;

Visit visit(double east_m, double sigma_m, int from_min, int initialization, double floor_m = 0) {
  Visit v;
  v.estimate.epochs = 60;
  v.estimate.east_m = east_m;
  v.estimate.ee_m2 = v.estimate.nn_m2 = v.estimate.uu_m2 = sigma_m * sigma_m + floor_m * floor_m;
  v.estimate.error95_horizontal_m = 1.05 * radius95(v.estimate.ee_m2, 0, v.estimate.nn_m2);
  v.estimate.error95_vertical_m = 1.05 * 1.96 * std::sqrt(v.estimate.uu_m2);
  v.first = {from_min * kMinute_ms};
  v.last = {(from_min + 1) * kMinute_ms};
  v.initialization = initialization;
  v.counted_s = 60;
  return v;
}

}  // namespace

TEST_CASE("independence needs 45 minutes and a new initialization") {
  struct Row {
    const char* name;
    int later_min;
    int initialization;
    bool independent;
  };
  const Row rows[] = {
      {"45 minutes after the first ended, anew", 46, 2, true},
      {"one minute short", 45, 2, false},
      {"long after, but never initialized anew", 300, 1, false},
      {"at once, anew", 2, 2, false},
      {"before it, by enough", -46, 2, true},
  };
  const Visit first = visit(0, 0.01, 0, 1);
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const Visit other = visit(0, 0.01, row.later_min, row.initialization);
    CHECK(independent(first, other) == row.independent);
    CHECK(independent(other, first) == row.independent);
  }
  const Visit both[] = {first, visit(0, 0.01, 10, 1)};
  CHECK(next_counts_from(both) == UtcTime{(11 + 45) * kMinute_ms});
  CHECK(next_counts_from({}) == std::nullopt);
}

TEST_CASE("independent visits are weighed by their variances") {
  // By hand: weights 0.8 and 0.2, and a tenth of the error is common however long the time between:
  // 0.64·1 + 0.04·4 + 0.1·0.16·(1 + 4) = 0.88 cm²; they lie within that.
  const Visit visits[] = {visit(0.000, 0.01, 0, 1), visit(0.010, 0.02, 200, 2)};
  const auto c = combine(visits, {});
  REQUIRE(c);
  CHECK(c->counted == std::vector<std::size_t>{0, 1});
  CHECK(c->east_m == doctest::Approx(0.002).epsilon(1e-12));
  CHECK(c->ee_m2 == doctest::Approx(0.88e-4).epsilon(1e-12));
  CHECK(c->uu_m2 == doctest::Approx(0.88e-4).epsilon(1e-12));
  CHECK(c->error95_horizontal_m == doctest::Approx(1.05 * 2.4477468 * std::sqrt(0.88e-4)).epsilon(1e-6));
  CHECK(c->separation_m == doctest::Approx(0.010));
  CHECK_FALSE(c->disagree);
}

TEST_CASE("errors that lean between east and north lean in what visits come to, without the floor") {
  // By hand: weights 1 / ((ee + nn) / 2 - floor) = 1/2.5 and 1/5 per cm2, shares 2/3 and 1/3; the parts without the
  // floor of 1 cm2 are [2 0.6; 0.6 3] and [4 -1.5; -1.5 6] cm2.
  // A tenth of the error is common to both: 0.1 times the product of the shares times the sum of the parts.
  Visit visits[] = {visit(0, 0.01, 0, 1), visit(0, 0.01, 100, 2)};
  Estimate &a = visits[0].estimate, &b = visits[1].estimate;
  a.ee_m2 = 3e-4, a.en_m2 = 0.6e-4, a.nn_m2 = 4e-4, a.uu_m2 = 5e-4;
  b.ee_m2 = 5e-4, b.en_m2 = -1.5e-4, b.nn_m2 = 7e-4, b.uu_m2 = 9e-4;
  const auto c = combine(visits, {0.01, 0.01});
  REQUIRE(c);
  CHECK(c->ee_m2 == doctest::Approx((4.0 * 2 + 4 + 0.2 * (2 + 4)) / 9 * 1e-4 + 1e-4).epsilon(1e-12));
  CHECK(c->en_m2 == doctest::Approx((4.0 * 0.6 - 1.5 + 0.2 * (0.6 - 1.5)) / 9 * 1e-4).epsilon(1e-12));
  CHECK(c->nn_m2 == doctest::Approx((4.0 * 3 + 6 + 0.2 * (3 + 6)) / 9 * 1e-4 + 1e-4).epsilon(1e-12));
  CHECK(c->uu_m2 == doctest::Approx((4.0 * 4 + 8 + 0.2 * (4 + 8)) / 9 * 1e-4 + 1e-4).epsilon(1e-12));
  CHECK(c->error95_horizontal_m == doctest::Approx(1.05 * radius95(c->ee_m2, c->en_m2, c->nn_m2)).epsilon(1e-12));
}

TEST_CASE("the common floor does not shrink with visits") {
  // By hand: a third of 1 cm², and of each of three pairs a tenth of two ninths: (1/3 + 3·0.1·2/9) = 0.4 cm².
  const Visit visits[] = {visit(0, 0.01, 0, 1, 0.03), visit(0, 0.01, 200, 2, 0.03), visit(0, 0.01, 400, 3, 0.03)};
  const auto c = combine(visits, {0.03, 0.03});
  REQUIRE(c);
  CHECK(c->ee_m2 == doctest::Approx(0.4e-4 + 9e-4).epsilon(1e-9));
  CHECK(c->uu_m2 == doctest::Approx(0.4e-4 + 9e-4).epsilon(1e-9));
}

TEST_CASE("visits that lie apart carry their own variance") {
  // By hand: two equal visits 0.10 m apart: between-visit variance ½·(0.10²/2) an axis = 0.0025, over two visits.
  const Visit visits[] = {visit(0.00, 0.01, 0, 1), visit(0.10, 0.01, 200, 2)};
  const auto c = combine(visits, {});
  REQUIRE(c);
  CHECK(c->east_m == doctest::Approx(0.05));
  CHECK(0.5 * (c->ee_m2 + c->nn_m2) == doctest::Approx(0.0025 / 2).epsilon(1e-9));
  CHECK(c->uu_m2 == doctest::Approx(0.55e-4).epsilon(1e-9));  // heights agree
  CHECK(c->disagree);
}

TEST_CASE("a dependent visit adds nothing, and the longest stands for both, whatever errors they print") {
  struct Row {
    const char* name;
    double first_s, second_s, third_s;
    std::vector<std::size_t> counted;
  };
  const Row rows[] = {{"the second is longer, and prints the smaller error", 60, 90, 60, {1, 2}},
                      {"the first is longer", 90, 60, 60, {0, 2}},
                      {"the earliest of equals", 60, 60, 60, {0, 2}},
                      {"the longest of all is named first", 60, 90, 300, {2, 1}}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Visit visits[] = {visit(0.05, 0.03, 0, 1), visit(0.01, 0.01, 20, 2), visit(0.00, 0.01, 200, 3)};
    visits[0].counted_s = row.first_s, visits[1].counted_s = row.second_s, visits[2].counted_s = row.third_s;
    const auto c = combine(visits, {});
    REQUIRE(c);
    CHECK(c->counted == row.counted);
  }
}

TEST_CASE("two visits 46 minutes apart combine as the reference computes it") {
  // data/second, s12: the floors of 3 and 5 mm come into each visit here, and once into the mean.
  const auto rows = vectors::table("second/s12_two_visits.csv");
  for (const bool verified : {false, true}) {
    CAPTURE(verified);
    const char* trust = verified ? "verified" : "unverified";
    std::vector<Visit> visits;
    for (const int segment : {0, 1}) {
      Average average({1, 0.003, 0.005, {verified, 1.5}});
      Visit& v = visits.emplace_back();
      for (const auto& row : rows) {
        if (row[8] != segment) continue;
        if (average.epochs() == 0) v.first = {std::llround(row[0] * 1000)};
        v.last = {std::llround(row[0] * 1000)};
        average.add({row[1], row[2], row[3], row[4], row[5], row[6], row[7]}, row[0]);
      }
      v.estimate = average.result();
      v.initialization = segment;
    }
    const auto c = combine(visits, {0.003, 0.005});
    REQUIRE(c);
    CHECK(c->counted.size() == 2);
    const auto wanted = [&](const char* name, int element = 0) {
      return doctest::Approx(vectors::expected_second({"s12_two_visits", trust, "combined", name}, element))
          .epsilon(1e-9);
    };
    CHECK(c->east_m == wanted("E"));
    CHECK(c->north_m == wanted("N"));
    CHECK(c->up_m == wanted("U"));
    CHECK(c->ee_m2 == wanted("Cov", 0));
    CHECK(c->nn_m2 == wanted("Cov", 2));
    CHECK(c->uu_m2 == wanted("Cu"));
    CHECK(c->error95_vertical_m == wanted("r95_u"));
    CHECK(c->error95_horizontal_m ==
          doctest::Approx(vectors::expected_second({"s12_two_visits", trust, "combined", "r95_h"})).epsilon(0.0022));
  }
}

TEST_CASE("one visit stands for itself") {
  const Visit visits[] = {visit(0.3, 0.02, 0, 1, 0.01)};
  const auto c = combine(visits, {0.01, 0.01});
  REQUIRE(c);
  CHECK(c->east_m == 0.3);
  CHECK(c->ee_m2 == doctest::Approx(visits[0].estimate.ee_m2).epsilon(1e-12));
  CHECK(c->error95_horizontal_m == doctest::Approx(visits[0].estimate.error95_horizontal_m).epsilon(1e-9));
  CHECK_FALSE(combine({}, {}).has_value());
}
