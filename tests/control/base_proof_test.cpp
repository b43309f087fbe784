// Bases that are published in two frames: one position stands in the marks file, the other is sent.

#include "control/base_proof.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <string_view>

#include "base/number.hpp"
#include "geodesy/published_stations.hpp"

namespace stillpoint::control {
namespace {

using geodesy::test::at_output_epoch;
using geodesy::test::kStations;
using geodesy::test::Station;
using geodesy::test::Xyz;

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

/// The published station whose name begins so.
const Station& station(std::string_view name) {
  return *std::find_if(kStations.begin(), kStations.end(),
                       [&](const Station& each) { return each.name.rfind(name, 0) == 0; });
}

/// Printed whole in both frames, and in frames that crews use.
constexpr std::array<const char*, 4> kPairs{"UAAG", "WMTS", "ALLG", "Alice Springs"};

Mark published(const Station& row) {
  return published(row.from, row.input_epoch, row.input_m, row.velocity_m_per_year);
}

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
  for (const char* name : kPairs) {
    const Station& row = station(name);
    CAPTURE(row.name);
    const FrameProof proof = proving.of(published(row), row.output_m, {row.to}, row.output_epoch);
    CAPTURE(proof.text);
    CHECK(proof.answer == FrameAnswer::proven);
    REQUIRE_FALSE(proof.fits.empty());
    CHECK(proof.fits.front().distance_m < 0.05);
    CHECK(proof.text.find("as configured") != std::string::npos);
    const Xyz from_now = at_output_epoch(row);
    const std::string code = *proving.transfers.base_code(row.from);
    const auto other = std::find_if(proof.other.begin(), proof.other.end(), [&](const FrameFit& fit) {
      return fit.frame == code && (!fit.is_moving || std::abs(fit.coordinate_epoch - row.output_epoch) < 0.01);
    });
    if (other == proof.other.end()) continue;  // it no longer is a usual frame there
    CHECK(other->distance_m == doctest::Approx(apart_m(from_now, row.output_m)).epsilon(0.005));
  }
}

TEST_CASE("a base that sends its place in another frame than configured is a contradiction with its distance") {
  Proving proving;
  struct Row {
    const char* name;
    const char* claimed;
    double least_m;  ///< what the two publications differ by in x and y alone
  };
  const Row rows[] = {
      {"TTCD", "NAD83(2011)", std::hypot(0.754, 1.460)},
      {"MEGO", "NAD83(2011)", std::hypot(0.704 + 5 * 0.0157, 1.433 - 5 * 0.0016)},
      {"Alice Springs", "GDA2020", std::hypot(0.9736, 0.2120)},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const Station& base = station(row.name);
    const FrameProof proof = proving.of(published(base), at_output_epoch(base), {row.claimed}, base.output_epoch);
    CAPTURE(proof.text);
    CHECK(proof.answer == FrameAnswer::contradicted);
    const std::string code = *proving.transfers.base_code(row.claimed);
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
  const Station& base = station("MEGO");
  const Xyz& at_2010 = base.input_m;
  const Mark mark = published("ITRF2014", 2010.0, at_2010, base.velocity_m_per_year);
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
  Xyz elsewhere = station("WMTS").output_m;
  elsewhere[2] += 4;
  const FrameProof proof = proving.of(published(station("WMTS")), elsewhere, {"NAD83(2011)"}, 2002.0);
  CHECK(proof.answer == FrameAnswer::none_fits);
  CHECK(proof.fits.empty());
  CHECK(proof.text.find("another base") != std::string::npos);
}

TEST_CASE("the limit is three uncertainties of the published place and no less than 0.05 m") {
  Proving proving;
  for (const auto& [sigma_m, limit_m] : {std::pair(0.001, 0.05), {0.10, 0.519615}}) {
    Mark mark = published(station("Alice Springs"));
    mark.sigma_horizontal_m = mark.sigma_vertical_m.emplace(sigma_m);
    const FrameProof proof = proving.of(mark, station("Alice Springs").input_m, {"GDA94"}, 2020.0);
    CHECK(proof.limit_m == doctest::Approx(limit_m));
    CHECK(proof.answer == FrameAnswer::proven);
  }
}

TEST_CASE("a published place without an ellipsoid height, or of an unknown frame, proves nothing and says so") {
  Proving proving;
  Mark flat = published(station("Alice Springs"));
  flat.height_kind = HeightOf::none;
  flat.height_m.reset();
  const auto sent = geodesy::from_geocentric(station("Alice Springs").input_m);
  const auto no_height = prove_frame(proving.transfers, flat, sent, {"GDA94"}, 2020.0);
  REQUIRE_FALSE(no_height.has_value());
  CHECK(no_height.error().text.find("ellipsoid height") != std::string::npos);
  const Mark mark = published(station("Alice Springs"));
  CHECK_FALSE(prove_frame(proving.transfers, mark, sent, {"no frame"}, 2020.0).has_value());
  const Mark lost = published("no frame", 2020.0, station("Alice Springs").input_m);
  CHECK_FALSE(prove_frame(proving.transfers, lost, sent, {"GDA94"}, 2020.0).has_value());
}

/// A mark at a published place, and a shot that is a centimetre north of it.
PassedShot shot_on(const Mark& mark, double limit_m) {
  PassedShot shot;
  shot.mark = mark;
  shot.mark.status = MarkStatus::good;
  shot.off.east_m = 0;
  shot.off.north_m = 0.01;
  shot.off.up_m = 0.0;
  shot.at.latitude_deg = *mark.latitude_deg;
  shot.at.longitude_deg = *mark.longitude_deg;
  shot.at.ellipsoid_height_m = mark.height_m.value_or(0);
  shot.limit_m = limit_m;
  return shot;
}

TEST_CASE("a check proves the configured frame, and the other one is as far as the two publications of the station") {
  Proving proving;
  for (const char* name : kPairs) {
    const Station& row = station(name);
    CAPTURE(row.name);
    const auto proof = prove_frame(proving.transfers, shot_on(published(row), 0.05), {row.from}, row.output_epoch);
    REQUIRE(proof.has_value());
    CAPTURE(proof->text);
    CHECK(proof->answer == FrameAnswer::proven);
    const std::string code = *proving.transfers.base_code(row.to);
    const auto is_other = [&](const FrameFit& fit) {
      return fit.frame == code && (!fit.is_moving || std::abs(fit.coordinate_epoch - row.output_epoch) < 0.01);
    };
    const auto other = std::find_if(proof->other.begin(), proof->other.end(), is_other);
    if (other == proof->other.end()) continue;  // it no longer is a usual frame there, or is as near
    CHECK(std::abs(other->distance_m - apart_m(at_output_epoch(row), row.output_m)) < 0.03);
  }
}

TEST_CASE("a check whose limit is wider than the frames are apart proves nothing") {
  Proving proving;
  const Mark mark = published(station("Alice Springs"));
  const auto wide = prove_frame(proving.transfers, shot_on(mark, 5000.0), {"GDA94"}, 2020.0);
  REQUIRE(wide.has_value());
  CHECK(wide->answer == FrameAnswer::none_fits);
  const auto narrow = prove_frame(proving.transfers, shot_on(mark, 0.05), {"GDA94"}, 2020.0);
  REQUIRE(narrow.has_value());
  CHECK(narrow->answer == FrameAnswer::proven);
}

TEST_CASE("a mark without an ellipsoid height proves a frame by its place in plan") {
  Proving proving;
  Mark flat = published(station("Alice Springs"));
  PassedShot shot = shot_on(flat, 0.05);
  shot.mark.height_kind = HeightOf::none;
  shot.mark.height_m.reset();
  shot.off.up_m.reset();
  const auto proof = prove_frame(proving.transfers, shot, {"GDA94"}, 2020.0);
  REQUIRE(proof.has_value());
  CHECK(proof->answer == FrameAnswer::proven);
}

}  // namespace
}  // namespace stillpoint::control
