// A stay that ends otherwise than by hand and leaves nothing is handed out, so that it can be told.

#include <doctest/doctest.h>

#include "session/session.hpp"
#include "support/epochs.hpp"
#include "support/nmea_text.hpp"

namespace {

using namespace stillpoint;
using session::FeedState;
using session::Session;
using support::Second;

struct Day {
  config::Settings settings = support::settings();
  Session day{settings, geodesy::Frames::open(settings).value(), {}};
  std::vector<session::LostStay> lost;
  std::vector<session::Event> events;

  Day() { day.feed(FeedState::open, "a test", SteadyTime{0}); }
  void collect() {
    session::Outputs out = day.take();
    std::move(out.lost.begin(), out.lost.end(), std::back_inserter(lost));
    std::move(out.events.begin(), out.events.end(), std::back_inserter(events));
  }
  void run(int from_s, int to_s, int quality = 4) {
    for (int t = from_s; t < to_s; ++t) {
      Second second;
      second.t_s = t;
      second.quality = quality;
      second.up_m = 0.0001 * (t % 7);
      day.push(second.text(), SteadyTime{t * 1000 + 80});
    }
    collect();
  }
  void be_silent_to(int t_s) {
    day.advance(SteadyTime{t_s * 1000});
    collect();
  }
};

TEST_CASE("silence ends a stay in which nothing counted, and says so") {
  Day d;
  REQUIRE(d.day.occupy({"CUL-9"}).done);
  d.run(0, 5, 1);
  d.be_silent_to(20);
  REQUIRE(d.lost.size() == 1);
  CHECK(d.lost[0].name == "CUL-9");
  CHECK(d.lost[0].visit == 1);
  CHECK_FALSE(d.lost[0].on_mark);
  CHECK(d.lost[0].why.find("nothing from the receiver") != std::string::npos);
  CHECK(d.day.open_stand() == nullptr);
  CHECK(d.day.occupy({"CUL-9"}).visit == 1);  // its number is free again
}

TEST_CASE("the end of the program is told of too") {
  Day d;
  d.run(0, 5, 1);
  REQUIRE(d.day.occupy({"CUL-9"}).done);
  d.run(5, 8, 1);
  d.day.finish();
  d.collect();
  REQUIRE(d.lost.size() == 1);
  CHECK(d.lost[0].why == "the program was stopped");
}

TEST_CASE("what was dropped by hand, or has seconds that counted, is not lost") {
  Day d;
  d.run(0, 10);
  REQUIRE(d.day.occupy({"CUL-8"}).done);
  d.run(10, 12);
  REQUIRE(d.day.drop().done);
  REQUIRE(d.day.occupy({"CUL-9"}).done);
  d.run(12, 20);
  d.be_silent_to(40);
  CHECK(d.lost.empty());
}

TEST_CASE("a check that is cut off is lost, for a shot that was interrupted is none") {
  Day d;
  REQUIRE(d.day
              .set_marks(control::parse_marks(
                  "name,frame,coordinate_epoch,latitude_deg,longitude_deg,height_m,height_kind,sigma_horizontal_m,"
                  "sigma_vertical_m\nVM-11,EPSG:6319,2010.0,47.600000,-87.400000,142.129,ellipsoid,0.005,0.008\n",
                  "marks.csv"))
              .has_value());
  d.run(0, 10);
  REQUIRE(d.day.check("VM-11").done);
  d.run(10, 20);
  d.be_silent_to(40);
  REQUIRE(d.lost.size() == 1);
  CHECK(d.lost[0].name == "VM-11");
  CHECK(d.lost[0].on_mark);
}

}  // namespace
