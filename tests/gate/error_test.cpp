#include "gate/error.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "support/epochs.hpp"

namespace {

using namespace stillpoint;
using corrections::Freshness;
using corrections::State;

const Freshness kFresh{State::fresh, 1.0, corrections::AgeFrom::receiver, {}, false, false, false, 0};

// Factors of the elliptical normal distribution at 95 %: Harter (1960), ratio 0.8 and 1 (from his table as reprinted).
constexpr double kRatio1 = 2.44775;
constexpr double kRatio08 = 2.23029;

TEST_CASE("the radius comes from the ellipse where it is printed, else from the two sigmas") {
  auto epoch = support::fixed_epoch(0);
  const auto source = support::network();
  SUBCASE("ellipse 0.010 by 0.008") {
    CHECK(gate::error_of(epoch, source, kFresh)->error95_horizontal_m ==
          doctest::Approx(0.010 * kRatio08).epsilon(1e-4));
  }
  SUBCASE("no orientation: the two sigmas") {
    epoch.error->orientation_deg.reset();
    epoch.error->sigma_latitude_m = epoch.error->sigma_longitude_m = 0.02;
    CHECK(gate::error_of(epoch, source, kFresh)->error95_horizontal_m == doctest::Approx(0.02 * kRatio1).epsilon(1e-4));
  }
  CHECK(gate::error_of(epoch, source, kFresh)->error95_vertical_m == doctest::Approx(1.95996 * 0.015).epsilon(1e-5));
}

TEST_CASE("the covariance turns with the ellipse") {
  auto epoch = support::fixed_epoch(0);
  epoch.error->semi_major_m = 3.0;
  epoch.error->semi_minor_m = 1.0;
  const auto source = support::network();
  struct Row {
    const char* name;
    double orientation_deg, ee, en, nn;
  };
  const Row rows[] = {{"major axis north", 0, 1, 0, 9},
                      {"major axis east", 90, 9, 0, 1},
                      {"major axis north-east", 45, 5, 4, 5},
                      {"major axis south-east", 135, 5, -4, 5}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    epoch.error->orientation_deg = row.orientation_deg;
    const auto error = gate::error_of(epoch, source, kFresh);
    CHECK(error->ee_m2 == doctest::Approx(row.ee));
    CHECK(error->en_m2 == doctest::Approx(row.en));
    CHECK(error->nn_m2 == doctest::Approx(row.nn));
  }
}

TEST_CASE("an error is never invented") {
  struct Row {
    const char* name;
    void (*spoil)(epoch::Epoch&);
  };
  const Row rows[] = {
      {"no GST", [](epoch::Epoch& e) { e.error.reset(); }},
      {"blank altitude sigma", [](epoch::Epoch& e) { e.error->sigma_altitude_m.reset(); }},
      {"a claim of zero",
       [](epoch::Epoch& e) {
         e.error->semi_major_m = 0;
         e.error->sigma_latitude_m = 0;
       }},
      {"blank axes and blank sigmas",
       [](epoch::Epoch& e) {
         e.error->semi_major_m.reset();
         e.error->sigma_longitude_m.reset();
       }},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    auto epoch = support::fixed_epoch(0);
    row.spoil(epoch);
    auto source = support::network();
    CHECK_FALSE(gate::error_of(epoch, source, kFresh).has_value());
    source.assumed_sigma_m = config::PerAxis{0.015, 0.025};
    const auto assumed = gate::error_of(epoch, source, kFresh);
    REQUIRE(assumed.has_value());
    CHECK(assumed->assumed);
    CHECK(assumed->error95_horizontal_m == doctest::Approx(0.015 * kRatio1).epsilon(1e-4));
  }
}

TEST_CASE("scale multiplies the claim, coasting adds its growth in metres on top") {
  auto epoch = support::fixed_epoch(0);
  auto source = support::network();
  source.error_scale = 1.5;
  Freshness coasting = kFresh;
  coasting.state = State::coasting;
  coasting.age_s = 9.0;  // six seconds past fresh: 0.05 m/min x 0.1 min = 0.005 m
  const auto error = gate::error_of(epoch, source, coasting);
  CHECK(error->error95_vertical_m == doctest::Approx(1.959964 * (0.015 * 1.5 + 0.005)));
  // The average multiplies by the scale squared: the same total must come out.
  CHECK(std::sqrt(error->uu_m2) * 1.5 == doctest::Approx(0.015 * 1.5 + 0.005));
}

}  // namespace
