#include <doctest/doctest.h>

#include "config/support.hpp"

namespace stillpoint::config::test {
namespace {

Settings complete() {
  const Loaded loaded = parse(read_data("complete.toml"), "/etc/stillpoint/day.toml");
  REQUIRE_MESSAGE(loaded.errors.empty(), all(loaded));
  return loaded.settings;
}

}  // namespace

TEST_CASE("the complete file gives every value it holds: project, feeds, antenna") {
  const Settings s = complete();
  CHECK(s.path == "/etc/stillpoint/day.toml");
  CHECK(s.project.name == "Harrowfen culvert inventory");
  CHECK(s.project.crew == "A");
  CHECK_FALSE(s.project.contact);
  CHECK(s.project.frame == "EPSG:6319");
  CHECK_FALSE(s.project.coordinate_epoch);
  CHECK_FALSE(s.project.site_velocity_mm_per_year);
  CHECK(s.project.height == HeightKind::ellipsoid);
  CHECK_FALSE(s.project.geoid);
  CHECK(s.project.pointbook == "/etc/stillpoint/harrowfen.gpkg");
  CHECK(s.project.record == "/etc/stillpoint/record");
  REQUIRE(s.feeds.size() == 1);
  CHECK(s.feeds[0].kind == FeedKind::replay);
  CHECK(s.feeds[0].file == "/etc/stillpoint/alder-cut.nmea");
  CHECK(s.feeds[0].pace == 20.0);
  CHECK(s.feeds[0].silence_s == 3.0);
  REQUIRE(s.antenna.vertical_parts_m.size() == 2);
  CHECK(s.antenna.vertical_parts_m[0] == std::pair<std::string, double>("pole", 1.800));
  CHECK(s.antenna.vertical_parts_m[1] == std::pair<std::string, double>("adapter_to_phase_centre", 0.071));
  CHECK_FALSE(s.antenna.slant_m);
  CHECK(s.antenna.also_measured_ft == 6.138);
  CHECK_FALSE(s.antenna.already_reduced_by_receiver);
}

TEST_CASE("the complete file gives every value it holds: the network source") {
  const Settings s = complete();
  REQUIRE(s.sources.size() == 2);
  const Source& network = s.sources[0];
  CHECK(network.name == "county network");
  CHECK(network.match.quality.empty());
  REQUIRE(network.match.station);
  CHECK_FALSE(network.match.station->blank);
  CHECK(network.match.station->ranges == std::vector<std::pair<int, int>>{{417, 417}, {900, 910}});
  CHECK(network.frame == "EPSG:6319");
  CHECK(network.coordinate_epoch == 2010.0);
  CHECK(network.evidence == "operator's page, read 2026-05-02; agrees on mark VM-11 within 9 mm");
  CHECK(network.error_scale == 1.0);
  CHECK(network.error_scale_verified());
  CHECK(network.error_scale_evidence->visits == 14);
  CHECK(network.error_scale_evidence->until == "2026-06-03");
  CHECK(network.unproven_margin == 1.5);
  CHECK(network.error_floor_m.horizontal_m == 0.008);
  CHECK(network.error_floor_m.vertical_m == 0.012);
  CHECK_FALSE(network.assumed_sigma_m);
  CHECK(network.gate.quality == std::vector<Quality>{Quality::rtk_fixed});
  CHECK(network.gate.fresh_age_s == 3.0);
  CHECK(network.gate.max_age_s == 10.0);
  CHECK(network.gate.coast_growth_m_per_min == 0.05);
  CHECK(network.gate.age_missing == AgeMissing::refuse);
  CHECK(network.gate.max_hdop == 2.0);
  CHECK(network.gate.max_pdop == 4.0);
  CHECK(network.gate.max_vdop == 3.0);
  CHECK(network.gate.min_satellites == 6);
  CHECK(network.gate.max_error95_horizontal_m == 0.05);
  CHECK(network.gate.max_error95_vertical_m == 0.08);
  CHECK(network.gate.max_speed_mps == 0.10);
  CHECK(network.gate.settle_s == 5.0);
  CHECK(network.gate.min_minute_decimals == 6);
  CHECK(network.gate.min_altitude_decimals == 2);
}

TEST_CASE("the complete file gives every value it holds: the satellite source and the rest") {
  const Settings s = complete();
  REQUIRE(s.sources.size() == 2);
  const Source& sbas = s.sources[1];
  CHECK(sbas.match.quality == std::vector<Quality>{Quality::differential, Quality::sbas});
  REQUIRE(sbas.match.station);
  CHECK(sbas.match.station->blank);
  CHECK(sbas.match.station->ranges == std::vector<std::pair<int, int>>{{0, 0}, {33, 64}, {120, 158}});
  CHECK_FALSE(sbas.coordinate_epoch);
  CHECK(sbas.gate.age_missing == AgeMissing::allow);
  CHECK(sbas.gate.max_age_s == 1200.0);
  CHECK(s.occupation.min_epochs == 30);
  CHECK(s.occupation.min_duration_s == 30.0);
  CHECK(s.occupation.max_duration_s == 600.0);
  CHECK_FALSE(s.occupation.finish_at_error95_m);
  CHECK(s.relay.listen.empty());
  CHECK(s.alerts.run.empty());
  CHECK(s.alerts.check_due_min == 120.0);
  CHECK(s.alerts.disk_free_mib == 500.0);
  CHECK(s.page.listen.empty());
  CHECK(s.control.socket == "/etc/stillpoint/control");
}

TEST_CASE("every absent limit of a source is said, and a complete source has nothing to say") {
  const Loaded full = parse(read_data("complete.toml"), "day.toml");
  CHECK(full.notes.empty());
  const Loaded bare = parse(kMinimal, "day.toml");
  REQUIRE_MESSAGE(bare.errors.empty(), all(bare));
  const std::vector<std::string> expected{
      "source \"network\": max_hdop is absent, so HDOP is not limited",
      "source \"network\": max_pdop is absent, so PDOP is not limited",
      "source \"network\": max_vdop is absent, so VDOP is not limited",
      "source \"network\": min_satellites is absent, so the number of satellites is not limited",
      "source \"network\": max_error95_horizontal_m is absent, so the horizontal error of an epoch is not limited",
      "source \"network\": max_error95_vertical_m is absent, so the vertical error of an epoch is not limited",
      "source \"network\": max_speed_mps is absent, so speed is not limited and a walking pole counts",
      "source \"network\": settle_s is absent, so no settling is asked for after an outage",
      "source \"network\": min_minute_decimals is absent, so coarse coordinates are not refused",
      "source \"network\": min_altitude_decimals is absent, so coarse heights are not refused",
      "source \"network\": coast_growth_m_per_min is absent, so errors do not grow while coasting",
      "source \"network\": error_scale is absent, so the receiver's error claim is taken as it is, not verified",
      "source \"network\": error_scale_evidence is absent, so no error is reduced by averaging: the claim is not "
      "proven",
      "source \"network\": error_floor_m is absent, so the averaged error has no lower bound"};
  CHECK(bare.notes == expected);
}

}  // namespace stillpoint::config::test
