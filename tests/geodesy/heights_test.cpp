#include <doctest/doctest.h>

#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <string>
#include <tuple>
#include <vector>

#include "base/identity.hpp"
#include "geodesy/frames.hpp"
#include "helpers.hpp"
#include "support/grid_file.hpp"

using namespace stillpoint;
using geodesy::Frames;
using geodesy::Geographic;
using geodesy::test::settings;
using geodesy::test::source;
using support::GridFile;
using support::own_file;

namespace {

config::Settings with_geoid(std::string project_frame, config::Geoid geoid) {
  config::Settings made = settings(project_frame, {source(project_frame, 2010.0)});
  made.project.height = config::HeightKind::orthometric;
  made.project.geoid = std::move(geoid);
  return made;
}

}  // namespace

TEST_CASE("EGM96 heights come out within 6 cm of NGA's printed test points") {
  // NGA EGM96 README, OUTINTPT.DAT: printed from a spline; the 15' grid is read bilinearly, hence 6 cm.
  struct Row {
    double latitude_deg, longitude_deg, geoid_height_m;
  };
  const std::vector<Row> rows{{38.628155, 269.779155, -31.628}, {-14.621217, 305.021114, -2.969},
                              {46.874319, 102.448729, -43.575}, {-23.617446, 133.874712, 15.871},
                              {38.625473, 359.9995, 50.066},    {-0.466744, 0.0023, 17.329}};
  const auto frames = Frames::open(with_geoid("WGS 84 (G873)", {"egm96_15.gtx", "EGM96", "WGS 84 (G873)", ""}));
  REQUIRE(frames.has_value());
  for (const Row& row : rows) {
    CAPTURE(row.latitude_deg);
    for (const double turn_deg : {0.0, -360.0}) {
      const double longitude_deg = row.longitude_deg + turn_deg;
      if (longitude_deg < -180.0) continue;
      const auto delivered = frames->deliver({row.latitude_deg, longitude_deg, 100.0}, 2010.0);
      REQUIRE(delivered.has_value());
      REQUIRE(delivered->orthometric_height_m.has_value());
      CHECK(std::abs(100.0 - *delivered->orthometric_height_m - row.geoid_height_m) < 0.06);
      CHECK(delivered->geoid == "EGM96");
    }
  }
}

TEST_CASE("orthometric height is ellipsoid height minus geoid height, exact to the printed millimetre") {
  // NGS data sheets, Feb 2025: ellipsoid height in NAD83(2011), GEOID18 height; H = h - N. The grid holds the printed
  // N.
  struct Row {
    std::string name;
    double ellipsoid_m;
    float geoid_m;
    double orthometric_m;
  };
  const std::vector<Row> rows{{"VAST", 395.052, -32.191F, 427.243},
                              {"P055", 668.450, -16.433F, 684.883},
                              {"TRND", 78.664, -30.097F, 108.761},
                              {"TXTY", 121.385, -26.283F, 147.668}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const GridFile grid("stillpoint-" + row.name + ".gtx", 46.0, -89.0, 0.5, 7, 7, static_cast<double>(row.geoid_m));
    const auto frames = Frames::open(with_geoid("EPSG:6319", {grid.path(), "printed N", "EPSG:6319", ""}));
    REQUIRE(frames.has_value());
    const auto delivered = frames->deliver({47.6, -87.4, row.ellipsoid_m}, 2010.0);
    REQUIRE(delivered.has_value());
    CHECK(std::lround(*delivered->orthometric_height_m * 1000.0) == std::lround(row.orthometric_m * 1000.0));
  }
}

TEST_CASE("a geoid made for another frame is met in that frame at the point's own epoch") {
  const GridFile grid("stillpoint-own-frame.gtx", 46.0, -89.0, 0.5, 7, 7, -34.5);
  const auto itrf = Frames::open(with_geoid("ITRF2020", {grid.path(), "County geoid", "EPSG:6319", ""}));
  REQUIRE(itrf.has_value());
  const auto nad83 = Frames::open(settings("EPSG:6319", {source("ITRF2020")}));
  REQUIRE(nad83.has_value());
  const Geographic place{47.6, -87.4, 180.0};
  for (const double year : {2010.0, 2026.42}) {
    CAPTURE(year);
    const auto delivered = itrf->deliver(place, year);
    REQUIRE(delivered.has_value());
    const auto in_nad83 = nad83->to_project(0, place, geodesy::test::at_year(year));
    REQUIRE(in_nad83.has_value());
    CHECK(std::abs(in_nad83->position.ellipsoid_height_m - 180.0) > 0.5);  // the trap: this much, not nothing
    CHECK(std::abs(*delivered->orthometric_height_m - (in_nad83->position.ellipsoid_height_m + 34.5)) < 1e-4);
  }
  const auto undated = itrf->deliver(place, 0.0);
  REQUIRE_FALSE(undated.has_value());
  CHECK(undated.error().fault == geodesy::FrameFault::no_date);
  const auto elsewhere = itrf->deliver({48.8566, 2.3522, 80.0}, 2026.42);
  REQUIRE_FALSE(elsewhere.has_value());
  CHECK(elsewhere.error().text.find("outside the area of use") != std::string::npos);
}

TEST_CASE("outside its grid a geoid has no height to give") {
  const GridFile grid("stillpoint-small.gtx", 47.0, -88.0, 0.25, 5, 5, -34.5);
  const auto frames = Frames::open(with_geoid("EPSG:6319", {grid.path(), "County geoid", "EPSG:6319", ""}));
  REQUIRE(frames.has_value());
  CHECK(frames->deliver({47.6, -87.4, 180.0}, 2010.0).has_value());
  const auto outside = frames->deliver({48.6, -87.4, 180.0}, 2010.0);
  REQUIRE_FALSE(outside.has_value());
  CHECK(outside.error().fault == geodesy::FrameFault::frame);
  CHECK(outside.error().text == "48.600000 N 87.400000 W is outside the geoid grid County geoid");
  CHECK(frames->deliver({47.6, -87.4, 180.0}, 2010.0).has_value());  // and forgets that it had none
}

TEST_CASE("a geoid file is known by its fingerprint") {
  const GridFile grid("stillpoint finger print.gtx", 47.0, -88.0, 0.25, 5, 5, -34.5);
  const auto hash = sha256_file(grid.path());
  REQUIRE(hash.has_value());
  CHECK(Frames::open(with_geoid("EPSG:6319", {grid.path(), "County geoid", "EPSG:6319", *hash})).has_value());
  std::string capitals = *hash;
  for (char& c : capitals) c = c >= 'a' && c <= 'f' ? static_cast<char>(c - 'a' + 'A') : c;
  CHECK(Frames::open(with_geoid("EPSG:6319", {grid.path(), "County geoid", "EPSG:6319", capitals})).has_value());
  const auto other =
      Frames::open(with_geoid("EPSG:6319", {grid.path(), "County geoid", "EPSG:6319", std::string(64, '0')}));
  REQUIRE_FALSE(other.has_value());
  CHECK(other.error().text.find("has SHA-256 " + *hash + ", but the configuration expects 0000") != std::string::npos);
}

TEST_CASE("a file that is no grid, or a name that PROJ would read as more than one, is refused") {
  const std::string rubbish = own_file("rubbish.gtx").string();
  std::ofstream(rubbish) << "not a grid\n";
  const auto no_grid = Frames::open(with_geoid("EPSG:6319", {rubbish, "County geoid", "EPSG:6319", ""}));
  std::filesystem::remove(rubbish);
  REQUIRE_FALSE(no_grid.has_value());
  CHECK(no_grid.error().text.find("is missing or not a grid that PROJ can read") != std::string::npos);
  for (const char* name : {"a.gtx,b.gtx", "@optional.gtx", "null\n", "quo\"te.gtx", "", "null"}) {
    CAPTURE(name);
    CHECK_FALSE(Frames::open(with_geoid("EPSG:6319", {name, "County geoid", "EPSG:6319", ""})).has_value());
  }
}

TEST_CASE("a geoid may stand beside ellipsoid heights, and in a projected frame") {
  const GridFile grid("stillpoint-projected.gtx", 46.0, -89.0, 0.5, 7, 7, -34.5);
  config::Settings made = with_geoid("EPSG:6319", {grid.path(), "County geoid", "EPSG:6319", ""});
  made.project.frame = "EPSG:6345";
  made.project.height = config::HeightKind::ellipsoid;
  const auto frames = Frames::open(made);
  REQUIRE(frames.has_value());
  const auto delivered = frames->deliver({47.6, -87.4, 180.0}, 2010.0);
  REQUIRE(delivered.has_value());
  CHECK(delivered->easting_m.has_value());
  CHECK(std::abs(*delivered->orthometric_height_m - 214.5) < 1e-4);
}

TEST_CASE("with orthometric heights the frame is compound, and its vertical part names the geoid") {
  const GridFile grid("stillpoint-compound.gtx", 46.0, -89.0, 0.5, 7, 7, -34.5);
  for (const auto& [frame, horizontal, id] :
       {std::tuple{"EPSG:6319", "GEOGCRS[\"NAD83(2011)\"", "ID[\"EPSG\",6318]"},
        {"EPSG:6345", "PROJCRS[\"NAD83(2011) / UTM zone 16N\"", "ID[\"EPSG\",6345]"}}) {
    config::Settings made = with_geoid("EPSG:6319", {grid.path(), "County \"new\" geoid", "EPSG:6319", ""});
    made.project.frame = frame;
    const auto frames = Frames::open(made);
    REQUIRE_MESSAGE(frames.has_value(), frames.error().text);
    const std::string& wkt = frames->project_frame_wkt();
    CAPTURE(wkt);
    CHECK(wkt.starts_with("COMPOUNDCRS[\"NAD83(2011)"));
    for (const char* part :
         {horizontal, id, "VDATUM[\"County \"\"new\"\" geoid\"]", "GEOIDMODEL[\"County \"\"new\"\" geoid\"]",
          "\"gravity-related height (H)\",up,LENGTHUNIT[\"metre\",1]"}) {
      CAPTURE(part);
      CHECK(wkt.find(part) != std::string::npos);
    }
    CHECK(wkt.find("CS[ellipsoidal,3]") == std::string::npos);
    // Type 2005 of OGC 01-009: heights above the geoid.
    CHECK(frames->project_frame_wkt1().starts_with("COMPD_CS[\"NAD83(2011)"));
    CHECK(frames->project_frame_wkt1().find("geoid\",2005]") != std::string::npos);
    CHECK(frames->project_frame() == frame);  // a pointbook stays locked to the one it was told
    made.project.height = config::HeightKind::ellipsoid;
    CHECK(Frames::open(made)->project_frame_wkt().find("COMPOUNDCRS") == std::string::npos);
  }
}
