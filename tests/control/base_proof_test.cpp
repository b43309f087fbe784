// Bases that are published in two frames: one position stands in the marks file, the other is sent.

#include "control/base_proof.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string>

#include "base/number.hpp"

namespace stillpoint::control {
namespace {

using Xyz = std::array<double, 3>;

/// Of a vector in metres a year at a place: east, north and up in millimetres.
config::SiteVelocity velocity_at(const Xyz& at_m, const Xyz& metres_a_year) {
  constexpr double kYears = 1000;
  Xyz then = at_m;
  for (std::size_t i = 0; i < 3; ++i) then[i] += kYears * metres_a_year[i];
  const geodesy::LocalFrame plane(geodesy::from_geocentric(at_m));
  const geodesy::Enu moved = plane.to_enu(geodesy::from_geocentric(then));
  return {moved.east_m, moved.north_m, moved.up_m};
}

Mark published(const std::string& frame, double epoch, const Xyz& at_m, const Xyz& velocity = {}) {
  const geodesy::Geographic at = geodesy::from_geocentric(at_m);
  Mark mark;
  mark.name = "BASE-1";
  mark.frame = frame;
  mark.coordinate_epoch = epoch;
  mark.latitude_deg = at.latitude_deg;
  mark.longitude_deg = at.longitude_deg;
  mark.height_kind = HeightOf::ellipsoid;
  mark.height_m = at.ellipsoid_height_m;
  mark.sigma_horizontal_m = 0.005;
  mark.sigma_vertical_m = 0.01;
  mark.status = MarkStatus::base;
  if (velocity != Xyz{}) mark.velocity = velocity_at(at_m, velocity);
  return mark;
}

double apart_m(const Xyz& a, const Xyz& b) {
  return std::hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
}

struct Pair {
  const char* name;
  std::string from, to;  ///< frames
  Xyz from_m;
  double from_epoch;
  Xyz velocity;
  Xyz to_m;
  double year;
};

// The publication of each row stands in its name.
const std::array<Pair, 4> kPairs{{
    {"UAAG, NGS position-velocity file uaag.pv, 16 Nov 2007",
     "ITRF2000",
     "NAD83(CORS96)",
     {-2663934.32, -1548947.592, 5565691.862},
     1997.0,
     {-0.0139, -0.0003, 0.0},
     {-2663933.619, -1548948.643, 5565691.476},
     2003.0},
    {"WMTS, NGS position-velocity file wmts.pv, Mar 2006",
     "ITRF2000",
     "NAD83(CORS96)",
     {1521430.995, -4458448.174, 4285377.687},
     1997.0,
     {-0.0173, -0.0019, 0.0045},
     {1521431.544, -4458449.625, 4285377.798},
     2002.0},
    {"ALLG, NGS position-velocity file, 10 Apr 2006",
     "ITRF2000",
     "NAD83(CORS96)",
     {960972.827, -4822645.3, 4048582.118},
     1997.0,
     {-0.0166, -0.0017, -0.0022},
     {960973.367, -4822646.75, 4048582.226},
     2002.0},
    {"Alice Springs, ICSM GDA2020 Technical Manual 1.0",
     "GDA94",
     "GDA2020",
     {-4052051.7643, 4212836.2017, -2545106.0245},
     2020.0,
     {},
     {-4052052.7379, 4212835.9897, -2545104.5898},
     2020.0},
}};

struct Proving {
  geodesy::Transfers transfers = geodesy::Transfers::open().value();
  FrameProof of(const Mark& mark, const Xyz& sent_m, const FrameClaim& claim, double year) {
    const auto proof = prove_frame(transfers, mark, geodesy::from_geocentric(sent_m), claim, year);
    REQUIRE_MESSAGE(proof.has_value(), (proof ? "" : proof.error().text));
    return *proof;
  }
};

TEST_CASE("a geocentric position is the one of the published example") {
  // GeographicLib's documentation: Geocentric.Forward(27.99, 86.93, 8820), on WGS 84.
  const auto at = geodesy::from_geocentric({302271.4, 5635928.4, 2979666.1});
  constexpr double kDecimetreDeg = 1.1e-6;  // it is printed to decimetres
  CHECK(std::abs(at.latitude_deg - 27.99) < kDecimetreDeg);
  CHECK(std::abs(at.longitude_deg - 86.93) < kDecimetreDeg);
  CHECK(std::abs(at.ellipsoid_height_m - 8820) < 0.1);
}

TEST_CASE(
    "a base that sends its published place in the configured frame proves it, and the other frame is as far as "
    "published") {
  Proving proving;
  for (const Pair& row : kPairs) {
    CAPTURE(row.name);
    const Mark mark = published(row.from, row.from_epoch, row.from_m, row.velocity);
    const FrameProof proof = proving.of(mark, row.to_m, {row.to}, row.year);
    CAPTURE(proof.text);
    CHECK(proof.answer == FrameAnswer::proven);
    REQUIRE_FALSE(proof.fits.empty());
    CHECK(proof.fits.front().distance_m < 0.05);
    CHECK(proof.text.find("as configured") != std::string::npos);
    Xyz from_now = row.from_m;
    for (std::size_t i = 0; i < 3; ++i) from_now[i] += (row.year - row.from_epoch) * row.velocity[i];
    const std::string code = *proving.transfers.base_code(row.from);
    const auto other = std::find_if(proof.other.begin(), proof.other.end(), [&](const FrameFit& fit) {
      return fit.frame == code && (!fit.is_moving || std::abs(fit.coordinate_epoch - row.year) < 0.01);
    });
    if (other == proof.other.end()) continue;  // it no longer is a usual frame there
    CHECK(other->distance_m == doctest::Approx(apart_m(from_now, row.to_m)).epsilon(0.005));
  }
}

TEST_CASE("a base that sends its place in another frame than configured is a contradiction with its distance") {
  Proving proving;
  struct Row {
    const char* name;
    Mark mark;
    Xyz sent_m;
    FrameClaim claim;
    double year;
    double least_m;  ///< what the two publications differ by in x and y alone
  };
  const Row rows[] = {
      {"TTCD, NGS coordinate file ttcd_14, 28 Mar 2025",
       published("ITRF2014", 2010.0, {1097053.13, -4897222.404, 3923142.59}),
       {1097053.13, -4897222.404, 3923142.59},
       {"NAD83(2011)"},
       2010.0,
       std::hypot(0.754, 1.460)},
      {"MEGO, NGS position-velocity file, 5 Apr 2019, IGS08 as ITRF2008",
       published("ITRF2008", 2005.0, {1545935.577, -4353759.673, 4382599.591}, {-0.0157, -0.0016, 0.004}),
       {1545935.577 - 5 * 0.0157, -4353759.673 - 5 * 0.0016, 4382599.591 + 5 * 0.004},
       {"NAD83(2011)"},
       2010.0,
       std::hypot(0.704 + 5 * 0.0157, 1.433 - 5 * 0.0016)},
      {"Alice Springs, ICSM GDA2020 Technical Manual 1.0",
       published("GDA94", 2020.0, kPairs[3].from_m),
       kPairs[3].from_m,
       {"GDA2020"},
       2020.0,
       std::hypot(0.9736, 0.2120)},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const FrameProof proof = proving.of(row.mark, row.sent_m, row.claim, row.year);
    CAPTURE(proof.text);
    CHECK(proof.answer == FrameAnswer::contradicted);
    const std::string code = *proving.transfers.base_code(row.claim.frame);
    const auto other =
        std::find_if(proof.other.begin(), proof.other.end(), [&](const FrameFit& fit) { return fit.frame == code; });
    REQUIRE(other != proof.other.end());
    CHECK(other->distance_m >= row.least_m - 0.01);
    CHECK(other->distance_m < row.least_m + 1.5);
    CHECK(proof.text.find(", which is " + fixed(other->distance_m, 2) + " m away") != std::string::npos);
  }
}

TEST_CASE("a network that stays at an epoch of its own is told from one of today by decimetres") {
  Proving proving;
  const Mark mark = published("ITRF2014", 2010.0, {1545935.577, -4353759.673, 4382599.591}, {-0.0157, -0.0016, 0.004});
  const Xyz at_2010{1545935.577, -4353759.673, 4382599.591};
  const FrameProof held = proving.of(mark, at_2010, {"ITRF2014", 2010.0}, 2026.9);
  CHECK(held.answer == FrameAnswer::proven);
  CHECK(held.fits.front().coordinate_epoch == 2010.0);
  const FrameProof moving = proving.of(mark, at_2010, {"ITRF2014"}, 2026.9);
  CAPTURE(moving.text);
  CHECK(moving.answer == FrameAnswer::contradicted);
  CHECK(moving.text.find("of 2010.00") != std::string::npos);
  CHECK(moving.text.find("of 2026.90") != std::string::npos);
}

TEST_CASE("a base that is somewhere else in every frame is another base, and is not taken for a proof") {
  Proving proving;
  Xyz elsewhere = kPairs[1].to_m;
  elsewhere[2] += 4;
  const FrameProof proof = proving.of(published("ITRF2000", 1997.0, kPairs[1].from_m, kPairs[1].velocity), elsewhere,
                                      {"NAD83(2011)"}, 2002.0);
  CHECK(proof.answer == FrameAnswer::none_fits);
  CHECK(proof.fits.empty());
  CHECK(proof.text.find("another base") != std::string::npos);
}

TEST_CASE("the limit is three uncertainties of the published place and no less than 0.05 m") {
  Proving proving;
  for (const auto& [sigma_m, limit_m] : {std::pair(0.001, 0.05), {0.10, 0.519615}}) {
    Mark mark = published("GDA94", 2020.0, kPairs[3].from_m);
    mark.sigma_horizontal_m = mark.sigma_vertical_m.emplace(sigma_m);
    const FrameProof proof = proving.of(mark, kPairs[3].from_m, {"GDA94"}, 2020.0);
    CHECK(proof.limit_m == doctest::Approx(limit_m));
    CHECK(proof.answer == FrameAnswer::proven);
  }
}

TEST_CASE("a published place without an ellipsoid height, or of an unknown frame, proves nothing and says so") {
  Proving proving;
  Mark flat = published("GDA94", 2020.0, kPairs[3].from_m);
  flat.height_kind = HeightOf::none;
  flat.height_m.reset();
  const auto sent = geodesy::from_geocentric(kPairs[3].from_m);
  const auto no_height = prove_frame(proving.transfers, flat, sent, {"GDA94"}, 2020.0);
  REQUIRE_FALSE(no_height.has_value());
  CHECK(no_height.error().text.find("ellipsoid height") != std::string::npos);
  const Mark mark = published("GDA94", 2020.0, kPairs[3].from_m);
  CHECK_FALSE(prove_frame(proving.transfers, mark, sent, {"no frame"}, 2020.0).has_value());
  const Mark lost = published("no frame", 2020.0, kPairs[3].from_m);
  CHECK_FALSE(prove_frame(proving.transfers, lost, sent, {"GDA94"}, 2020.0).has_value());
}

}  // namespace
}  // namespace stillpoint::control
