// What a point is called is put right: the open one and earlier ones, and what follows for visits of either name.

#include <doctest/doctest.h>

#include "session/keeping_crew.hpp"

namespace {

using namespace stillpoint;
using occupation::HoldReason;
using occupation::PointStatus;

struct Crew : session::test::KeepingCrew {
  session::CommandResult rename(const std::string& name, int visit, const std::string& to, bool again = false) {
    session::Naming naming;
    naming.name = to;
    naming.again = again;
    return day.amend({name, visit}, naming);
  }
};

TEST_CASE("the open point is kept under the name that it was given last, and the old one is free") {
  Crew crew;
  crew.run(10);
  REQUIRE(crew.day.occupy({"CUL-7", "CUL-D", "old"}).done);
  crew.run(40);
  session::Naming naming;
  naming.name = "CUL-8";
  naming.note = "";
  REQUIRE(crew.day.amend({"CUL-7", 1}, naming).done);
  CHECK(crew.day.status().occupation->name == "CUL-8");
  crew.run(40);
  REQUIRE(crew.day.keep().done);
  const auto point = crew.day.take().points.at(0).point;
  CHECK(point.name == "CUL-8");
  CHECK(point.code == "CUL-D");
  CHECK(point.note.empty());
  CHECK(point.epochs_used == 80);  // one stay, whatever it was called
  CHECK(crew.day.occupy({"CUL-7"}).visit == 1);
}

TEST_CASE("a renamed point's number stays its own, and a name that is taken or near is not given by itself") {
  Crew crew;
  crew.point("CUL-7");
  crew.point("CUL-8", 50);
  CHECK_FALSE(crew.rename("CUL-7", 1, "CUL-8").done);
  CHECK(crew.rename("CUL-7", 1, "cul 8").question->word == "name-near");
  CHECK_FALSE(crew.rename("CUL-7", 1, "CUL-9", true).done);
  const auto itself = crew.rename("CUL-7", 1, "cul-7");
  REQUIRE(itself.done);
  CHECK(itself.visit == 1);
  CHECK(crew.day.occupy({"CUL-7", "", "", false, {}, {}, true}).visit == 2);
  REQUIRE(crew.day.drop().done);
  // Back again, under a number that was never another point's.
  CHECK(crew.rename("cul-7", 1, "CUL-7").visit == 2);
}

TEST_CASE("visits are weighed under the names that they have by now") {
  Crew crew;
  crew.point("CUL-7");
  crew.point("CUL-8", 1.8);
  const auto joined = crew.rename("CUL-8", 1, "CUL-7", true);
  REQUIRE(joined.done);
  CHECK(joined.visit == 2);
  auto out = crew.day.take();
  REQUIRE(out.reconsidered.size() == 2);
  for (const auto& each : out.reconsidered) {
    CHECK(each.point.name == "CUL-7");
    CHECK(each.point.reasons == std::vector{HoldReason::visits_disagree});
  }
  REQUIRE(crew.rename("CUL-7", 2, "CUL-9").done);
  out = crew.day.take();
  REQUIRE(out.reconsidered.size() == 2);
  CHECK(out.reconsidered.at(0).point.status == PointStatus::accepted);
  CHECK(out.reconsidered.at(0).why == "CUL-7 visit 2 is called CUL-9 now");
  CHECK(out.reconsidered.at(1).point.name == "CUL-9");
}

TEST_CASE("a record's own numbers are taken as they are, and what is not known changes nothing") {
  Crew crew;
  crew.point("CUL-7");
  session::Naming naming;
  naming.name = "CUL-8";
  naming.visit = 5;
  CHECK(crew.day.amend({"CUL-7", 1}, naming).visit == 5);
  CHECK(crew.day.amend({"NOBODY", 1}, naming).done);
  CHECK(crew.day.take().reconsidered.empty());
  CHECK(crew.day.occupy({"CUL-8", "", "", true}).visit == 6);
}

TEST_CASE("an antenna that stood otherwise holds what was measured on it, the stay that is open too") {
  Crew crew;
  crew.point("CUL-1");
  const auto second = crew.point("CUL-2", 50);
  CHECK(second.status == PointStatus::accepted);
  crew.run(20, 100);
  REQUIRE(crew.day.occupy({"CUL-3"}).done);
  crew.run(70, 100);
  const UtcTime since{second.started_utc->ms - 1000};
  REQUIRE(crew.day.set_antenna(second.antenna_height_m + 0.2, "the lower stop", since).done);
  const auto ended = crew.day.take().points.at(0).point;
  CHECK(ended.status == PointStatus::held);
  CHECK(ended.reasons == std::vector{HoldReason::interrupted, HoldReason::pole_wrong});
  occupation::Point kept = second;
  CHECK(hold_for_antenna(kept, second.antenna_height_m + 0.2, since));
  CHECK_FALSE(hold_for_antenna(kept, second.antenna_height_m + 0.2, since));
  CHECK(kept.status == PointStatus::held);
  occupation::Point right = second;
  CHECK_FALSE(hold_for_antenna(right, second.antenna_height_m + 0.0004, since));
  CHECK_FALSE(hold_for_antenna(right, second.antenna_height_m + 0.2, UtcTime{second.finished_utc->ms + 1}));
  right.status = PointStatus::rejected;
  CHECK_FALSE(hold_for_antenna(right, second.antenna_height_m + 0.2, since));
}

}  // namespace
