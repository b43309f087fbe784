#include "geodesy/antenna.hpp"

#include <doctest/doctest.h>

#include <string>
#include <utility>
#include <vector>

#include "geodesy/local.hpp"
#include "helpers.hpp"

using namespace stillpoint;
using geodesy::antenna_height_m;

namespace {

config::Antenna parts(std::vector<std::pair<std::string, double>> lengths) {
  config::Antenna antenna;
  antenna.vertical_parts_m = std::move(lengths);
  return antenna;
}

config::Antenna slant(double length_m, double radius_m, double plane_m) {
  config::Antenna antenna;
  antenna.slant_m = config::Slant{length_m, radius_m, plane_m};
  return antenna;
}

config::Antenna with_second_ft(config::Antenna antenna, double feet) {
  antenna.also_measured_ft = feet;
  return antenna;
}

config::Antenna reduced(config::Antenna antenna) {
  antenna.already_reduced_by_receiver = true;
  return antenna;
}

}  // namespace

TEST_CASE("the antenna height is the sum of its parts or the leg of the slant triangle") {
  struct Row {
    std::string name;
    config::Antenna antenna;
    double expected_m;
  };
  const std::vector<Row> rows{
      {"two parts add up", parts({{"pole", 1.800}, {"adapter", 0.071}}), 1.871},
      {"a signed part is taken off", parts({{"pole", 2.000}, {"plane", -0.018}}), 1.982},
      {"a part of zero is a height of zero", parts({{"pole", 0.0}}), 0.0},
      // Three-four-five triangles need no calculator.
      {"a 3-4-5 slant", slant(2.5, 1.5, 0.0), 2.0},
      {"the measuring plane lies below the phase centre", slant(2.5, 1.5, 0.035), 2.035},
      {"the measuring plane lies above the phase centre", slant(2.5, 1.5, -0.035), 1.965},
      {"a radius of zero makes the slant vertical", slant(1.850, 0.0, 0.0), 1.850},
      // 6 ft = 1.8288 m exactly (NIST: the international foot is 0.3048 m).
      {"a second reading that agrees", with_second_ft(parts({{"pole", 1.8288}}), 6.0), 1.8288},
      {"a second reading exactly 3 mm above still agrees", with_second_ft(parts({{"pole", 1.8258}}), 6.0), 1.8258},
      {"a second reading exactly 3 mm below still agrees", with_second_ft(parts({{"pole", 1.8318}}), 6.0), 1.8318},
      {"a second reading of a slant", with_second_ft(slant(2.286, 1.3716, 0.0), 6.0), 1.8288},
      {"the receiver already reduces", reduced({}), 0.0},
      {"the receiver already reduces, whatever the parts say", reduced(parts({{"pole", 1.8}})), 0.0},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const auto height_m = antenna_height_m(row.antenna);
    REQUIRE(height_m.has_value());
    CHECK(std::abs(*height_m - row.expected_m) < 1e-12);
  }
}

TEST_CASE("an antenna that cannot be right is refused in its own words") {
  struct Row {
    std::string name;
    config::Antenna antenna;
    const char* says;
  };
  config::Antenna both = parts({{"pole", 1.8}});
  both.slant_m = config::Slant{1.85, 0.19, 0.0};
  const std::vector<Row> rows{
      {"no height at all", {}, "no height is given"},
      {"a slant shorter than its radius", slant(0.180, 0.190, 0.0),
       "length 0.180 m is not longer than the radius 0.190 m"},
      {"a slant equal to its radius", slant(0.190, 0.190, 0.0), "is not longer than the radius"},
      {"a negative radius", slant(1.8, -0.19, 0.0), "radius -0.190 m is negative"},
      {"parts and slant together", both, "both given"},
      {"a height below the mark", parts({{"pole", 1.0}, {"plane", -1.2}}), "-0.200 m, below the mark"},
      {"a second reading off by 4 mm", with_second_ft(parts({{"pole", 1.8248}}), 6.0), "differ by 4.0 mm, limit 3 mm"},
      {"a second reading a tenth of a millimetre past the limit", with_second_ft(parts({{"pole", 1.8257}}), 6.0),
       "differ by 3.1 mm, limit 3 mm"},
      {"metres typed as feet", with_second_ft(parts({{"pole", 1.8}}), 1.8), "1.800 ft is 0.5486 m"},
      {"a part that is no number", parts({{"pole", std::nan("")}}), "part pole must be a finite number"},
      {"a slant that is no number", slant(HUGE_VAL, 0.1, 0.0), "must be finite"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const auto height_m = antenna_height_m(row.antenna);
    REQUIRE_FALSE(height_m.has_value());
    CAPTURE(height_m.error().text);
    CHECK(height_m.error().text.find(row.says) != std::string::npos);
  }
}

TEST_CASE("published antenna offsets are vertical in the local plane to a millimetre") {
  // NGS position and velocity files and coordinate files: the antenna reference point, another point of the same
  // station in X-Y-Z, and its height above the reference point as printed there.
  struct Row {
    std::string name;
    geodesy::test::Xyz reference_m;
    geodesy::test::Xyz point_m;
    double up_m;
  };
  const Row rows[] = {
      {"WMTS phase centre (wmts.pv)",
       {1521430.995, -4458448.174, 4285377.687},
       {1521431.013, -4458448.23, 4285377.745},
       0.083},
      {"UAAG phase centre (uaag.pv)",
       {-2663934.32, -1548947.592, 5565691.862},
       {-2663934.349, -1548947.61, 5565691.925},
       0.071},
      {"FEI1 phase centre (FEI1 PV_RET)",
       {-812814.036, -5493993.221, 3126188.003},
       {-812814.048, -5493993.312, 3126188.058},
       0.107},
      {"IPAZ phase centre (ipaz_14.coord.txt)",
       {-2023265.294, -5460590.073, 2592968.235},
       {-2023265.315, -5460590.129, 2592968.262},
       0.066},
      {"IPAZ monument (ipaz_14.coord.txt)",
       {-2023265.294, -5460590.073, 2592968.235},
       {-2023265.262, -5460589.987, 2592968.194},
       -0.101},
      {"USMX phase centre (usmx_14.coord.txt)",
       {-1865330.44, -5215100.166, 3153548.237},
       {-1865330.463, -5215100.235, 3153548.28},
       0.085},
      {"USMX monument (usmx_14.coord.txt)",
       {-1865330.44, -5215100.166, 3153548.237},
       {-1865330.437, -5215100.159, 3153548.232},
       -0.008},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const auto reference = geodesy::test::to_llh(row.reference_m);
    const auto enu = geodesy::LocalFrame(reference).to_enu(geodesy::test::to_llh(row.point_m));
    // Everything is printed to a millimetre, so the comparison is made in whole millimetres.
    CHECK(std::abs(std::lround(enu.up_m * 1000.0) - std::lround(row.up_m * 1000.0)) <= 1);
    CHECK(std::hypot(enu.east_m, enu.north_m) <= 0.004);
  }
}
