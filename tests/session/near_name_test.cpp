// Names that read like a known one are asked about when a stay begins, and never when a record is followed.

#include <doctest/doctest.h>

#include "occupation/occupation.hpp"
#include "session/session.hpp"
#include "support/epochs.hpp"

namespace {

using namespace stillpoint;
using session::Session;

constexpr const char* kMarks =
    "name,frame,coordinate_epoch,latitude_deg,longitude_deg,height_m,height_kind,sigma_horizontal_m,sigma_vertical_m\n"
    "VM-11,EPSG:6319,2010.0,47.600000,-87.400000,142.129,ellipsoid,0.005,0.008\n";

/// A day that knows the point CUL-31, the mark VM-11 and the planned visit HDW-7.
struct Day {
  config::Settings settings = support::settings();
  Session day{settings, geodesy::Frames::open(settings).value(), {}};

  Day() {
    occupation::Point known;
    known.name = "CUL-31";
    day.know(known);
    REQUIRE(day.set_marks(control::parse_marks(kMarks, "marks.csv")).has_value());
    day.plan({{"HDW-7", 1, "", *parse_utc("2026-06-03T20:00:00Z"), {}}});
  }
};

TEST_CASE("a name that reads like a known one is asked about, with what may be meant") {
  struct Row {
    const char* name;
    const char* candidate;  ///< empty: nothing is asked
    const char* is;
  };
  const Row rows[] = {
      {"cul-31", "CUL-31", "point"},
      {"CUL 31", "CUL-31", "point"},
      {"CUL31", "CUL-31", "point"},
      {"VM 11", "VM-11", "mark"},
      {"vm-11", "VM-11", "mark"},
      {"hdw 7", "HDW-7", "visit"},
      {"CUL-32", "", ""},
      {"VM-11", "", ""},
      {"HDW-7", "", ""},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Day d;
    const auto answer = d.day.occupy({row.name});
    CHECK(answer.done == (*row.candidate == '\0'));
    if (answer.done) continue;
    REQUIRE(answer.question.has_value());
    CHECK(answer.question->word == "name-near");
    CHECK(answer.question->candidate == row.candidate);
    CHECK(answer.question->candidate_is == row.is);
    CHECK(answer.text.find(row.candidate) != std::string::npos);
    CHECK(answer.text.find("--new") != std::string::npos);
    CHECK(d.day.open_stand() == nullptr);
  }
}

TEST_CASE("said to be new it begins, and the name is known from then on") {
  Day d;
  session::OccupyCommand command{"cul-31"};
  command.is_new = true;
  CHECK(d.day.occupy(command).done);
  CHECK(d.day.open_stand()->name == "cul-31");
}

TEST_CASE("a repeat visit under another spelling is asked about as well") {
  Day d;
  session::OccupyCommand again{"cul 31"};
  again.again = true;
  const auto answer = d.day.occupy(again);
  CHECK_FALSE(answer.done);
  REQUIRE(answer.question.has_value());
  CHECK(answer.question->candidate == "CUL-31");
}

TEST_CASE("the name that is known is no question, but what it was before") {
  Day d;
  const auto answer = d.day.occupy({"CUL-31"});
  CHECK_FALSE(answer.done);
  CHECK_FALSE(answer.question.has_value());
}

TEST_CASE("a record of before questions were asked is followed without one") {
  Day d;
  session::OccupyCommand recorded{"cul-31"};
  recorded.visit = 1;
  CHECK(d.day.occupy(recorded).done);
}

}  // namespace
