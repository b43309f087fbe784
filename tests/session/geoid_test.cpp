#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "session/session.hpp"
#include "support/epochs.hpp"
#include "support/grid_file.hpp"
#include "support/nmea_text.hpp"

// The receiver of these streams has its own geoid at -36.0 m. NAD83(2011) lies 0.906 m above ITRF2020 there in height
// (EPSG parameters, 47.6 N 87.4 W, 2026.40), so a grid for NAD83(2011) that is right says -35.1 m.

namespace {

using namespace stillpoint;
using session::Session;
using support::GridFile;
using support::Second;

constexpr double kRightM = -35.1;

config::Settings with_geoid(const GridFile& grid, double error_m = 0) {
  config::Settings made = support::settings();
  made.project.height = config::HeightKind::orthometric;
  made.project.geoid = config::Geoid{grid.path(), "County geoid", "EPSG:6319", "", error_m};
  return made;
}

GridFile grid_of(double geoid_m) {
  return GridFile("county.gtx", 46.0, -89.0, 0.5, 7, 7, geoid_m);
}

struct Day {
  config::Settings settings;
  Session day;
  std::vector<session::FinishedPoint> points;
  std::vector<session::Alert> raised, cleared;

  explicit Day(config::Settings made)
      : settings(std::move(made)), day(settings, geodesy::Frames::open(settings).value(), {}) {
    day.feed(session::FeedState::open, "a test", SteadyTime{0});
  }
  void run(int from_s, int to_s, Second like = {}) {
    for (int t = from_s; t < to_s; ++t) {
      Second second = like;
      second.t_s = t;
      second.up_m += 0.0001 * (t % 7);
      day.push(second.text(), SteadyTime{second.t_s * 1000 + 80});
      take();
    }
  }
  void take() {
    session::Outputs out = day.take();
    std::move(out.points.begin(), out.points.end(), std::back_inserter(points));
    std::move(out.raised.begin(), out.raised.end(), std::back_inserter(raised));
    std::move(out.cleared.begin(), out.cleared.end(), std::back_inserter(cleared));
  }
  const occupation::Point& stay(int from_s, int to_s, const std::string& name, Second like = {}) {
    REQUIRE(day.occupy({name}).done);
    run(from_s, to_s, like);
    REQUIRE(day.keep().done);
    take();
    return points.back().point;
  }
  std::vector<std::string> stops() const {
    std::vector<std::string> out;
    for (const auto& alert : raised) {
      if (alert.key == "geoid-contradicted") out.push_back(alert.text);
    }
    return out;
  }
};

TEST_CASE("a grid with its sign turned stops the work and holds the point, with both figures") {
  const GridFile grid = grid_of(-kRightM);
  Day d(with_geoid(grid));
  d.run(0, 10);
  const auto stops = d.stops();
  REQUIRE(stops.size() == 1);
  CAPTURE(stops[0]);
  CHECK(stops[0].find("at +34.1") != std::string::npos);
  CHECK(stops[0].find("at -36.00 m by the receiver: the grid's sign is turned") != std::string::npos);
  CHECK(d.raised.front().severity == session::Severity::stop_work);
  REQUIRE(d.day.occupy({"CUL-1"}).done);
  d.run(10, 60);
  CHECK(d.day.status().occupation->keep_gives == session::KeepGives::held);
  REQUIRE(d.day.keep().done);
  d.take();
  const occupation::Point& point = d.points.at(0).point;
  CHECK(point.status == occupation::PointStatus::held);
  CHECK(point.reasons == std::vector{occupation::HoldReason::geoid_contradicted});
  REQUIRE(point.reason_texts.size() == 1);
  CHECK(point.reason_texts[0].find("at -36.00 m by the receiver") != std::string::npos);
  CHECK(d.stops().size() == 1);  // once for as long as it holds
}

TEST_CASE("a geoid that is right, or coarse by a metre to either side, stops nothing") {
  for (const double off_m : {0.0, 1.0, -1.0, 1.8, -1.8}) {
    CAPTURE(off_m);
    const GridFile grid = grid_of(kRightM + off_m);
    Day d(with_geoid(grid));
    d.run(0, 10);
    CHECK(d.stay(10, 60, "CUL-1").status == occupation::PointStatus::accepted);
    CHECK(d.stops().empty());
  }
}

TEST_CASE("a stay is held when the receiver's geoid was contradicted in any of its seconds") {
  const GridFile grid = grid_of(kRightM);
  Day d(with_geoid(grid));
  d.run(0, 10);
  REQUIRE(d.day.occupy({"CUL-1"}).done);
  d.run(10, 60);
  Second other;  // the same ellipsoid height with 5 m of it moved into the receiver's geoid
  other.separation_m = -31.0;
  other.up_m = -5.0;
  d.run(60, 70, other);
  d.run(70, 90);
  REQUIRE(d.day.keep().done);
  d.take();
  CHECK(d.points.at(0).point.reasons == std::vector{occupation::HoldReason::geoid_contradicted});
  CHECK(d.stops().size() == 1);
  CHECK(d.cleared.size() == 1);
}

TEST_CASE("seconds under SBAS are held against the same grid in their own frame") {
  Second sbas;
  sbas.quality = 2;
  sbas.age = "5";
  sbas.station = "0131";
  sbas.sigma_m = 0.4;
  for (const auto& [geoid_m, status] :
       {std::pair{kRightM, occupation::PointStatus::accepted}, {kRightM + 2.3, occupation::PointStatus::held}}) {
    const GridFile grid = grid_of(geoid_m);
    Day d(with_geoid(grid));
    d.run(0, 12, sbas);
    CHECK(d.stay(12, 70, "CUL-1", sbas).status == status);
  }
}

TEST_CASE("planned visits are held as well") {
  const GridFile grid = grid_of(-kRightM);
  const config::Settings settings = with_geoid(grid);
  Session day(settings, geodesy::Frames::open(settings).value(), {});
  day.plan({{"A", 1, "", parse_utc("2026-06-03T14:00:10Z"), parse_utc("2026-06-03T14:01:10Z")}});
  for (int t = 0; t < 90; ++t) {
    Second s;
    s.t_s = t;
    s.up_m = 0.0001 * (t % 7);
    day.push(s.text(), SteadyTime{t * 1000});
  }
  day.finish();
  const auto out = day.take();
  REQUIRE(out.points.size() == 1);
  CHECK(out.points[0].point.reasons == std::vector{occupation::HoldReason::geoid_contradicted});
}

TEST_CASE("the geoid's error is in the height's, however long the stay, and in no covariance") {
  // 95 % of a normal error lie within 1.95996 sigma (any table): 0.098 m for 0.05 m, added as squares.
  const GridFile grid = grid_of(kRightM);
  Day with(with_geoid(grid, 0.05)), without(with_geoid(grid));
  double last_m = 1e9;
  for (const int length_s : {40, 200, 600}) {
    CAPTURE(length_s);
    const std::string name = "CUL-" + std::to_string(length_s);
    const int from_s = 1000 * (length_s / 40);
    Day* const days[] = {&with, &without};
    occupation::Coordinates at[2];
    for (int i = 0; i < 2; ++i) {
      days[i]->run(from_s - 20, from_s);
      at[i] = days[i]->stay(from_s, from_s + length_s, name).at.value();
    }
    CHECK(at[0].error95_vertical_m ==
          doctest::Approx(std::hypot(at[1].error95_vertical_m, 1.959964 * 0.05)).epsilon(1e-6));
    CHECK(at[0].error95_horizontal_m == at[1].error95_horizontal_m);
    CHECK(at[0].covariance_enu_m2 == at[1].covariance_enu_m2);
    CHECK(at[0].error95_vertical_m > 0.098);
    CHECK(at[0].error95_vertical_m <= last_m);
    last_m = at[0].error95_vertical_m;
  }
}

TEST_CASE("what is shown of a stay has the geoid's error too, and ellipsoid heights have none of it") {
  const GridFile grid = grid_of(kRightM);
  Day d(with_geoid(grid, 0.05));
  d.run(0, 10);
  REQUIRE(d.day.occupy({"CUL-1"}).done);
  d.run(10, 60);
  const double shown_m = d.day.status().occupation->error95_vertical_m.value();
  REQUIRE(d.day.keep().done);
  d.take();
  CHECK(d.points.at(0).point.at->error95_vertical_m == doctest::Approx(shown_m).epsilon(1e-9));
  CHECK(shown_m > 0.098);
  config::Settings ellipsoid = with_geoid(grid, 0.05);
  ellipsoid.project.height = config::HeightKind::ellipsoid;
  Day e(ellipsoid);
  e.run(0, 10);
  const occupation::Point& point = e.stay(10, 60, "CUL-1");
  CHECK(point.at->error95_vertical_m < 0.098);
  CHECK(point.at->orthometric_height_m.has_value());
}

}  // namespace
