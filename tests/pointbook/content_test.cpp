#include <doctest/doctest.h>

#include <cmath>
#include <functional>
#include <set>

#include "base/identity.hpp"
#include "pointbook/column_text.hpp"
#include "pointbook/compare.hpp"
#include "pointbook/content.hpp"
#include "pointbook/geometry.hpp"
#include "pointbook/samples.hpp"

namespace {

using namespace stillpoint;
using pointbook::canonical_content;
using pointbook::digest_of;

std::string content(const occupation::StoredPoint& point) {
  return canonical_content(point, digest_of(point.epochs));
}

std::string hex(std::string_view bytes) {
  static constexpr std::string_view kDigits = "0123456789abcdef";
  std::string out;
  for (const char c : bytes) {
    const auto byte = static_cast<unsigned char>(c);
    out.push_back(kDigits[byte >> 4U]);
    out.push_back(kDigits[byte & 15U]);
  }
  return out;
}

}  // namespace

TEST_CASE("the canonical content is these lines, in this order, with these decimals") {
  occupation::StoredPoint p = samples::point(1, 1);
  p.point.note = "tab\there, back\\slash\nnew line";
  const std::string epoch =
      "2026-06-03T14:06:50.000Z\trtk-fixed\t417\tcounty network\t1.000000\tfresh\taccepted\t\t47.60010000000\t"
      "-87.40010000000\t183.250000\t0.008000\t0.009000\t0.014000\n";
  const std::string expected =
      "stillpoint-content 1\nuuid=" + samples::uuid(1) +
      "\nversion=1\nsupersedes=\nchanged_by=\nchange_reason=\nname=CUL-1\nvisit=1\ncode=CUL-U\n"
      "note=tab\\there, back\\\\slash\\nnew line\nstatus=held\nreasons=too-short unresolved\n"
      "reason_texts=12 s observed, 30 s needed\\ntwo positions 0.42 m apart; neither is proved\nframe=EPSG:6319\n"
      "coordinate_epoch=2026.42000000\nlatitude_deg=47.60001428571\nlongitude_deg=-87.40003333333\neasting_m=\n"
      "northing_m=\nellipsoid_height_m=183.583333\northometric_height_m=217.833333\ngeoid=County geoid 2024\n"
      "error95_horizontal_m=0.021000\nerror95_vertical_m=0.034000\ncovariance_ee_m2=0.000064000000\n"
      "covariance_en_m2=-0.000001200000\ncovariance_nn_m2=0.000071000000\ncovariance_uu_m2=0.000300000000\n"
      "repeatability_m=0.007100\neffective_epochs=12.750000\nepochs_used=14\nepochs_refused=3\n"
      "refused={\"hdop\":2,\"moving\":3}\nsource=county network\nstation=417\nquality=rtk-fixed\n"
      "antenna_height_m=1.871000\nstarted_utc=2026-06-03T14:06:50.000Z\nfinished_utc=2026-06-03T14:07:10.250Z\n"
      "flags=coasted error-scale-not-verified\nerror_scale=1.000000\nepochs_kept=1\nepochs_sha256=" +
      sha256_hex(epoch) + "\n";
  CHECK(content(p) == expected);
}

TEST_CASE("every field of a point changes its content, but not when it was stored") {
  using P = occupation::StoredPoint;
  const std::vector<std::pair<const char*, std::function<void(P&)>>> changes = {
      {"uuid", [](P& p) { p.uuid = samples::uuid(2); }},
      {"version", [](P& p) { p.version = 2; }},
      {"supersedes", [](P& p) { p.supersedes = "x"; }},
      {"changed_by", [](P& p) { p.changed_by = "x"; }},
      {"change_reason", [](P& p) { p.change_reason = "x"; }},
      {"name", [](P& p) { p.point.name = "x"; }},
      {"visit", [](P& p) { p.point.visit = 2; }},
      {"code", [](P& p) { p.point.code = "x"; }},
      {"note", [](P& p) { p.point.note = "x"; }},
      {"status", [](P& p) { p.point.status = occupation::PointStatus::accepted; }},
      {"reasons", [](P& p) { p.point.reasons.pop_back(); }},
      {"reason_texts", [](P& p) { p.point.reason_texts.pop_back(); }},
      {"frame", [](P& p) { p.point.frame = "x"; }},
      {"at", [](P& p) { p.point.at.reset(); }},
      {"latitude_deg", [](P& p) { p.point.at->latitude_deg += 1e-10; }},
      {"longitude_deg", [](P& p) { p.point.at->longitude_deg += 1e-10; }},
      {"ellipsoid_height_m", [](P& p) { p.point.at->ellipsoid_height_m += 1e-5; }},
      {"coordinate_epoch", [](P& p) { p.point.at->coordinate_epoch += 1e-7; }},
      {"easting_m", [](P& p) { p.point.at->easting_m = 1; }},
      {"northing_m", [](P& p) { p.point.at->northing_m = 1; }},
      {"orthometric_height_m", [](P& p) { p.point.at->orthometric_height_m.reset(); }},
      {"geoid", [](P& p) { p.point.at->geoid = "x"; }},
      {"error95_horizontal_m", [](P& p) { p.point.at->error95_horizontal_m += 1e-5; }},
      {"error95_vertical_m", [](P& p) { p.point.at->error95_vertical_m += 1e-5; }},
      {"covariance ee", [](P& p) { p.point.at->covariance_enu_m2[0] += 1e-11; }},
      {"covariance en", [](P& p) { p.point.at->covariance_enu_m2[1] += 1e-11; }},
      {"covariance nn", [](P& p) { p.point.at->covariance_enu_m2[2] += 1e-11; }},
      {"covariance uu", [](P& p) { p.point.at->covariance_enu_m2[3] += 1e-11; }},
      {"repeatability_m", [](P& p) { p.point.at->repeatability_m += 1e-5; }},
      {"effective_epochs", [](P& p) { p.point.at->effective_epochs += 1e-5; }},
      {"epochs_used", [](P& p) { ++p.point.epochs_used; }},
      {"epochs_refused", [](P& p) { ++p.point.epochs_refused; }},
      {"refused", [](P& p) { ++p.point.refused[0]; }},
      {"source", [](P& p) { p.point.source = "x"; }},
      {"station", [](P& p) { p.point.station = 1; }},
      {"quality", [](P& p) { p.point.quality = Quality::sbas; }},
      {"antenna_height_m", [](P& p) { p.point.antenna_height_m += 1e-5; }},
      {"started_utc", [](P& p) { p.point.started_utc->ms += 1; }},
      {"finished_utc", [](P& p) { p.point.finished_utc->ms += 1; }},
      {"flags", [](P& p) { p.point.flags.pop_back(); }},
      {"error_scale", [](P& p) { p.point.error_scale = 1.2; }},
      {"estimator", [](P& p) { p.point.estimator = 2; }},
      {"rules", [](P& p) { p.point.rules = 2; }},
      {"crew", [](P& p) { p.point.crew = "x"; }},
      {"offset_measures", [](P& p) { p.point.measures.stays.push_back({"CUL-7"}); }},
      {"base_station", [](P& p) { p.point.base_station = 7; }},
      {"base_x_m", [](P& p) { p.point.base_x_m = 1.5; }},
      {"base_y_m", [](P& p) { p.point.base_y_m = 1.5; }},
      {"base_z_m", [](P& p) { p.point.base_z_m = 1.5; }},
      {"one epoch less", [](P& p) { p.epochs.pop_back(); }},
      {"epoch utc", [](P& p) { p.epochs[1].utc->ms += 1; }},
      {"epoch quality", [](P& p) { p.epochs[1].quality = Quality::sbas; }},
      {"epoch station", [](P& p) { p.epochs[1].station.reset(); }},
      {"epoch source", [](P& p) { p.epochs[1].source = "x"; }},
      {"epoch age", [](P& p) { p.epochs[1].age_s.reset(); }},
      {"epoch correction", [](P& p) { p.epochs[1].correction = corrections::State::stale; }},
      {"epoch verdict", [](P& p) { p.epochs[1].accepted = !p.epochs[1].accepted; }},
      {"epoch reasons", [](P& p) { p.epochs[1].reasons.flip(4); }},
      {"epoch latitude", [](P& p) { *p.epochs[1].latitude_deg += 1e-10; }},
      {"epoch longitude", [](P& p) { *p.epochs[1].longitude_deg += 1e-10; }},
      {"epoch height", [](P& p) { *p.epochs[1].ellipsoid_height_m += 1e-5; }},
      {"epoch sigma east", [](P& p) { *p.epochs[1].sigma_east_m += 1e-5; }},
      {"epoch sigma north", [](P& p) { *p.epochs[1].sigma_north_m += 1e-5; }},
      {"epoch sigma up", [](P& p) { *p.epochs[1].sigma_up_m += 1e-5; }},
  };
  std::set<std::string> contents{content(samples::point(1))};
  for (const auto& row : changes) {
    CAPTURE(row.first);
    occupation::StoredPoint point = samples::point(1);
    row.second(point);
    CHECK(contents.insert(content(point)).second);
  }
  occupation::StoredPoint later = samples::point(1);
  later.stored_at.ms += 1;
  CHECK(content(later) == content(samples::point(1)));
}

// Bytes put together by hand from OGC 12-128r17, 2.1.3 (GeoPackageBinary header) and from ISO WKB: type 1001,
// little-endian.
TEST_CASE("a geometry is the standard's header and a POINT Z") {
  CHECK(hex(pointbook::point_z_blob(6319, 1.0, -2.0, 0.5)) ==
        "4750"
        "00"
        "01"
        "af180000"
        "01"
        "e9030000"
        "000000000000f03f"
        "00000000000000c0"
        "000000000000e03f");
}

TEST_CASE("the unit of a projected frame is read from its first axis") {
  struct Row {
    const char* name;
    const char* wkt;
    double unit_m;
  };
  const Row rows[] = {
      {"metres", R"wkt(PROJCRS["x",CS[Cartesian,2],AXIS["(E)",east,LENGTHUNIT["metre",1]]])wkt", 1},
      {"US survey feet, 1200/3937 m",
       R"wkt(PROJCRS["x",PARAMETER["p",1,LENGTHUNIT["metre",1]],CS[Cartesian,2],AXIS["(E)",east,LENGTHUNIT["US survey foot",0.304800609601219]]])wkt",
       1200.0 / 3937.0},
      {"a geographic frame has none", R"wkt(GEOGCRS["x",CS[ellipsoidal,3],AXIS["h",up,LENGTHUNIT["foot",0.3048]]])wkt",
       1},
      {"no text", "", 1},
      {"a text that is cut off", R"wkt(PROJCRS["x",CS[Cartesian,2],AXIS["(E)",east,LENGTHUNIT["foot)wkt", 1},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    CHECK(pointbook::axis_unit_m(row.wkt) == doctest::Approx(row.unit_m).epsilon(1e-14));
  }
}

TEST_CASE("lists of words read back to what was written") {
  gate::ReasonSet reasons;
  CHECK(pointbook::reasons_text(reasons).empty());
  pointbook::RefusedCounts refused{};
  CHECK(pointbook::refused_text(refused) == "{}");
  for (std::size_t i = 0; i < gate::kReasonCount; ++i) {
    reasons.set(i);
    refused[i] = i * 1'000'000'007;
    CHECK(pointbook::reasons_from(pointbook::reasons_text(reasons)) == reasons);
    CHECK(pointbook::refused_from(pointbook::refused_text(refused)) == refused);
  }
  for (const char* text : {"", "x", "{", "{\"hdop\"}", "{\"hdop\":}", "{\"hdop\":-1}", "{\"what\":1}", "{hdop:1}"}) {
    CAPTURE(text);
    CHECK_FALSE(pointbook::refused_from(text).has_value());
  }
  CHECK_FALSE(pointbook::reasons_from("hdop what").has_value());
}

TEST_CASE("a point, an epoch and a check shot differ from a copy in the one field that was changed by a bit") {
  const occupation::StoredPoint stored = samples::point(3, 4);
  CHECK(pointbook::differences(stored.point, stored.epochs, stored.point, stored.epochs).empty());

  occupation::StoredPoint other = stored;
  other.point.at->latitude_deg = std::nextafter(stored.point.at->latitude_deg, 90);
  other.epochs[2].accepted = !stored.epochs[2].accepted;
  const auto found = pointbook::differences(stored.point, stored.epochs, other.point, other.epochs);
  REQUIRE(found.size() == 2);
  CHECK(found[0].field == "latitude_deg");
  CHECK(std::stod(found[0].one) != std::stod(found[0].other));
  CHECK(found[1].field == "epoch 3 of 4: verdict");

  other.epochs.pop_back();
  other.point.at.reset();
  CHECK(pointbook::differences(stored.point, stored.epochs, other.point, other.epochs).size() > 10);

  pointbook::CheckShot shot, turned;
  shot.off_east_m = 0.0;
  turned.off_east_m = -0.0;  // SQLite keeps no sign of zero
  CHECK(pointbook::differences(pointbook::exact_fields(shot), pointbook::exact_fields(turned)).empty());
  turned.off_up_m = 0.0;
  CHECK(pointbook::differences(pointbook::exact_fields(shot), pointbook::exact_fields(turned)).front().field ==
        "off_up_m");
}
