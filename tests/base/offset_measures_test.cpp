#include "base/offset_measures.hpp"

#include <doctest/doctest.h>

namespace stillpoint {
namespace {

const OffsetMeasures kByBearing{{{"CUL-7", 2, "0197-a", 4.205, 0.02}}, 123.4, 2.0, -4.5, Side::left, -0.35, 0.05};
const OffsetMeasures kByDistances{{{"A", 1, "0197-a", 3.0, 0.1}, {"the old B stay=x", 12, "", 1.0 / 3.0, 1e-3}},
                                  {},
                                  kCompassSigmaDeg,
                                  {},
                                  Side::right,
                                  {},
                                  kLevelSigmaM};

TEST_CASE("what was measured is one line a figure, and the name of a stay ends its line") {
  CHECK(to_text(kByBearing) ==
        "distance_m=4.205 sigma_m=0.02 from=0197-a visit=2 stay=CUL-7\n"
        "bearing_deg=123.4 sigma_deg=2 declination_deg=-4.5\n"
        "up_m=-0.35 sigma_m=0.05");
  CHECK(to_text(OffsetMeasures{}).empty());
}

TEST_CASE("a text gives back the very doubles, and names with blanks and signs") {
  for (const OffsetMeasures& measures : {OffsetMeasures{}, kByBearing, kByDistances}) {
    const auto read = offset_measures_from(to_text(measures));
    REQUIRE(read);
    CHECK(*read == measures);
  }
}

TEST_CASE("a text that was written by nobody here gives nothing") {
  for (const char* text : {"\n", "wall", "distance_m=4", "distance_m=x sigma_m=1 from= visit=1 stay=A",
                           "distance_m=4 sigma_m=1 from= visit=one stay=A", "distance_m=4 sigma_m=1 visit=1 stay=A",
                           "bearing_deg=4", "bearing_deg=4 sigma_deg=1 more", "side=behind", "side=left left", "up_m=1",
                           "up_m=1 sigma_m=nan", "up_m=1 sigma_m=inf", "up_m=1 sigma_m=1 sigma_m=1"}) {
    CAPTURE(text);
    CHECK_FALSE(offset_measures_from(text));
  }
}

// A compass that points 4.5 degrees west of true north reads 4.5 degrees too much: the declination is negative.
TEST_CASE("the declination turns a magnetic bearing to true north, round the circle") {
  struct Row {
    const char* name;
    double read_deg;
    std::optional<double> declination_deg;
    double true_deg;
  };
  for (const Row& row :
       {Row{"a true bearing stays as it is", 360, {}, 360}, Row{"west of north", 100, -4.5, 95.5},
        Row{"east of north", 100, 4.5, 104.5}, Row{"under 0", 3, -4.5, 358.5}, Row{"over 360", 358, 4.5, 2.5},
        Row{"what is no bearing stays one that is refused", 400, -50, 400}}) {
    CAPTURE(row.name);
    OffsetMeasures measures;
    measures.bearing_deg = row.read_deg;
    measures.declination_deg = row.declination_deg;
    CHECK(true_bearing_deg(measures) == doctest::Approx(row.true_deg).epsilon(1e-12));
  }
}

}  // namespace
}  // namespace stillpoint
