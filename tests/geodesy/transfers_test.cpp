// What is told of a frame and of the way to it, for whoever is handed coordinates.

#include "geodesy/transfers.hpp"

#include <doctest/doctest.h>

#include "base/units.hpp"

using namespace stillpoint;
using geodesy::Transfers;

TEST_CASE("a grid is taken under its own code in the wanted unit, or written out where it has none") {
  struct Row {
    const char* name;
    const char* frame;
    std::optional<double> unit_m;
    const char* label;
    bool has_code;
    double unit_found_m;
  };
  // Codes and names of the EPSG data set, as projinfo of PROJ 9.1 lists them.
  const Row rows[] = {
      {"its own unit", "EPSG:6345", {}, "EPSG:6345 NAD83(2011) / UTM zone 16N", true, 1.0},
      {"metres to feet", "EPSG:6495", kFootM, "EPSG:6496 NAD83(2011) / Michigan North (ft)", true, kFootM},
      {"feet to metres", "EPSG:6578", 1.0, "EPSG:6577 NAD83(2011) / Texas Central", true, 1.0},
      {"feet stay feet", "EPSG:6578", kSurveyFootM, "EPSG:6578 NAD83(2011) / Texas Central (ftUS)", true, kSurveyFootM},
      {"no such code", "EPSG:6345", kSurveyFootM, "EPSG:6345 NAD83(2011) / UTM zone 16N", false, kSurveyFootM},
  };
  auto transfers = Transfers::open();
  REQUIRE(transfers);
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const auto found = transfers->definition(row.frame, row.unit_m);
    REQUIRE(found);
    CHECK(found->label == row.label);
    CHECK(found->has_code == row.has_code);
    CHECK(found->unit_m == doctest::Approx(row.unit_found_m).epsilon(1e-12));
    CHECK(found->projected);
    CHECK((found->system.find("PROJCRS") == 0) == !row.has_code);
  }
  CHECK_FALSE(transfers->definition("EPSG:6345", 0.9144));
}

TEST_CASE("a frame says whether a plate holds it, and what it is without a height") {
  auto transfers = Transfers::open();
  REQUIRE(transfers);
  const auto national = transfers->definition("EPSG:6319", {});
  REQUIRE(national);
  CHECK(national->system == "EPSG:6319");
  CHECK(national->flat_system == "EPSG:6318");
  CHECK_FALSE(national->moving);
  for (const char* global : {"ITRF2014", "ITRF2020", "WGS 84 (G2139)", "IGS14"}) {
    CAPTURE(global);
    const auto found = transfers->definition(global, {});
    REQUIRE(found);
    CHECK(found->moving);
  }
  CHECK(transfers->definition("WGS 84 (G2139)", {})->is_wgs84);
  CHECK_FALSE(transfers->definition("WGS 84", {}));
}

TEST_CASE("a way names its operation and the accuracy that the data set states") {
  auto transfers = Transfers::open();
  REQUIRE(transfers);
  const auto way = transfers->way("EPSG:7912", "EPSG:6319");
  REQUIRE(way);
  CHECK(way->moves);
  CHECK(way->time_dependent);
  CHECK(way->description == "ITRF2014 to NAD83(2011) (1)");  // EPSG:8970
  CHECK(way->accuracy_m == doctest::Approx(0.0));
  const auto none = transfers->way("EPSG:6319", "EPSG:6345");
  REQUIRE(none);
  CHECK_FALSE(none->moves);
  CHECK_FALSE(transfers->way("EPSG:6319", "EPSG:4979"));
}

TEST_CASE("a place is projected to where it came from, and not far outside the zone") {
  auto transfers = Transfers::open();
  REQUIRE(transfers);
  const geodesy::Geographic place{47.6, -87.4, 148.0};
  // Lambert's formulas (Snyder 1987, 15-1 to 15-10) for the zone give these feet, by tests/process/zones.py.
  const auto grid = transfers->to_grid("EPSG:6496", place);
  REQUIRE(grid);
  CHECK(grid->easting_m / kFootM == doctest::Approx(26148014.8846).epsilon(2e-11));
  CHECK(grid->northing_m / kFootM == doctest::Approx(1027440.9913).epsilon(2e-10));
  const auto utm = transfers->to_grid("EPSG:6345", place);
  REQUIRE(utm);
  const auto back = transfers->from_grid("EPSG:6345", utm->easting_m, utm->northing_m, 148.0);
  REQUIRE(back);
  CHECK(back->latitude_deg == doctest::Approx(place.latitude_deg).epsilon(1e-13));
  CHECK(back->longitude_deg == doctest::Approx(place.longitude_deg).epsilon(1e-13));
  CHECK_FALSE(transfers->to_grid("EPSG:6339", place));  // zone 10
  CHECK_FALSE(transfers->to_grid("EPSG:6319", place));
}
