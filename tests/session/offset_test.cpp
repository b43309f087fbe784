// Offset points in the session: their names, their stays, and what follows when something comes of those.

#include <doctest/doctest.h>

#include <cmath>

#include "geodesy/local.hpp"
#include "occupation/place.hpp"
#include "record/command.hpp"
#include "session/apply.hpp"
#include "session/keeping_crew.hpp"

namespace {

using namespace stillpoint;
using occupation::HoldReason;
using occupation::PointStatus;

struct Crew : session::test::KeepingCrew {
  static OffsetMeasures east(double distance_m, const std::string& from, int visit = 1) {
    OffsetMeasures out;
    out.stays = {{from, visit, "", distance_m, 0.02}};
    out.bearing_deg = 90;
    out.up_m = 1;
    return out;
  }
  session::CommandResult offset(const std::string& name, const OffsetMeasures& measures) {
    return make_offset(day, {name, "", "", measures});
  }
  occupation::Point made(const std::string& name, const OffsetMeasures& measures) {
    const auto done = offset(name, measures);
    CAPTURE(done.text);
    REQUIRE(done.done);
    return day.take().points.at(0).point;
  }
};

TEST_CASE("an offset point lies where it was measured, and is delivered as any other") {
  Crew crew;
  const auto stay = crew.point("CUL-7");
  const auto point = crew.made("WALL", Crew::east(10, "CUL-7"));
  const auto off = geodesy::LocalFrame(occupation::place_of(*stay.at)).to_enu(occupation::place_of(*point.at));
  CHECK(off.east_m == doctest::Approx(10).epsilon(1e-5));
  CHECK(std::abs(off.north_m) < 0.001);
  CHECK(point.at->ellipsoid_height_m - stay.at->ellipsoid_height_m == doctest::Approx(1));
  CHECK(point.status == PointStatus::accepted);
  CHECK(point.visit == 1);
  CHECK(point.at->easting_m.has_value() == stay.at->easting_m.has_value());
  CHECK(*point.finished_utc >= *stay.finished_utc);
}

TEST_CASE("the record's command gives the same point to the last bit, with the number that it got") {
  Crew live, again;
  live.point("CUL-7");
  again.point("CUL-7");
  const auto point = live.made("WALL", Crew::east(10, "CUL-7"));
  record::Offset command{"WALL", "", "", Crew::east(10, "CUL-7"), {}, 3, false, "0197-c"};
  REQUIRE(session::apply(again.day, command, SteadyTime{again.t_s * 1000}).done);
  auto computed = again.day.take().points.at(0).point;
  CHECK(computed.visit == 3);
  CHECK(computed.at->latitude_deg == point.at->latitude_deg);
  CHECK(computed.at->longitude_deg == point.at->longitude_deg);
  CHECK(computed.at->covariance_enu_m2 == point.at->covariance_enu_m2);
  CHECK(computed.measures == point.measures);
}

TEST_CASE("its name must be a new one, and nothing is measured from what is no kept point") {
  Crew crew;
  crew.point("CUL-7");
  const auto east = Crew::east(10, "CUL-7");
  CHECK(crew.offset("CUL-7", east).text ==
        "CUL-7 is in the pointbook already; give the offset point a name of its own");
  CHECK(crew.offset("cul 7", east).question->word == "name-near");
  CHECK(crew.offset("", east).text == "a point needs a name");
  CHECK(crew.offset("W", Crew::east(10, "NOBODY")).text == "NOBODY visit 1 is no kept point; see stillpoint points");
  CHECK_FALSE(crew.offset("W", Crew::east(10, "CUL-7", 2)).done);
  CHECK_FALSE(crew.offset("W", Crew::east(0, "CUL-7")).done);
  REQUIRE(crew.day.occupy({"CUL-8"}).done);
  crew.run(30);
  CHECK(crew.offset("W", Crew::east(10, "CUL-8")).text ==
        "CUL-8 visit 1 is still open; keep it first, then measure from it");
  crew.made("W", east);
  CHECK_FALSE(crew.offset("W", east).done);
  REQUIRE(crew.day.keep().done);
  CHECK(crew.day.take().points.at(0).point.name == "CUL-8");
  CHECK_FALSE(crew.day.occupy({"W"}).done);
}

TEST_CASE("what becomes of a stay becomes of what was measured from it") {
  Crew crew;
  const auto stay = crew.point("CUL-7");
  crew.made("WALL", Crew::east(10, "CUL-7"));
  REQUIRE(crew.day.resolve("CUL-7", 1, false).done);
  auto out = crew.day.take();
  REQUIRE(out.reconsidered.size() == 1);
  CHECK(out.reconsidered[0].point.name == "WALL");
  CHECK(out.reconsidered[0].point.reasons == std::vector{HoldReason::stay_held});
  CHECK(out.reconsidered[0].why == "its stay CUL-7 visit 1 is rejected: decide about that stay");
  REQUIRE(crew.day.resolve("CUL-7", 1, true).done);
  out = crew.day.take();
  REQUIRE(out.reconsidered.size() == 1);
  CHECK(out.reconsidered[0].point.status == PointStatus::accepted);
  CHECK(out.reconsidered[0].why == "its stays are accepted again");
  session::Naming naming;
  naming.name = "CUL-8";
  REQUIRE(crew.day.amend({"CUL-7", 1}, naming).done);
  out = crew.day.take();
  REQUIRE(out.reconsidered.size() == 1);
  CHECK(out.reconsidered[0].point.measures.stays.at(0).name == "CUL-8");
  // The pole was wrong for the stay: the offset point has none of its own and goes with it.
  REQUIRE(crew.day.set_antenna(stay.antenna_height_m + 0.2, "the lower stop", *stay.started_utc).done);
  out = crew.day.take();
  REQUIRE(out.reconsidered.size() == 1);
  CHECK(out.reconsidered[0].why == "its stay CUL-8 visit 1 is held: decide about that stay");
}

TEST_CASE("a later stay of its name is its next visit, weighed against none, and no mean is made of the two") {
  Crew crew;
  crew.point("CUL-7");
  const auto point = crew.made("WALL", Crew::east(10, "CUL-7"));
  crew.run(20);
  session::OccupyCommand again;
  again.name = "WALL";
  again.again = true;
  REQUIRE(crew.day.occupy(again).visit == 2);
  crew.run(70);
  REQUIRE(crew.day.keep().done);
  auto out = crew.day.take();
  CHECK(out.reconsidered.empty());
  const auto visit = out.points.at(0).point;
  CHECK(visit.status == PointStatus::accepted);
  CHECK(combined(crew.day, {&point, &visit}).empty());
}

TEST_CASE("an offset point of an earlier day is known as one, and so is a stay that was recovered") {
  Crew first, later;
  const auto stay = first.point("CUL-7");
  const auto point = first.made("WALL", Crew::east(10, "CUL-7"));
  later.run(10);
  later.day.know(stay, session::Weighed::no);
  later.day.know(point);
  const auto other = later.made("POST", Crew::east(4, "CUL-7"));
  CHECK(other.at->coordinate_epoch == stay.at->coordinate_epoch);
  REQUIRE(later.day.resolve("CUL-7", 1, false).done);
  CHECK(later.day.take().reconsidered.size() == 2);
}

}  // namespace
