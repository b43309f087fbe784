#include <doctest/doctest.h>

#include "control/compare.hpp"
#include "control/frame_vectors.hpp"
#include "control/marks.hpp"

namespace stillpoint::control {
namespace {

constexpr const char* kHeader =
    "name,frame,coordinate_epoch,latitude_deg,longitude_deg,height_m,height_kind,sigma_horizontal_m,sigma_vertical_m,"
    "recovered,status,remarks\n";

std::string with(const std::string& row) {
  return kHeader + row + "\n";
}

TEST_CASE("a mark is read with everything it says about itself") {
  const Marks marks = parse_marks(
      with(
          "VM-11,EPSG:6319,2010.0,47.600000,-87.400000,182.440,ellipsoid,0.006,0.011,2025-09-14,good,\"disc, Sluice\""),
      "marks.csv");
  CHECK(marks.errors.empty());
  CHECK(marks.warnings.empty());
  const Mark* mark = marks.find("VM-11");
  REQUIRE(mark != nullptr);
  CHECK(mark->coordinate_epoch == 2010.0);
  CHECK(mark->height_kind == HeightOf::ellipsoid);
  CHECK(*mark->height_m == 182.44);
  CHECK(*mark->sigma_vertical_m == 0.011);
  CHECK(mark->remarks == "disc, Sluice");
  CHECK(cautions(*mark, *parse_utc("2026-06-03T14:00:00Z")).empty());
}

TEST_CASE("a row that lacks what makes a mark is refused with its line and the reason") {
  struct Row {
    const char* name;
    std::string row;
    const char* says;
  };
  const Row rows[] = {
      {"no name", ",EPSG:6319,2010,47.6,-87.4,,,0.01,,,,", "the name is missing"},
      {"no frame", "A,,2010,47.6,-87.4,,,0.01,,,,", "frame is missing"},
      {"no epoch", "A,EPSG:6319,,47.6,-87.4,,,0.01,,,,", "coordinate_epoch is missing"},
      {"no place", "A,EPSG:6319,2010,47.6,,,,0.01,,,,", "latitude_deg and longitude_deg"},
      {"no uncertainty", "A,EPSG:6319,2010,47.6,-87.4,,,,,,,", "sigma_horizontal_m"},
      {"a height of no kind", "A,EPSG:6319,2010,47.6,-87.4,180,,0.01,0.02,,,", "height_kind"},
      {"a height without uncertainty", "A,EPSG:6319,2010,47.6,-87.4,180,ellipsoid,0.01,,,,", "sigma_vertical_m"},
      {"a kind without a height", "A,EPSG:6319,2010,47.6,-87.4,,ellipsoid,0.01,0.02,,,", "height_m is missing"},
      {"a latitude beyond the pole", "A,EPSG:6319,2010,97.6,-87.4,,,0.01,,,,", "outside -90 to 90"},
      {"a number with a decimal comma", "A,EPSG:6319,2010,\"47,6\",-87.4,,,0.01,,,,", "is not a number"},
      {"an impossible date", "A,EPSG:6319,2010,47.6,-87.4,,,0.01,,2025-02-30,,", "is not a date"},
      {"an unknown status", "A,EPSG:6319,2010,47.6,-87.4,,,0.01,,,gone,", "status \"gone\""},
      {"a field too few", "A,EPSG:6319,2010,47.6", "4 fields"},
      {"a control character", "A\x1B[2J,EPSG:6319,2010,47.6,-87.4,,,0.01,,,,", "a control character"},
      {"a name that turns the writing", "A\u202E11,EPSG:6319,2010,47.6,-87.4,,,0.01,,,,", "(U+202e)"},
      {"remarks with a blank that takes no place", "A,EPSG:6319,2010,47.6,-87.4,,,0.01,,,,x\u200By", "(U+200b)"},
      {"a name beyond all measure", std::string(65, 'A') + ",EPSG:6319,2010,47.6,-87.4,,,0.01,,,,", "64 bytes"},
      {"an open quote", "\"A,EPSG:6319,2010,47.6,-87.4,,,0.01,,,,", "quote"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const Marks marks = parse_marks(with(row.row), "marks.csv");
    CHECK(marks.marks.empty());
    REQUIRE(marks.errors.size() == 1);
    CHECK(marks.errors.front().find("line 2") != std::string::npos);
    CHECK(marks.errors.front().find(row.says) != std::string::npos);
  }
}

TEST_CASE("a row of another character set is told, and the others count") {
  const Marks marks = parse_marks(std::string(kHeader) +
                                      "A,EPSG:6319,2010,47.6,-87.4,,,0.01,,,,caf\xE9\n"
                                      "B,EPSG:6319,2010,47.6,-87.4,,,0.01,,,,caf\xC3\xA9\n",
                                  "marks.csv");
  REQUIRE(marks.marks.size() == 1);
  CHECK(marks.marks.front().remarks == "caf\xC3\xA9");
  REQUIRE(marks.errors.size() == 1);
  CHECK(marks.errors.front() ==
        "marks.csv, line 2: \",-87.4,,,0.01,,,,caf?\" is no UTF-8 text at byte 42; save the file as "
        "UTF-8");
  const Marks header = parse_marks("name,caf\xE9\n", "marks.csv");
  REQUIRE(header.errors.size() == 1);
  CHECK(header.errors.front().find("marks.csv, line 1: \"name,caf?\" is no UTF-8") == 0);
}

TEST_CASE("a frame of the satellites' own service that stands for another is told") {
  const Marks marks =
      parse_marks(std::string(kHeader) + "VM-11,IGS20,2020,47.6,-87.4,,none,0.01,,2026-06-01,good,\n", "marks.csv");
  REQUIRE(marks.warnings.size() == 1);
  CHECK(marks.warnings.front() == "marks.csv, line 2: the frame of VM-11, IGS20, is taken as ITRF2020");
}

TEST_CASE("a mark that is there twice, disturbed, old or without a height is spoken of") {
  const std::string good = "VM-13,EPSG:6319,2010,47.6,-87.4,,none,0.01,,2009-06-01,disturbed,struck by a plough\n";
  const Marks twice = parse_marks(kHeader + good + good, "marks.csv");
  CHECK(twice.marks.size() == 1);
  CHECK(twice.errors.size() == 1);
  REQUIRE(twice.warnings.size() == 1);
  CHECK(twice.warnings.front().find("VM-13 is marked disturbed") != std::string::npos);
  const auto told = cautions(twice.marks.front(), *parse_utc("2026-06-03T14:00:00Z"));
  REQUIRE(told.size() == 3);
  CHECK(told[0] == "VM-13 is listed as disturbed (struck by a plough)");
  CHECK(told[1] == "VM-13 was last found 17 years ago");
  CHECK(told[2] == "VM-13 has no height, so heights are not checked");
}

Mark mark_in(const std::string& frame, double epoch) {
  Mark mark;
  mark.name = "VM-11";
  mark.frame = frame;
  mark.coordinate_epoch = epoch;
  mark.latitude_deg = 47.6;
  mark.longitude_deg = -87.4;
  mark.height_kind = HeightOf::ellipsoid;
  mark.height_m = 150.0;
  mark.sigma_horizontal_m = 0.006;
  mark.sigma_vertical_m = 0.012;
  return mark;
}

occupation::Coordinates shot_at(const geodesy::Geographic& position, double epoch) {
  occupation::Coordinates shot;
  shot.latitude_deg = position.latitude_deg;
  shot.longitude_deg = position.longitude_deg;
  shot.ellipsoid_height_m = position.ellipsoid_height_m;
  shot.coordinate_epoch = epoch;
  shot.covariance_enu_m2 = {64e-6, 0, 64e-6, 256e-6};
  return shot;
}

// 47.6 N 87.4 W, 2026.40: NAD83(2011) minus ITRF2020 is E +1.038, N -0.988, U +0.906 m (computed elsewhere from the
// EPSG parameters).
TEST_CASE("a long list of marks is read in one pass, and one without end is refused") {
  const auto list = [](std::size_t count) {
    std::string csv = kHeader;
    for (std::size_t i = 0; i < count; ++i)
      csv += "M" + std::to_string(i) + ",EPSG:6319,2010,47.6,-87.4,180,ellipsoid,0.01,0.02,,,\n";
    return csv;
  };
  const Marks many = parse_marks(list(40'000), "marks.csv");
  CHECK(many.errors.empty());
  CHECK(many.marks.size() == 40'000);
  const Marks endless = parse_marks(list(Table::kMostRows + 1), "marks.csv");
  CHECK(endless.marks.empty());
  REQUIRE(endless.errors.size() == 1);
  CHECK(endless.errors[0] == "marks.csv, line 100002: more than 100000 rows; leave those that the project needs");
}

TEST_CASE("a mark is compared in the project frame, whatever frame it is given in") {
  auto transfers = geodesy::Transfers::open().value();
  const geodesy::LocalFrame here({47.6, -87.4, 150.0});
  const auto in_project = here.to_geographic({1.038, -0.988, 0.906});
  struct Row {
    const char* name;
    const char* frame;
    double mark_epoch;
    geodesy::Geographic shot;
    double east_m, north_m, up_m;
  };
  const Row rows[] = {
      {"a mark in the project frame itself", "EPSG:6319", 2010.0, here.origin(), 0, 0, 0},
      {"a mark in ITRF2020 at the date of the shot", "EPSG:9989", 2026.4, in_project, 0, 0, 0},
      {"its frame left out would show as the frames' distance", "EPSG:9989", 2026.4, here.origin(), -1.038, 0.988,
       -0.906},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const auto off = residual(transfers, mark_in(row.frame, row.mark_epoch), "EPSG:6319", shot_at(row.shot, 2026.4));
    REQUIRE(off);
    CHECK(off->east_m == doctest::Approx(row.east_m).scale(1).epsilon(0.002));
    CHECK(off->north_m == doctest::Approx(row.north_m).scale(1).epsilon(0.002));
    CHECK(*off->up_m == doctest::Approx(row.up_m).scale(1).epsilon(0.002));
    CHECK(off->covariance_m2[0] == doctest::Approx(64e-6 + 36e-6));
    CHECK(off->covariance_m2[3] == doctest::Approx(256e-6 + 144e-6));
  }
}

TEST_CASE("a mark that moves with its plate is not compared across years without its velocity") {
  auto transfers = geodesy::Transfers::open().value();
  Mark mark = mark_in("EPSG:9989", 2015.0);
  const auto shot = shot_at({47.6, -87.4, 150.0}, 2026.4);
  const auto refused = residual(transfers, mark, "EPSG:7912", shot);
  REQUIRE(!refused);
  CHECK(refused.error().text.find("give its velocity") != std::string::npos);
  mark.velocity = config::SiteVelocity{-16.0, -2.0, 0.0};
  const auto off = residual(transfers, mark, "EPSG:9989", shot);
  REQUIRE(off);
  CHECK(off->east_m == doctest::Approx(0.016 * 11.4).epsilon(0.001));
  CHECK(off->north_m == doctest::Approx(0.002 * 11.4).epsilon(0.001));
}

TEST_CASE("a mark on a grid is found where its latitude and longitude say") {
  auto transfers = geodesy::Transfers::open().value();
  // UTM 16 north, central meridian: easting 500000 and 87 W exactly, by definition of the projection.
  Mark mark = mark_in("EPSG:6345", 2010.0);
  mark.latitude_deg.reset();
  mark.longitude_deg.reset();
  mark.easting_m = 500000.0;
  mark.northing_m = 5272000.0;
  const auto placed = place_mark(transfers, mark, "EPSG:6319", shot_at({47.6, -87.0, 150.0}, 2010.0));
  REQUIRE(placed);
  CHECK(placed->position.longitude_deg == doctest::Approx(-87.0).epsilon(1e-12));
  CHECK(placed->position.latitude_deg == doctest::Approx(47.6).epsilon(1e-3));
}

TEST_CASE("an orthometric height is compared with an orthometric height or not at all") {
  auto transfers = geodesy::Transfers::open().value();
  Mark mark = mark_in("EPSG:6319", 2010.0);
  mark.height_kind = HeightOf::orthometric;
  mark.height_m = 184.0;
  auto shot = shot_at({47.6, -87.4, 150.0}, 2010.0);
  CHECK(!residual(transfers, mark, "EPSG:6319", shot)->up_m);
  shot.orthometric_height_m = 184.02;
  CHECK(*residual(transfers, mark, "EPSG:6319", shot)->up_m == doctest::Approx(0.02));
}

TEST_CASE("a column that means nothing is told once by its name, and the known ones are not") {
  const Marks marks = parse_marks(
      "name,frame,coordinate_epoch,latitude_deg,longitude_deg,sigma_horizontal_m,owner\n"
      "VM-11,EPSG:6319,2010.0,47.6,-87.4,0.006,county\n",
      "marks.csv");
  CHECK(marks.errors.empty());
  CHECK(marks.find("VM-11") != nullptr);
  REQUIRE(marks.warnings.size() == 1);
  CHECK(marks.warnings.front() == "marks.csv: the column owner means nothing here and is not read");
}

}  // namespace
}  // namespace stillpoint::control
