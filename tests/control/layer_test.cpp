#include "control/layer.hpp"

#include <doctest/doctest.h>

#include <string>
#include <vector>

namespace stillpoint::control {
namespace {

/// One mark in `frame`, drawn in a layer of `system` at this place, its columns filled as the row says.
Marks drawn(const std::string& frame, const std::string& system, std::optional<Layer::Place> place,
            const std::string& kind = "ellipsoid", const std::string& height = "", const std::string& easting = "") {
  Layer layer;
  layer.system = system;
  layer.table.path = "marks.gpkg";
  layer.table.counted = "row";
  layer.table.columns = {"name",        "frame",    "coordinate_epoch", "sigma_horizontal_m", "sigma_vertical_m",
                         "height_kind", "height_m", "easting_m"};
  layer.table.rows = {{1, {"VM-11", frame, "2010.0", "0.006", kind == "none" ? "" : "0.011", kind, height, easting}}};
  layer.places = {place};
  return marks_from(layer);
}

}  // namespace

// An international foot is 0.3048 m (NIST SP 811, B.6); EPSG:6494 is Michigan's central zone
// of NAD83(2011) in international feet, EPSG:6345 a zone of UTM in metres.
TEST_CASE("a mark in a layer takes its place from the geometry, in the unit of the layer's system") {
  const Marks geographic = drawn("EPSG:6319", "EPSG:6318", Layer::Place{-87.4, 47.6, 182.44});
  REQUIRE(geographic.marks.size() == 1);
  CHECK(geographic.marks[0].longitude_deg == -87.4);
  CHECK(geographic.marks[0].latitude_deg == 47.6);
  CHECK(geographic.marks[0].height_m == 182.44);
  const Marks metres = drawn("EPSG:6345", "EPSG:6345", Layer::Place{470'000.25, 5'272'000.5, 182.44});
  REQUIRE(metres.marks.size() == 1);
  CHECK(metres.marks[0].easting_m == 470'000.25);
  CHECK(metres.marks[0].northing_m == 5'272'000.5);
  const Marks feet = drawn("EPSG:6494", "EPSG:6494", Layer::Place{13'123'359.58, 1'000'000.0, {}}, "none");
  REQUIRE(feet.marks.size() == 1);
  CHECK(feet.marks[0].easting_m == doctest::Approx(13'123'359.58 * 0.3048).epsilon(1e-12));
  CHECK(feet.marks[0].northing_m == doctest::Approx(304'800.0).epsilon(1e-12));
}

TEST_CASE("a height stands where the column says one and the geometry has it, and nowhere else") {
  struct Row {
    const char* name;
    const char* kind;
    const char* written;
    std::optional<double> height_m;
  };
  for (const Row& row : {Row{"of the geometry", "ellipsoid", "", 182.44},
                         Row{"the column goes before the geometry", "orthometric", "215.100", 215.1},
                         Row{"a mark without a height", "none", "", std::nullopt}}) {
    CAPTURE(row.name);
    const Marks marks = drawn("EPSG:6319", "EPSG:6318", Layer::Place{-87.4, 47.6, 182.44}, row.kind, row.written);
    REQUIRE(marks.marks.size() == 1);
    CHECK(marks.marks[0].height_m == row.height_m);
  }
}

TEST_CASE("a row of a layer that contradicts its geometry is no mark, and says why") {
  struct Row {
    const char* name;
    Marks marks;
    const char* says;
  };
  const Layer::Place lake{470'000.0, 5'272'000.0, 182.44};
  const Row rows[] = {
      {"no geometry", drawn("EPSG:6345", "EPSG:6345", std::nullopt), "row 1"},
      {"drawn in another system than its frame", drawn("EPSG:6319", "EPSG:6345", lake), "EPSG:6345"},
      {"a column that says another place", drawn("EPSG:6345", "EPSG:6345", lake, "ellipsoid", "", "470000.1"),
       "easting_m"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    CHECK(row.marks.marks.empty());
    REQUIRE(row.marks.errors.size() == 1);
    CHECK(row.marks.errors[0].find(row.says) != std::string::npos);
  }
  CHECK(drawn("EPSG:6345", "EPSG:6345", lake, "ellipsoid", "", "470000.0").errors.empty());
}

}  // namespace stillpoint::control
